"""The noises are what they are said to be, and a script makes the same clips twice.

The speakers are replaced by tones here, so that no synthesiser has to be installed.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.errors import BadFile
from assistant.grammar import compile_grammar
from tests.benchmark import noises, recordings
from tests.benchmark.noises import NOISES, Wave

RATE = recordings.RATE


def tones(voice: str, words: str, speed: float) -> Wave:
    """A stand-in for a speaker: a tone of 1 kHz, 60 ms for each letter, with pauses between words."""
    pieces = []
    for word in words.split():
        at = np.arange(round(0.06 * len(word) / speed * RATE)) / RATE
        pieces += [0.5 * np.sin(2 * np.pi * 1000 * at), np.zeros(RATE // 20)]
    return np.concatenate(pieces[:-1])


def noise(name: str, seed: int = 1, seconds: int = 4) -> Wave:
    """Four seconds of a noise."""
    return NOISES[name](seconds * RATE, RATE, np.random.default_rng(seed))


def band(wave: Wave, low: float, high: float) -> float:
    """Share of the power between two frequencies."""
    power = np.abs(np.fft.rfft(wave)) ** 2
    hertz = np.fft.rfftfreq(len(wave), 1 / RATE)
    return float(power[(hertz >= low) & (hertz < high)].sum() / power.sum())


@pytest.mark.parametrize("name", NOISES)
def test_a_noise_has_unit_level_and_follows_its_seed(name: str) -> None:
    """The same seed gives the same samples, another one others."""
    assert np.sqrt(np.mean(noise(name) ** 2)) == pytest.approx(1.0, rel=1e-6)
    assert np.array_equal(noise(name), noise(name))
    assert not np.array_equal(noise(name), noise(name, seed=2))


def test_pink_noise_has_equal_power_in_every_octave() -> None:
    """Which is the definition of pink."""
    octaves = [band(noise("pink", seconds=20), low, 2 * low) for low in (100, 200, 400, 800, 1600, 3200)]

    assert max(octaves) < 1.25 * min(octaves)


def test_an_idling_engine_fires_twenty_five_times_a_second() -> None:
    """Four cylinders at 750 revolutions a minute, four-stroke: 750 / 60 * 4 / 2."""
    wave = noise("engine", seconds=20)

    assert max(np.arange(10, 60), key=lambda hertz: band(wave, hertz - 0.5, hertz + 0.5)) == 25
    assert band(wave, 20, 600) > 0.6


def test_clanks_are_far_from_steady() -> None:
    """Their peaks stand high above their mean, as those of no other noise."""
    crest = {name: float(np.max(np.abs(noise(name)))) for name in NOISES}

    assert crest["clanks"] > 6
    assert crest["clanks"] == max(crest.values())


def test_babble_is_several_voices_without_a_gap() -> None:
    """No tenth of a second is silent, although each voice pauses."""
    rng = np.random.default_rng(1)
    talk = [tones("", "put the kettle on", 1.0), tones("", "the parts should have been here", 1.0)]

    wave = noises.babble(4 * RATE, talk, rng)

    frames = wave.reshape(-1, RATE // 10)
    assert np.sqrt(np.mean(frames**2, axis=1)).min() > 0.2


@pytest.mark.parametrize("name", NOISES)
@pytest.mark.parametrize("snr_db", [0.0, 10.0, 20.0])
def test_the_ratio_is_the_stated_one(name: str, snr_db: float) -> None:
    """Measured from the finished mixture: speech while it speaks, against noise alone."""
    speech = tones("", "first can four point two litres", 1.0)
    lead = RATE
    hiss = noise(name, seconds=10)[: len(speech) + 2 * lead]

    wave = noises.mixed(speech, hiss, snr_db, 0.05)

    alone = wave - np.pad(speech * 0.05 / noises.active_rms(speech), lead)
    tone = np.sqrt(np.mean(tones("", "litres", 1.0) ** 2)) * 0.05 / noises.active_rms(speech)
    measured_db = 20 * np.log10(tone / np.sqrt(np.mean(alone**2)))
    assert measured_db == pytest.approx(snr_db, abs=0.5)


SMALL = compile_grammar(
    [
        (
            "small.jsgf",
            "#JSGF V1.0;\ngrammar small;\npublic <it> = first {kind=amount} {can=1} {form=part} can"
            " four {digit 4} point {point} two {digit 2} (litres | liters {as litres}) {unit=litre};",
        )
    ]
)
ROWS = [
    recordings.Row("one", "first can four point two litres", "awb"),
    recordings.Row("two", "another nought point six litres", "rms", "engine", 15.0),
    recordings.Row("three", "fifty five degrees", "ked", "babble", 10.0, speed=1.2),
]


def test_a_script_makes_the_same_clips_twice(tmp_path: Path) -> None:
    """Nothing differs; a clip that was swapped, changed or left over is named."""
    recordings.make(ROWS, tmp_path, SMALL, tones)

    assert recordings.differences(ROWS, tmp_path, SMALL, tones) == []
    louder = [replace(ROWS[0], level_db=-20.0), *ROWS[1:]]
    assert recordings.differences(louder, tmp_path, SMALL, tones) == ["manifest.csv", "one.flac"]
    assert recordings.differences(ROWS[1:], tmp_path, SMALL, tones) == ["manifest.csv", "one.flac"]


def test_clips_are_16_khz_mono_with_room_at_both_ends(tmp_path: Path) -> None:
    """And the manifest tells where each comes from."""
    recordings.make(ROWS, tmp_path, SMALL, tones)

    with (tmp_path / "manifest.csv").open() as file:
        entries = list(csv.DictReader(file))
    assert [entry["file"] for entry in entries] == ["one.flac", "two.flac", "three.flac"]
    assert entries[1]["noise"] == "engine"
    assert entries[1]["snr_db"] == "15"
    for entry, row in zip(entries, ROWS, strict=True):
        info = soundfile.info(str(tmp_path / entry["file"]))
        assert (info.samplerate, info.channels, info.subtype) == (16_000, 1, "PCM_16")
        said_s = len(tones(row.voice, row.words, row.speed)) / RATE
        assert info.duration == pytest.approx(recordings.LEAD_S + said_s + recordings.TAIL_S, abs=0.01)
        assert entry["origin"] == "synthetic"
        assert "free" in entry["source"]


def test_the_manifest_tells_what_is_meant() -> None:
    """As the grammar has it, number, unit and slots; spelling and case do not matter."""
    meaning = "kind=amount value=4.2 unit=litre can=1 form=part"

    assert recordings.meant(SMALL, "first can four point two litres") == meaning
    assert recordings.meant(SMALL, "First can four point two liters.") == meaning
    assert recordings.meant(SMALL, "put the kettle on") == "refused"


GOOD = 'id = "one"\nwords = "ten minutes"\nvoice = "awb"\n'


@pytest.mark.parametrize(
    ("clips", "trouble"),
    [
        ("", "no script"),
        ("[[clip]]\n" + GOOD + 'colour = "red"', "unknown key 'colour'"),
        ('[[clip]]\nid = "one"\nvoice = "awb"', "no words"),
        ("[[clip]]\n" + GOOD.replace("awb", "nobody"), "no speaker 'nobody'"),
        ("[[clip]]\n" + GOOD + 'noise = "engine"', "go together"),
        ("[[clip]]\n" + GOOD + 'noise = "thunder"\nsnr = 3', "no noise 'thunder'"),
        ("[[clip]]\n" + GOOD + "[[clip]]\n" + GOOD, "same id: one"),
    ],
)
def test_a_faulty_script_is_told(tmp_path: Path, clips: str, trouble: str) -> None:
    """With the file and what is wrong in it."""
    path = tmp_path / "script.toml"
    path.write_text(clips)

    with pytest.raises(BadFile, match=trouble):
        recordings.script_rows(path)


def test_a_script_is_read_as_written(tmp_path: Path) -> None:
    """Times belong to the player and are left alone here."""
    path = tmp_path / "script.toml"
    path.write_text('[[clip]]\nat = 12.5\nnoise = "clanks"\nsnr = 12\n' + GOOD)

    assert recordings.script_rows(path) == [recordings.Row("one", "ten minutes", "awb", "clanks", 12)]
