"""A microphone whose sound does not come as fast as time passes is noticed; a hole in it is, too."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.blocks import Block
from assistant.hearing.pace import TOO_LITTLE, TOO_MUCH, TORN_S, WRONG_S, Pace

SAMPLES = 160
BLOCK_S = 0.01


def at_speed(speed: float, seconds: float, begun: float = 50.0) -> Iterator[Block]:
    """Sound of a device that gives `speed` times as much as time passes."""
    for number in range(round(seconds * speed / BLOCK_S)):
        yield Block(bytes(2 * SAMPLES), at=begun + (number + 1) * BLOCK_S / speed - BLOCK_S)


def noticed_s(blocks: Iterator[Block], pace: Pace) -> float | None:
    """After how many seconds the pace is found wrong."""
    begun = None
    for block in blocks:
        begun = begun or block.at
        pace.take(block)
        if pace.wrong:
            return block.at - begun
    return None


@pytest.mark.parametrize(
    ("speed", "within_s", "why"),
    [
        (0.3, 2.0, TOO_LITTLE),
        (0.6, 4.0, TOO_LITTLE),
        (0.75, 8.0, TOO_LITTLE),
        (1.5, 4.0, TOO_MUCH),
        (3, 1, TOO_MUCH),
    ],
)
def test_a_device_that_runs_wrongly_is_noticed_within_seconds(
    speed: float, within_s: float, why: str
) -> None:
    """The sooner, the farther out it is."""
    pace = Pace()
    took = noticed_s(at_speed(speed, 20.0), pace)

    assert took is not None
    assert took < within_s
    assert pace.wrong == why


@pytest.mark.parametrize("speed", [0.95, 0.999, 1.0, 1.001, 1.05])
def test_the_clock_of_a_real_card_is_no_fault(speed: float) -> None:
    """However long it runs, nothing of it is called missing."""
    pace = Pace()
    assert sum(pace.take(block) for block in at_speed(speed, 600.0)) == 0
    assert not pace.wrong


def test_a_device_that_gives_its_sound_in_parts_is_noticed_and_each_part_counts_as_torn() -> None:
    """Six tenths of each second arrive, in one piece."""
    pace, holes, took = Pace(), 0, 0.0
    for second in range(20):
        for number in range(60):
            block = Block(bytes(2 * SAMPLES), at=10.0 + second + number * BLOCK_S)
            holes += pace.take(block) > 0
            took = took or (block.at - 10.0 if pace.wrong else 0.0)

    assert holes == 19
    assert 2.0 < took < 5.0


def test_a_hole_is_told_once_in_samples() -> None:
    """Where the sound system had counted it already, it is not counted again."""
    pace = Pace()
    for block in at_speed(1.0, 1.0, begun=50.0):
        assert pace.take(block) == 0
    assert pace.take(Block(bytes(2 * SAMPLES), at=51.4)) == pytest.approx(0.4 * 16_000, rel=0.12)
    assert pace.take(Block(bytes(2 * SAMPLES), at=51.41)) == 0
    assert pace.take(Block(bytes(2 * SAMPLES), lost=8_000, at=51.92)) == 0
    assert not pace.wrong


def test_small_holes_count_together() -> None:
    """Each shorter than a sound of a word, many of them more."""
    pace, at, found = Pace(), 1.0, 0
    for _ in range(50):
        found += pace.take(Block(bytes(2 * SAMPLES), at=at)) > 0
        at += BLOCK_S + TORN_S / 8
    assert found >= 4


@given(late=st.lists(st.floats(0, TORN_S / 2), min_size=1, max_size=300))
def test_blocks_that_come_late_but_whole_are_no_hole(late: list[float]) -> None:
    """As of a card without a clock, on a busy computer: what came late was captured before."""
    pace = Pace()
    for number, by in enumerate(late):
        assert pace.take(Block(bytes(2 * SAMPLES), at=5.0 + number * BLOCK_S + by)) == 0
    assert not pace.wrong


def test_one_stall_that_was_caught_up_with_is_no_fault() -> None:
    """Blocks without a clock of the card's: all those of a second come at its end."""
    pace = Pace(WRONG_S)
    blocks = list(at_speed(1.0, 10.0))
    for number, block in enumerate(blocks):
        pace.take(Block(block.pcm, at=block.at if not 300 <= number < 390 else blocks[390].at))
    assert not pace.wrong


def test_sound_that_does_not_know_its_time_is_left_alone() -> None:
    """Nothing can be said of it."""
    pace = Pace()
    assert not any(pace.take(Block(bytes(2 * SAMPLES))) for _ in range(1_000))
    assert not pace.wrong
