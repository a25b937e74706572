"""The tally of a job is what `balance` says after each event, and is taken in one pass."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest

from assistant.job import balance, tally
from assistant.job import events as e
from assistant.job.state import apply, begin
from tests.bench import START, Bench
from tests.display.scripted import served
from tests.display.test_several_units import three

FORMS = ((), (("form", "part"),), (("form", "total"),), (("form", "open"),))
FLUIDS = ((), (("fluid", "new"),), (("fluid", "old"),))
UNITS = ("litre", "litre", "quart", "us_quart")


def drawn(chance: random.Random, many: int) -> list[e.Event]:
    """Return a job of amounts by chance: totals, parts, levels of a can, some taken back or settled later."""
    history = list(Bench().history)
    for number in range(100, 100 + many):
        at, known = START.later(number * 1000), range(100, number)
        kind = chance.choice(("drained", "poured", "poured", "can-left", "spilled", "temperature", "look"))
        slots = dict((*chance.choice(FORMS), *chance.choice(FLUIDS)))
        value, unit = f"{chance.randint(1, 40) / 10}", chance.choice(UNITS)
        heard = {"kind": kind, "value": value, "unit": unit, "slots": tuple(slots.items()), "step": "drain"}
        history.append(e.ReadingHeard(at=at, reading=number, **heard))  # type: ignore[arg-type]
        sort = chance.random()
        if known and sort < 0.3:
            which = chance.choice(known)
            settled = e.ReadingSettled(at=at, reading=which, unit="litre", form="part")
            stood = e.ReadingStood(at=at, reading=which, how="time")
            history.append(
                chance.choice((e.ReadingWithdrawn(at=at, reading=which, why="no"), settled, stood))
            )
        elif sort < 0.35:
            history.append(e.FigureSupplied(at=at, name="container", value=value, unit="litre"))
        elif sort < 0.4:
            rounds = sum(isinstance(one, e.RoundBegun) for one in history)
            history.append(e.RoundBegun(at=at, number=rounds + 2))
    return history


def compared(history: Sequence[e.Event]) -> int:
    """Compare each tally with the sums, also where there is none: nothing has changed there."""
    found = {id(one): totals for one, totals in tally.tallies(history)}
    state = begin(history[0])
    last = {key: balance.in_all(state.at_unit(key)) for key in state.units}
    for one in history[1:]:
        state = apply(one, state)
        last = dict(found.get(id(one), last))
        assert last == {key: balance.in_all(state.at_unit(key)) for key in state.units}, one
    return len(found)


@pytest.mark.parametrize(
    "name", ["service-repeat", "service-transfer", "cans", "implausible", "draw-off", "quarts", "restart"]
)
def test_it_agrees_after_each_event_of_a_whole_service(name: str) -> None:
    """Rounds, several units, cans, corrections, what is drawn off, other units."""
    assert compared(served(name).history) > 1


def test_it_agrees_where_several_units_are_worked_on() -> None:
    assert compared(three().history) > 5


def test_it_agrees_for_amounts_by_chance() -> None:
    chance = random.Random(4)
    assert sum(compared(drawn(chance, 25)) for _ in range(20)) > 500


def test_each_reading_is_added_once_in_a_job_of_thousands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Added up anew after each they would be added millions of times."""
    added = 0
    real = tally._Round.plus

    def counted(*arguments: object) -> object:
        nonlocal added
        added += 1
        return real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(tally._Round, "plus", counted)
    history = list(Bench().history)
    for number in range(1000, 4000):
        at = START.later(number)
        slots = (("form", "part"),)
        told = e.ReadingHeard(at=at, reading=number, kind="poured", value="1", unit="litre", slots=slots)
        history += [told, e.ReadingStood(at=at, reading=number, how="time")]

    *_, (_, totals) = tally.tallies(history)

    assert added == 3000
    into = totals[""][1]
    assert into is not None
    assert into.exact == 3000
