"""The voice made louder, softer, slower, faster by voice, and the tones before what is said."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from assistant.app import tone_of
from assistant.commands.manner import Mannered
from assistant.dialogue.reply import Reply
from assistant.errors import WrongInput
from assistant.job import events as e
from assistant.shelf.settings import MOST_RATE, MOST_VOLUME, Settings, change, read_settings
from assistant.speaking import output
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.frames import Manner
from assistant.speaking.output import Loudspeaker
from assistant.speaking.sound import from_samples
from tests.bench import START, Bench
from tests.speaking.card import Card
from tests.straight_job import bench_at


class Turned:
    """Stands for the voice process: how it is to speak."""

    manner = Manner()

    def turn_to(self, manner: Manner) -> None:
        """Speak so."""
        self.manner = manner


@pytest.fixture
def voice(monkeypatch: pytest.MonkeyPatch) -> tuple[AloudVoice, Card]:
    """A voice over a card whose clock the test turns."""
    card = Card()
    monkeypatch.setattr(output, "library", lambda: card)
    made = AloudVoice.__new__(AloudVoice)
    made._loudspeaker = Loudspeaker()
    made._process = Turned()
    return made, card


def test_louder_is_louder_by_three_decibels_and_kept(voice: tuple[AloudVoice, Card], tmp_path: Path) -> None:
    """As measured at the card; the next program begins with it."""
    aloud, card = voice
    place = tmp_path / "settings.toml"
    place.write_text('who = "Bay one"\n')
    adjust = Mannered(aloud, Settings(), place)

    def level() -> float:
        aloud._loudspeaker.play(from_samples(np.full(480, 0.1), 48_000))
        return float(np.max(card.block()))

    before = level()
    adjust("louder")
    louder = level()
    adjust("softer")

    assert 20 * np.log10(louder / before) == pytest.approx(3.0, abs=0.2)
    assert level() == pytest.approx(before, rel=0.01)
    adjust("louder")
    assert read_settings(place) == Settings(volume=140, who="Bay one")


def test_slower_and_faster_change_the_rate_within_limits(
    voice: tuple[AloudVoice, Card], tmp_path: Path
) -> None:
    """Step by step, from the next phrase on; nothing passes the ends."""
    aloud, _ = voice
    place = tmp_path / "settings.toml"
    adjust = Mannered(aloud, Settings(voice_rate=165), place)
    adjust("slower")
    assert aloud._process.manner.rate == 147
    assert read_settings(place).voice_rate == 147

    for _ in range(20):
        adjust("faster")
        adjust("louder")

    assert aloud._process.manner.rate == MOST_RATE
    assert aloud._loudspeaker.gain == MOST_VOLUME / 100
    assert read_settings(place) == Settings(voice_rate=MOST_RATE, volume=MOST_VOLUME)


def test_a_changed_setting_leaves_the_rest_of_the_file_as_it_was(tmp_path: Path) -> None:
    """Comments, too."""
    place = tmp_path / "settings.toml"
    place.write_text('# mine\nvolume = 80   # the compressor is loud\nclips = "off"\n')

    change(place, "volume", 112)

    assert place.read_text() == '# mine\nvolume = 112   # the compressor is loud\nclips = "off"\n'
    with pytest.raises(WrongInput):
        change(place, "volume", 4000)


def test_too_loud_a_sound_is_clipped_not_wrapped(voice: tuple[AloudVoice, Card]) -> None:
    """Full scale at most."""
    aloud, card = voice
    aloud.louder(4.0)
    aloud._loudspeaker.play(from_samples(np.full(480, 0.9), 48_000))

    assert np.max(card.block()) == 1.0


@pytest.mark.parametrize("change_to", ["louder", "softer", "slower", "faster"])
def test_it_is_adjusted_before_it_answers(change_to: str) -> None:
    """So that the answer is the proof; no reading stands or falls by it."""
    bench, done = Bench(), list[str]()
    bench.session.adjust = done.append
    say = bench.session.say

    def spy(sentences: Sequence[str]) -> bool:
        done.append("said")
        return say(sentences)

    bench.session.say = spy
    bench.hear(f"speak {change_to}")

    assert done == [change_to, "said"]


def test_each_tone_goes_before_what_it_is_for() -> None:
    """Not understood, a timer's end; trouble above all."""
    bench, heard = bench_at("lay-out"), list[str]()
    bench.session.tone = heard.append
    bench.hear("cooling timer 2 minutes")
    assert heard == []
    bench.hear("mumble mumble")
    bench.wait(121.0)

    assert heard == ["refused", "timer"]
    due = e.TimerDue(at=START, name="drain")
    assert tone_of([due], [Reply("timer-over"), Reply("unsaved")]) == "trouble"
