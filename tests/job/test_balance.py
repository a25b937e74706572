"""What came out and what went in: every drop once, whichever way it is told."""

from __future__ import annotations

import pytest

from assistant.job import balance
from tests.bench import SHEET, Bench

BARE = SHEET.with_name("vehicle_bare.toml")


def told(*lines: str) -> Bench:
    """A job in which these amounts were told, at leisure."""
    bench = Bench()
    bench.hear(*lines, after_s=15.0)
    return bench


@pytest.mark.parametrize(
    ("lines", "litres"),
    [
        (("poured 1 litre", "poured another 0.5 litres"), "1.5"),
        (("poured 1 litre", "poured another 0.5 litres", "total poured 1.4 litres"), "1.4"),
        (("can at 2.4 litres",), "1.6"),
        (("can at 2.4 litres", "can at 1.9 litres"), "2.1"),
        # The can's fall is the pour that was told just before it, not one more.
        (("poured 1 litre", "can at 3.1 litres"), "0.9"),
        (("poured 1 litre", "can at 2.9 litres"), "1.1"),
        # A can that holds more than before is the next one: the one before it is empty.
        (("poured 4 litres", "can at 3.2 litres"), "4.8"),
        (("can at 2.4 litres", "can at 3.5 litres"), "4.5"),
        (("can at 1 litre", "poured another 1 litre", "can at 3.8 litres"), "4.2"),
        (("poured 3 litres", "spilled 0.2 litres"), "2.8"),
    ],
)
def test_what_went_in_is_counted_once(lines: tuple[str, ...], litres: str) -> None:
    """Cans of four litres on the sheet; arithmetic by hand, the rule is common practice, no source."""
    went_in = balance.poured(told(*lines).session.state)

    assert went_in is not None
    assert (went_in.value, went_in.unit) == (litres, "litre")


def test_without_the_size_of_a_can_only_its_fall_counts() -> None:
    """The first reading says nothing; pours told in between are part of the fall."""
    bench = Bench(sheet=BARE)
    bench.hear("can at 3 litres", after_s=15.0)
    assert balance.poured(bench.session.state) is None

    bench.hear("poured 0.5 litres", "can at 2.2 litres", after_s=15.0)
    went_in = balance.poured(bench.session.state)

    assert went_in is not None
    assert went_in.value == "0.8"


@pytest.mark.parametrize(
    ("lines", "litres"),
    [
        # Parts, a total, and a replacement of the last part.
        (("first can 4 litres", "another 0.6 litres"), "4.6"),
        (("first can 4 litres", "another 0.6 litres", "4.5 litres in all"), "4.5"),
        (("first can 4 litres", "second can 0.6 litres", "correction second can 0.8 litres"), "4.8"),
        (("first can 4 litres", "another 0.6 litres", "correction second can 0.8 litres"), "4.8"),
        (("first can 4 litres", "second can 0.6 litres", "correction 0.7 litres"), "4.7"),
        (("drained 3 litres", "1 litre", "one more"), "4"),
        (("drained 3 litres", "4 litres", "in total"), "4"),
        (("drained 3 litres", "3.5 litres", "instead"), "3.5"),
    ],
)
def test_what_came_out_is_counted_once(lines: tuple[str, ...], litres: str) -> None:
    """Parts add, a total is the sum, a correction replaces (arithmetic by hand)."""
    bench = told(*lines)
    came_out = balance.drained(bench.session.state)

    assert bench.session.state.question is None
    assert came_out is not None
    assert (came_out.value, came_out.unit) == (litres, "litre")


def test_an_open_second_amount_is_not_counted_yet() -> None:
    """Not guessed: until it is settled the sum stays what it was."""
    bench = told("drained 3 litres", "1 litre")
    came_out = balance.drained(bench.session.state)

    assert bench.keys[-1] == "which-form"
    assert came_out is not None
    assert came_out.value == "3"
