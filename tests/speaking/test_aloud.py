"""The voice aloud: what it cannot speak it prints, and the reason is told once."""

from __future__ import annotations

import io

import numpy as np
import pytest

from assistant.errors import MissingPart
from assistant.speaking import output
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.earcons import EARCONS, earcon
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import PrintedVoice
from assistant.speaking.sound import Sound, from_samples
from tests.speaking.card import Card


class Engine(VoiceProcess):
    """A fake of the voice process: a tone, or trouble."""

    def __init__(self) -> None:
        self.trouble = ""
        self.fallen_back = ""

    def synthesise(self, text: str) -> Sound:
        """Return a tone of a tenth of a second, or fail."""
        if self.trouble:
            raise MissingPart(self.trouble)
        return from_samples(0.3 * np.sin(0.2 * np.arange(2_205)), 22_050)

    def close(self) -> None:
        """Nothing runs."""


class Bench:
    """A voice with its fakes."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.card, self.engine, self.paper = Card(), Engine(), io.StringIO()
        monkeypatch.setattr(output, "library", lambda: self.card)
        self.voice = AloudVoice(self.engine, Loudspeaker(), PrintedVoice(self.paper))

    def heard(self, blocks: int = 100) -> np.ndarray:
        """Return the next second of sound."""
        return np.concatenate([self.card.block() for _ in range(blocks)])


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Bench:
    """A voice with loudspeaker and engine."""
    return Bench(monkeypatch)


def test_a_phrase_is_heard_and_not_printed(bench: Bench) -> None:
    """And it is known when its last sample has been said."""
    bench.voice.speak("ten minutes")
    assert bench.voice.last is not None
    assert not bench.voice.last.completed

    assert np.abs(bench.heard()).max() > 0.2
    assert bench.voice.last.completed
    assert bench.paper.getvalue() == ""


def test_a_phrase_without_an_engine_is_printed_with_a_tone(bench: Bench) -> None:
    """The reason is told once, each phrase is printed."""
    bench.engine.trouble = "no speech engine"
    bench.voice.speak("ten minutes")
    bench.voice.speak("what is the drip interval?")

    assert bench.paper.getvalue().splitlines() == [
        "(voice: no speech engine)",
        "ten minutes",
        "what is the drip interval?",
    ]
    assert np.abs(bench.heard()).max() > 0.1


def test_a_voice_that_gave_way_is_told_once(bench: Bench) -> None:
    """The phrases are spoken, not printed."""
    bench.engine.fallen_back = "no natural voice"
    bench.voice.speak("ten minutes")
    bench.voice.speak("what is the drip interval?")

    assert bench.paper.getvalue() == "(voice: no natural voice; the usual voice speaks)\n"
    assert np.abs(bench.heard()).max() > 0.2


def test_a_lost_loudspeaker_is_opened_again(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that asks for nothing more has been pulled out; the phrase goes to the new stream."""
    monkeypatch.setattr(output, "STALE_S", -1.0)

    bench.voice.speak("ten minutes")

    assert np.abs(bench.heard()).max() > 0.2
    assert bench.paper.getvalue() == ""


def test_a_loudspeaker_that_stays_away_is_made_up_for_in_print(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The job goes on, without an exception, and says what to plug in."""
    monkeypatch.setattr(output, "STALE_S", -1.0)
    bench.card.devices = 0

    bench.voice.speak("ten minutes")

    reason, text = bench.paper.getvalue().splitlines()
    assert "plug in" in reason
    assert text == "ten minutes"


@pytest.mark.parametrize("name", EARCONS)
def test_a_tone_is_played_by_name(bench: Bench, name: str) -> None:
    """Whole."""
    bench.voice.tone(name)

    sounding = np.flatnonzero(np.abs(bench.heard()) > 0.01)
    assert (sounding[-1] - sounding[0]) / 48_000 == pytest.approx(earcon(name).seconds, abs=0.03)


def test_stop_silences(bench: Bench) -> None:
    """Also when the card has stopped asking."""
    bench.voice.speak("ten minutes")
    bench.voice.stop()

    assert not bench.heard().any()
