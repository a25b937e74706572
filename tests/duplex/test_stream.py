"""One stream for both sides, driven by hand through its callback."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.duplex import cards
from assistant.duplex.cards import TWO, apart
from assistant.duplex.stream import SLIPS, DuplexStream
from assistant.errors import MissingPart
from assistant.hearing.microphone import QUEUE
from assistant.speaking.line import Line
from assistant.speaking.sound import from_samples
from tests.duplex.card import Card

BLOCK = 160


def test_what_is_played_and_what_is_captured_come_in_step() -> None:
    """The block that was handed over at the moment is the reference of the one that was captured then."""
    card, line = Card(), Line()
    late = list[float]()
    stream = DuplexStream(line, "", card, late.append)
    playing = line.play(from_samples(np.arange(1, 201) / 32_768, 16_000))

    given = [card.block(np.full(BLOCK, number, np.int16)) for number in (7, 8)]

    for number, out in zip((7, 8), given, strict=True):
        both = stream.read(0)
        assert both is not None
        assert np.array_equal(both.played, out[:, 0])
        assert set(both.captured) == {number}
        assert not both.slipped
    assert np.abs(np.concatenate(given)[:200, 0] - np.arange(1, 201)).max() <= 1
    assert playing.completed
    assert playing.heard_at is not None
    assert playing.started_at is not None
    assert playing.heard_at - playing.started_at == pytest.approx(0.03)
    assert stream.read(0) is None
    assert late == pytest.approx([0.05, 0.05])


@pytest.mark.parametrize("flag", SLIPS)
def test_whatever_puts_the_sides_out_of_step_is_told(flag: str) -> None:
    """Each of the sound library's four flags; it is counted."""
    card = Card()
    stream = DuplexStream(Line(), "", card)
    card.block(np.zeros(BLOCK, np.int16), flag)

    both = stream.read(0)

    assert both is not None
    assert both.slipped
    assert stream.slips == 1


def test_what_nobody_takes_is_lost_and_counted() -> None:
    """The callback waits for nothing."""
    card = Card()
    stream = DuplexStream(Line(), "", card)
    for _ in range(QUEUE + 3):
        card.block(np.zeros(BLOCK, np.int16))
    for _ in range(QUEUE):
        assert stream.read(0) is not None
    card.block(np.zeros(BLOCK, np.int16))

    both = stream.read(0)

    assert both is not None
    assert both.lost == 3 * BLOCK


def test_a_card_that_wants_two_channels_and_its_own_rate_gets_them() -> None:
    """Both loudspeakers of it sound."""
    card, line = Card(rates=(48_000,), least=2), Line()
    stream = DuplexStream(line, "", card)
    line.play(from_samples(np.full(1_000, 0.5), 48_000))

    out = card.block(np.zeros(480, np.int16))

    assert stream.rate == line.rate == 48_000
    assert card.asked == [(16_000, (1, 1)), (48_000, (1, 1)), (16_000, (1, 2)), (48_000, (1, 2))]
    assert np.array_equal(out[:, 0], out[:, 1])
    assert out[0, 0] == pytest.approx(16_384, abs=2)


def test_a_device_that_does_not_open_says_what_was_tried() -> None:
    """And one that is not there, its name."""
    with pytest.raises(MissingPart, match="16000 Hz, 1 and 1 channels"):
        DuplexStream(Line(), "", Card(rates=()))
    with pytest.raises(MissingPart, match="no microphone is called 'unplugged', only default"):
        DuplexStream(Line(), "unplugged", Card())


@pytest.mark.parametrize(
    ("names", "refused"),
    [
        (("Set: Audio (hw:1,0)", "Set: Audio (hw:1,0)"), False),
        (("Set: Audio (hw:1,0)", "Set: Out (hw:1,1)"), False),
        (("Set: Audio (hw:1,0)", "Board: Analog (hw:0,0)"), True),
        (("Set: Audio (hw:1,0)", "default"), True),
        (("default", "default"), False),
    ],
)
def test_two_cards_are_refused(
    names: tuple[str, str], refused: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the sound system hides is not; the canceller's own check is left for that."""
    monkeypatch.setattr(cards, "_server_knows_two", lambda: False)

    assert apart(Card(names=names), "") == (TWO if refused else "")


def test_of_a_named_microphone_its_own_loudspeaker_is_used() -> None:
    """One device, one clock."""
    card = Card(names=("Set: Audio (hw:1,0)", "Board: Analog (hw:0,0)"))
    DuplexStream(Line(), "Set", card)

    assert card.device == (0, 0)
    assert apart(card, "Set") == ""
    assert apart(Card(names=card.names, outputs=0), "Set") == TWO


@pytest.mark.parametrize(("sink", "two"), [("1", False), ("2", True), (None, False)])
def test_the_sound_server_is_asked_whose_the_usual_devices_are(
    sink: str | None, two: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the number of the card of the default source and the default sink."""

    def told(*arguments: str) -> str:
        kind = "source" if "source" in arguments[-1] else "sink"
        if arguments[0].startswith("get-default"):
            return f"the-{kind}\n"
        card = "1" if kind == "source" else sink
        properties = f'"alsa.card": "{card}"' if card else ""
        return f'[{{"name": "the-{kind}", "properties": {{{properties}}}}}]'

    monkeypatch.setattr(cards.shutil, "which", lambda _: "pactl")
    monkeypatch.setattr(cards, "_pactl", told)

    assert (apart(Card(), "") == TWO) is two
