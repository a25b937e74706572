"""What the sound process does with its orders, and what its starter makes of its news; no process runs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from assistant.duplex import client
from assistant.duplex.client import Duplex
from assistant.duplex.process import EVERY, Check, Player, Reported
from assistant.duplex.reduction import Reduction
from assistant.duplex.wire import Measured, Order, Stop
from assistant.speaking.line import Line, Output, Playing
from assistant.speaking.sound import Sound, from_samples

RATE = 16_000


def tone(seconds: float) -> Sound:
    """A sound."""
    return from_samples(np.full(round(seconds * RATE), 0.5), RATE)


class Bench:
    """The far side of the pipes: orders are carried out on a line whose card the test turns."""

    alive = True

    def __init__(self, name: str, told: Any) -> None:
        self._told = told
        self.air = Reported()
        self.line = Line(rate=RATE, air=self.air)
        self.player = Player(self.line)
        self.gone = False
        self.now = 50.0
        self.first = self.ended = Event()

    def order(self, order: Order) -> bool:
        """Take an order, if it is still there; nobody waits here for the fade."""
        if self.gone:
            return False
        if isinstance(order, Stop):
            self.line.drop()
        else:
            self.player.obey(order)
        self.tell()
        return True

    def block(self, seconds: float = 0.01) -> np.ndarray:
        """Let the card ask for sound, and pass on what is new."""
        out = np.zeros(round(seconds * RATE), np.float32)
        self.line.fill(out, self.now, self.now + 0.03)
        self.now += seconds
        self.tell()
        return out

    def tell(self) -> None:
        """Pass on what is new."""
        for message in (*self.air.news(), *self.player.progress()):
            self._told(message)

    def close(self) -> None:
        """Be gone."""
        self.gone = True


class Event:
    """Something that never comes, and is not waited for."""

    def wait(self, timeout_s: float | None = None) -> bool:
        """Not wait."""
        return False


class Other(Line):
    """Another loudspeaker."""

    alive = True
    closed = False

    def reopen(self) -> None:
        """It is."""

    def close(self) -> None:
        """Note it."""
        self.closed = True


@pytest.fixture
def both(monkeypatch: pytest.MonkeyPatch) -> tuple[Duplex, Bench, list[Other]]:
    """Both ends, and the other loudspeakers that were opened."""
    monkeypatch.setattr(client, "SoundProcess", Bench)
    monkeypatch.setattr(client.Duplex, "_mourn", lambda *_: None)
    opened: list[Other] = []

    def substitute(gain: float) -> Output:
        opened.append(Other(gain))
        return opened[-1]

    made = Duplex("", 1.0, substitute)
    process = made._process
    assert isinstance(process, Bench)
    return made, process, opened


def test_a_sound_is_followed_to_its_end(both: tuple[Duplex, Bench, list[Other]]) -> None:
    """When it began, how far it is, when it is over; and what of it is in the air."""
    duplex, card, _ = both
    first, second = duplex.play(tone(0.05)), duplex.play(tone(0.05))
    assert first.started_at is None

    card.block(0.02)

    assert first.position_s == pytest.approx(0.02)
    assert (first.started_at, first.heard_at) == (50.0, 50.03)
    assert not first.over
    assert duplex.playing is first
    card.block(0.05)
    assert first.wait(0)
    assert first.over
    assert duplex.playing is second
    assert second.position_s == pytest.approx(0.02)
    assert duplex.air.overlapping(0.0, 99.0, 0.0, 0.0) == [(50.03, pytest.approx(50.10))]
    card.block(0.05)
    assert second.wait(0)
    assert duplex.playing is None


def test_stop_hold_and_loudness_reach_the_card(both: tuple[Duplex, Bench, list[Other]]) -> None:
    """What was stopped is over and was not said to its end."""
    duplex, card, _ = both
    duplex.gain = 0.5
    playing, waiting = duplex.play(tone(1.0)), duplex.play(tone(1.0))
    assert card.block()[-1] == pytest.approx(0.25)
    duplex.hold(True)
    assert not card.block()[-1]
    duplex.hold(False)
    assert card.block()[-1] == pytest.approx(0.25)

    assert duplex.stop()

    assert (playing.over, playing.completed) == (True, False)
    assert (waiting.over, waiting.completed) == (True, False)
    assert not card.block().any()


def test_nobody_waits_for_a_sound_of_a_process_that_is_gone(both: tuple[Duplex, Bench, list[Other]]) -> None:
    """It is over, and not said; another loudspeaker speaks until the devices are there again."""
    duplex, card, opened = both
    lost = duplex.play(tone(1.0))
    duplex.opening()
    card.alive, card.gone = False, True
    fresh = duplex.opening()
    assert lost.wait(0) is False
    assert lost.over
    assert isinstance(fresh, Bench)
    fresh.alive = False

    assert not duplex.alive
    duplex.reopen()
    assert duplex.alive
    assert duplex.play(tone(0.1)) is opened[0].playing
    again = duplex.opening()
    assert not opened[0].closed, "it is still speaking"
    assert isinstance(again, Bench)
    opened[0].drop()
    again.alive = False
    duplex.opening()
    assert opened[0].closed, "it may hold the card"


def test_sound_counts_as_in_the_air_from_the_moment_it_is_handed_over() -> None:
    """And up to when the card says that it is heard."""
    air = Reported()
    air.is_late(0.14)
    air.put(50.0, 0.01, -20.0)

    [told] = air.news()
    assert (told.start, told.seconds, told.level_db) == (pytest.approx(49.86), pytest.approx(0.15), -20.0)


def test_the_check_tells_every_second_and_whenever_it_turns() -> None:
    """No more often."""
    check, reduction = Check(), Reduction()
    assert check.news(reduction) == []
    reduction.settled, reduction.measured = True, 5
    assert check.news(reduction) == [Measured(0.0, True)]
    reduction.measured += EVERY - 1
    assert check.news(reduction) == []
    reduction.measured += 1
    assert check.news(reduction) == [Measured(0.0, True)]
    reduction.upset()
    assert check.news(reduction) == [Measured(0.0, False)]


def test_a_sound_known_by_another_process_is_whole_only_when_that_says_so() -> None:
    """Its rate may be another one there."""
    playing = Playing(np.zeros(1_000, np.float32), RATE)
    playing.reached(1.0, completed=False)
    assert not playing.completed
    playing.reached(0.0624, completed=True)
    assert playing.completed
