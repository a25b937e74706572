"""Both voices in one sound."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import BadFile
from assistant.speaking.conversation import RATE, Part, mixed, write
from assistant.speaking.sound import Sound, from_samples


def tone(hertz: float, seconds: float, level: float = 0.3, rate: int = 16_000) -> Sound:
    """A stand-in for speech whose place can be found again by its pitch."""
    return from_samples(level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate), rate)


def told(seconds: float) -> Sound:
    """An announcement of half a second."""
    return tone(1500, 0.5)


def strength(sound: Sound, start_s: float, end_s: float, hertz: float) -> float:
    """How strongly `hertz` sounds between two moments: the amplitude of that tone."""
    piece = sound.samples()[round(start_s * RATE) : round(end_s * RATE)]
    at = np.arange(len(piece)) / RATE
    return float(2 * abs(np.mean(piece * np.exp(-2j * np.pi * hertz * at))))


def test_each_voice_sounds_where_it_was_placed() -> None:
    """And there only."""
    sound, placed = mixed([Part(0, tone(300, 1.0), "mechanic"), Part(2, tone(700, 1.0), "assistant")], told)

    assert [piece.who for piece in placed] == ["mechanic", "assistant"]
    for piece, own, other in ((placed[0], 300, 700), (placed[1], 700, 300)):
        assert strength(sound, piece.start_s, piece.end_s, own) > 0.08
        assert strength(sound, piece.start_s, piece.end_s, other) < 0.005
    assert placed[1].start_s - placed[0].end_s == pytest.approx(1.0, abs=0.01)


def test_a_long_wait_is_two_seconds_and_told() -> None:
    """Twelve minutes become two seconds round an announcement that is given their length."""
    heard: list[float] = []

    def announce(seconds: float) -> Sound:
        heard.append(seconds)
        return told(seconds)

    sound, placed = mixed([Part(0, tone(300, 1), "mechanic"), Part(721, tone(700, 1), "assistant")], announce)

    assert heard == [pytest.approx(720)]
    assert [piece.who for piece in placed] == ["mechanic", "", "assistant"]
    silent = (placed[1].start_s - placed[0].end_s) + (placed[2].start_s - placed[1].end_s)
    assert silent == pytest.approx(2.0, abs=0.01)
    assert strength(sound, placed[1].start_s, placed[1].end_s, 1500) > 0.08


def test_three_seconds_are_no_long_wait() -> None:
    """They stay as they were."""
    _, placed = mixed([Part(0, tone(300, 1), "mechanic"), Part(4, tone(700, 1), "assistant")], told)

    assert placed[1].start_s - placed[0].end_s == pytest.approx(3.0, abs=0.01)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0.05, 2.0)), max_size=8))
def test_voices_never_overlap_and_never_wait_long(spans: list[tuple[float, float]]) -> None:
    """Whatever the clock said: no two at once, no silence over three seconds, nothing dropped."""
    parts = [Part(start, tone(400, seconds), str(i)) for i, (start, seconds) in enumerate(spans)]

    sound, placed = mixed(parts, told)

    assert sorted(piece.who for piece in placed if piece.who) == sorted(part.who for part in parts)
    for before, after in pairwise(placed):
        assert 0.2 < after.start_s - before.end_s < 3.01
    assert sound.seconds == pytest.approx(placed[-1].end_s + 0.25 if placed else 0, abs=0.01)


def test_both_voices_come_out_equally_loud() -> None:
    """A quiet recording is not drowned by the assistant."""
    sound, placed = mixed(
        [Part(0, tone(300, 1, level=0.02), "mechanic"), Part(2, tone(700, 1, level=0.8), "assistant")], told
    )

    quiet = strength(sound, placed[0].start_s, placed[0].end_s, 300)
    loud = strength(sound, placed[1].start_s, placed[1].end_s, 700)

    assert quiet == pytest.approx(loud, rel=0.1)


def test_the_file_is_16_bit_mono(tmp_path: Path) -> None:
    """Playable anywhere."""
    sound, _ = mixed([Part(0, tone(300, 1), "mechanic")], told)

    write(tmp_path / "conversation.wav", sound)

    info = soundfile.info(str(tmp_path / "conversation.wav"))
    assert (info.subtype, info.channels, info.samplerate) == ("PCM_16", 1, RATE)
    assert info.duration == pytest.approx(sound.seconds)


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """With its name."""
    with pytest.raises(BadFile, match="nowhere"):
        write(tmp_path / "nowhere" / "conversation.wav", tone(300, 0.1))
