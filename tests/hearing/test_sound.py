"""Any recording becomes 16 kHz mono int16 (sounds made in memory; libsndfile reads and writes them)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.errors import BadFile, WrongInput
from assistant.hearing.sound import (
    RATE,
    SILENCE_DB,
    NoiseMeter,
    as_pcm,
    decibels,
    magnitude,
    peak_of,
    read_sound,
    rms_db,
    within_scale,
)


def tone(rate: int, seconds: float = 0.5, amplitude: float = 0.5, pitch: float = 440.0) -> np.ndarray:
    return (amplitude * np.sin(2 * np.pi * pitch * np.arange(int(rate * seconds)) / rate)).astype(np.float32)


def pitch_of(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.fft.rfftfreq(len(samples), 1 / RATE)[int(spectrum.argmax())])


@pytest.mark.parametrize(
    ("rate", "channels", "suffix", "subtype"),
    [
        (16_000, 1, "wav", "PCM_16"),
        (8_000, 1, "wav", "PCM_16"),
        (44_100, 1, "wav", "PCM_16"),
        (48_000, 2, "wav", "PCM_24"),
        (22_050, 1, "wav", "FLOAT"),
        (96_000, 1, "wav", "DOUBLE"),
        (16_000, 1, "wav", "PCM_U8"),
        (16_000, 1, "wav", "ULAW"),
        (44_100, 2, "flac", "PCM_16"),
        (16_000, 1, "flac", "PCM_24"),
        (44_100, 1, "ogg", "VORBIS"),
    ],
)
def test_every_kind_of_recording_is_converted(
    tmp_path: Path, rate: int, channels: int, suffix: str, subtype: str
) -> None:
    mono = tone(rate)
    file = tmp_path / f"tone.{suffix}"
    soundfile.write(file, np.column_stack([mono] * channels), rate, subtype=subtype)
    samples = read_sound(file)
    assert samples.dtype == np.int16
    assert len(samples) == pytest.approx(RATE // 2, abs=RATE // 50)
    middle = samples[1600:-1600]
    assert pitch_of(middle) == pytest.approx(440, abs=5)
    assert rms_db(middle) == pytest.approx(20 * np.log10(0.5 / np.sqrt(2)), abs=0.5)


def test_channels_are_averaged(tmp_path: Path) -> None:
    file = tmp_path / "one-sided.wav"
    soundfile.write(file, np.column_stack([tone(RATE), np.zeros(RATE // 2, np.float32)]), RATE)
    assert peak_of(read_sound(file)) == pytest.approx(0.25 * 32_768, rel=0.01)


def test_a_float_recording_above_full_scale_is_turned_down_not_cut(tmp_path: Path) -> None:
    file = tmp_path / "loud.wav"
    soundfile.write(file, tone(RATE, amplitude=3.0), RATE, subtype="FLOAT")
    samples = read_sound(file).astype(float)
    assert samples.max() <= 32_767
    assert np.mean(np.abs(samples) > 32_700) < 0.1  # of a clipped one it would be 0.78


def test_numbers_that_are_none_become_silence() -> None:
    samples = as_pcm(np.array([0.0, np.nan, np.inf, 0.5], np.float32))
    assert samples[1] == 0
    assert samples[2] == 32_767


@pytest.mark.parametrize("name", ["absent.wav", "text.wav", "empty.wav", "no-frames.wav", "folder.wav"])
def test_what_is_no_recording_is_one_plain_line(tmp_path: Path, name: str) -> None:
    (tmp_path / "text.wav").write_text("drained five litres\n" * 50)
    (tmp_path / "empty.wav").write_bytes(b"")
    soundfile.write(tmp_path / "no-frames.wav", np.zeros(0, np.float32), RATE)
    (tmp_path / "folder.wav").mkdir()
    with pytest.raises(BadFile) as told:
        read_sound(tmp_path / name)
    assert isinstance(told.value, WrongInput)
    assert name in str(told.value)
    assert "\n" not in str(told.value)


def test_levels() -> None:
    assert decibels(32_768) == 0
    assert decibels(16_384) == pytest.approx(-6.02, abs=0.01)
    assert decibels(0) == SILENCE_DB
    assert magnitude(-20) == pytest.approx(3276.8)
    assert rms_db(np.zeros(0, np.int16)) == SILENCE_DB
    assert peak_of(np.array([-32_768, 5], np.int16)) == 32_768


def test_nothing_leaves_the_scale() -> None:
    assert within_scale(np.array([-80_000, 399.6, 80_000], np.float32)).tolist() == [-32_768, 400, 32_767]


def test_noise_meter_falls_fast_and_rises_slowly() -> None:
    meter = NoiseMeter()
    assert meter.level_db == SILENCE_DB
    meter.hear(-50)
    assert meter.level_db == -50
    assert not meter.is_only_noise(-60, 4)  # after one frame nothing is sure
    for _ in range(3):  # the tail of a word, 0.1 s
        meter.hear(-20)
    assert meter.level_db < -47
    for _ in range(20):
        meter.hear(-70)
    assert meter.level_db < -68
    assert meter.is_only_noise(-69, 4)
    assert not meter.is_only_noise(-60, 4)
    for _ in range(300):  # a machine starts: after 10 s it counts
        meter.hear(-30)
    assert meter.level_db > -32


@pytest.mark.parametrize("rate", [1, 7, 3_999, 1_000_000])
def test_a_rate_no_recorder_makes_is_refused_at_once(tmp_path: Path, rate: int) -> None:
    """A small file that claims a few samples a second would otherwise resample to gigabytes."""
    path = tmp_path / "bomb.wav"
    soundfile.write(path, np.zeros(50_000, dtype=np.int16), rate)
    with pytest.raises(BadFile, match=f"{rate} samples a second"):
        read_sound(path)
