"""The loudspeaker's stream, driven by hand through its callback; the real device is in test_voice_process."""

from __future__ import annotations

import sys
import threading
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.errors import MissingPart
from assistant.speaking import output
from assistant.speaking.output import Loudspeaker
from assistant.speaking.sound import from_samples
from tests.speaking.card import BLOCK, Card


@pytest.fixture
def card(monkeypatch: pytest.MonkeyPatch) -> Card:
    """A computer with a loudspeaker."""
    card = Card()
    monkeypatch.setattr(output, "library", lambda: card)
    return card


def ramp(count: int) -> Any:
    """A sound whose every sample is known."""
    return from_samples(np.arange(1, count + 1) / 32768, 48_000)


def test_samples_come_out_whole_and_in_order(card: Card) -> None:
    """Two sounds, one behind the other, without a gap, then silence."""
    speaker = Loudspeaker()
    first, second = speaker.play(ramp(700)), speaker.play(ramp(300))

    heard = np.concatenate([card.block() for _ in range(3)]) * 32768

    expected = [*range(1, 701), *range(1, 301), *[0] * (3 * BLOCK - 1000)]
    assert heard == pytest.approx(expected, abs=0.01)
    assert first.completed
    assert second.completed
    assert first.wait(0)
    assert speaker.playing is None


def test_the_position_counts_what_was_really_handed_over(card: Card) -> None:
    """Not what is waiting."""
    speaker = Loudspeaker()
    playing = speaker.play(ramp(4_800))

    assert playing.position_s == 0
    card.block()
    assert playing.position_s == pytest.approx(0.01)
    assert speaker.playing is playing
    assert not playing.completed


def test_stop_fades_and_drops_what_waits(card: Card) -> None:
    """Silent within one block; whoever waits is told that not all was said."""
    speaker = Loudspeaker()
    loud, waiting = speaker.play(from_samples(np.full(48_000, 0.5), 48_000)), speaker.play(ramp(100))
    card.block()
    stopper = threading.Thread(target=speaker.stop)
    stopper.start()
    while not speaker._cutting:
        pass
    fading = card.block()
    stopper.join(1)

    assert fading[0] == pytest.approx(0.5)
    assert np.max(np.abs(np.diff(fading))) < 0.01
    assert not fading[-1]
    assert not card.block().any()
    assert loud.wait(0) is False
    assert waiting.wait(0) is False


def test_a_held_sound_goes_on_where_it_was(card: Card) -> None:
    """Faded out and in again; nothing of it is lost but the faded part."""
    speaker = Loudspeaker()
    playing = speaker.play(from_samples(np.full(3 * BLOCK, 0.5), 48_000))
    assert card.block()[-1] == pytest.approx(0.5)
    speaker.hold(True)
    fading = card.block()
    taken = playing.position_s

    assert fading[0] == pytest.approx(0.5)
    assert np.max(np.abs(np.diff(fading))) < 0.01
    assert not fading[-1]
    assert not card.block().any()
    assert playing.position_s == taken
    speaker.hold(False)
    rising = card.block()
    assert rising[0] == pytest.approx(0.0)
    assert np.max(np.abs(np.diff(rising))) < 0.01
    assert rising[-1] == pytest.approx(0.5)


def test_a_held_sound_can_be_stopped(card: Card) -> None:
    """It stays silent."""
    speaker = Loudspeaker()
    playing = speaker.play(from_samples(np.full(3 * BLOCK, 0.5), 48_000))
    speaker.hold(True)
    card.block()
    stopper = threading.Thread(target=speaker.stop)
    stopper.start()
    while not speaker._cutting:
        pass
    card.block()
    stopper.join(1)
    speaker.hold(False)

    assert not card.block().any()
    assert playing.wait(0) is False


def test_stop_with_a_dead_card_still_drops_everything(card: Card) -> None:
    """When nobody asks for samples it says so, and nothing is heard later."""
    speaker = Loudspeaker()
    speaker.play(ramp(48_000))

    assert speaker.stop(timeout_s=0.01) is False
    assert not card.block().any()


def test_gain_is_applied_at_once(card: Card) -> None:
    """Louder or softer from the next block on."""
    speaker = Loudspeaker(gain=0.5)
    speaker.play(from_samples(np.full(1_000, 0.5), 48_000))

    assert card.block()[0] == pytest.approx(0.25)


def test_what_is_in_the_air_is_known_to_the_sample(card: Card, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the card's own word about when a block leaves it; a pause between two sounds is no sound."""
    now = [100.0]
    monkeypatch.setattr(output.time, "monotonic", lambda: now[0])
    speaker = Loudspeaker()
    ahead = SimpleNamespace(currentTime=5.0, outputBufferDacTime=5.03)
    playing = speaker.play(ramp(700))
    for number in range(10):
        now[0] = 100.0 + number * BLOCK / 48_000
        if number == 5:
            speaker.play(ramp(480))
        card.block(ahead)

    first, second = speaker.air.overlapping(0.0, 200.0, 0.0, 0.0)
    assert playing.heard_at == pytest.approx(100.03)
    assert first == pytest.approx((100.03, 100.03 + 700 / 48_000))
    assert second == pytest.approx((100.08, 100.09))


def test_a_card_without_a_clock_is_believed_about_its_delay(
    card: Card, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The stream's latency, 10 ms here."""
    monkeypatch.setattr(output.time, "monotonic", lambda: 100.0)
    speaker = Loudspeaker()
    speaker.play(ramp(BLOCK))
    card.block()

    assert speaker.air.overlapping(0.0, 200.0, 0.0, 0.0) == [pytest.approx((100.01, 100.02))]


def test_a_device_that_refuses_its_own_rate_gets_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sound is resampled to whatever opens."""
    card = Card(rates=(44_100,))
    monkeypatch.setattr(output, "library", lambda: card)

    speaker = Loudspeaker()

    assert speaker.rate == 44_100
    assert len(speaker.play(ramp(48_000)).take(100_000)) == pytest.approx(44_100, abs=2)


def test_without_a_device_the_cure_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """One plain sentence."""
    monkeypatch.setattr(output, "library", lambda: Card(devices=0))

    with pytest.raises(MissingPart, match="plug in"):
        Loudspeaker()


def test_a_busy_device_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With what was tried last."""
    monkeypatch.setattr(output, "library", lambda: Card(rates=()))

    with pytest.raises(MissingPart, match="cannot be opened"):
        Loudspeaker()


def test_without_the_sound_library_the_cure_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """The package to put in."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)

    with pytest.raises(MissingPart, match="libportaudio2"):
        output.library()
