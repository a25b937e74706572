"""What came out, what went in, what is still to go: sums over the readings of a job.

Each sum is of the current unit of the job, and of the present round where a change is repeated, unless all
rounds are asked for. It is kept in the unit of its first reading. A reading whose form is still open (is
it one more, or the total?) is not counted until that is settled; a withdrawn one never is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.units import Measure, add, compare, convert, measured, subtract


def _plus(total: Measure | None, more: Measure) -> Measure:
    return more if total is None else add(total, more)


def counted(state: State, *kinds: str, standing: bool = False) -> tuple[Reading, ...]:
    """Return the readings of these kinds that the sums of this round use, oldest first."""
    return tuple(
        one
        for one in state.readings.values()
        if one.kind in kinds
        and one.counts
        and one.measure
        and (one.standing or not standing)
        and one.of == state.unit_id
        and one.round == state.round
    )


def total(readings: Iterable[Reading]) -> Measure | None:
    """Add readings up: a total replaces what came before it, anything else is one more part."""
    result: Measure | None = None
    for one in readings:
        result = with_one(result, one)
    return result


def with_one(result: Measure | None, one: Reading) -> Measure:
    """Return a sum with one counted reading more, which replaces it where it is the total."""
    measure = one.measure
    assert measure is not None, "only counted readings are summed"
    return measure if one.slots.get("form") == "total" else _plus(result, measure)


def drained(state: State, *, standing: bool = False) -> Measure | None:
    """Return what came out of the old fluid in all, or None before the first reading."""
    return total(old_fluid(state, standing=standing))


def old_fluid(state: State, *, standing: bool = False) -> tuple[Reading, ...]:
    """Return the readings of what came out before anything was put back."""
    readings = counted(state, "drained", standing=standing)
    return tuple(one for one in readings if not is_new(one))


def is_new(one: Reading) -> bool:
    """Say whether what was drained or spilled is of the new fluid."""
    return one.slots.get("fluid") == "new"


CAN_READS_TO = Fraction(1, 10)
"""How well a can's scale is read, as a share of the can (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Inflow:
    """What went in by pours and by what the cans lost, each drop once.

    A can's reading covers the pours told before it: it says how many cans are empty and what the open
    one lost. Where a can's size is unknown only its fall counts, and the pours in between if more.
    """

    into: Measure | None = None
    seen: tuple[Measure, Measure | None] | None = None
    """The can's last level, and what was in by then."""

    def plus(self, one: Reading, size: Measure | None) -> Inflow:
        """Return it with one counted pour or level of a can of this size more."""
        if one.kind == "poured":
            return Inflow(with_one(self.into, one), self.seen)
        now, into = one.measure, self.into
        assert now is not None, "only counted readings are summed"
        if size is not None and compare(now, size) <= 0:
            return Inflow(_by_cans(into, size, now), self.seen)
        if self.seen is not None and compare(now, self.seen[0]) <= 0:
            by_can = _plus(self.seen[1], subtract(self.seen[0], now))
            into = by_can if into is None or compare(into, by_can) < 0 else into
        return Inflow(into, (now, into))


NOTHING_IN = Inflow()


def _went_in(state: State, standing: bool) -> Measure | None:
    found = NOTHING_IN
    for one in counted(state, "poured", "can-left", standing=standing):
        found = found.plus(one, state.sheet.figure("container"))
    return found.into


def _by_cans(into: Measure | None, size: Measure, now: Measure) -> Measure:
    """Return what left cans of this size: the least that agrees with the open can and what was in before."""
    unit = into.unit if into is not None else now.unit
    full, lost = convert(size, unit).exact, convert(size, unit).exact - convert(now, unit).exact
    before = into.exact if into is not None else Fraction(0)
    emptied = max(ceil((before - lost) / full - CAN_READS_TO), 0)
    return measured(emptied * full + lost, unit)


def spilled(state: State, fluid: str, *, standing: bool = False) -> Measure | None:
    """Return what was spilled of the old or the new fluid."""
    readings = counted(state, "spilled", standing=standing)
    return total(one for one in readings if one.slots.get("fluid") == fluid)


def poured(state: State, *, standing: bool = False) -> Measure | None:
    """Return what went in: pours and what left the can, less new fluid that was spilled or drawn off."""
    drawn = [one for one in counted(state, "drained", standing=standing) if is_new(one)]
    return less(_went_in(state, standing), spilled(state, "new", standing=standing), total(drawn))


def less(into: Measure | None, *lost: Measure | None) -> Measure | None:
    """Return what went in less what was lost of it."""
    for one in lost:
        if into is not None and one is not None:
            into = subtract(into, one)
    return into


def estimated(state: State) -> bool:
    """Say whether an amount is only a guess ("about a cup"): then the level decides, and must be read."""
    return any(
        one.slots.get("about") == "yes" for one in counted(state, "drained", "poured", "can-left", "spilled")
    )


def to_go(state: State) -> Measure | None:
    """Return what is still to pour of the advice that was taken; None without one. May be negative."""
    advice = state.last_advice("refill")
    if advice is None or advice.fate != "taken":
        return None
    done = poured(state)
    return advice.exact if done is None else subtract(advice.exact, done)


def in_rounds(state: State) -> tuple[Measure, ...]:
    """Return what came out in each round so far, the present one last, as far as it was told."""
    found = (drained(one, standing=True) for one in by_round(state))
    return tuple(out for out in found if out is not None)


def by_round(state: State) -> tuple[State, ...]:
    """Return the state as seen from each round of the current unit, the present one last."""
    numbers = range(1, state.round + 1)
    return tuple(replace(state, rounds={**state.rounds, state.unit_id: number}) for number in numbers)


def in_all(state: State) -> tuple[Measure | None, Measure | None]:
    """Return what came out and what went in over all rounds of the unit."""
    rounds = by_round(state)
    return summed(map(drained, rounds)), summed(map(poured, rounds))


def summed(amounts: Iterable[Measure | None]) -> Measure | None:
    """Return the sum in the unit of the first, None of nothing."""
    result: Measure | None = None
    for one in amounts:
        result = _plus(result, one) if one is not None else result
    return result


def inside(state: State) -> Measure | None:
    """Return what the current unit holds by its sheet and the readings, None where the sheet lacks it."""
    capacity = state.sheet.figure("capacity")
    if capacity is None:
        return None
    out, into = in_all(state)
    held = capacity
    if out is not None:
        held = subtract(held, convert(out, held.unit))
    return add(held, convert(into, held.unit)) if into is not None else held


def below_minimum(state: State) -> bool:
    """Say whether the current unit holds less than it may be run with.

    A unit that was opened and got nothing back does, whatever its sheet says; what no sheet tells is
    known from the amounts only as far as that.
    """
    out, into = drained(state), poured(state)
    emptied = out is not None or bool(state.fact("drain-plug"))
    if emptied and into is None:
        return True
    held, least = inside(state), state.sheet.figure("run-minimum")
    return emptied and held is not None and least is not None and compare(held, least) < 0


def plugs_open(state: State) -> tuple[str, ...]:
    """Return the plugs of the current unit that are not closed and torqued."""
    from_key = len(f"{state.unit_id}/") if state.unit_id else 0
    names = (
        (key[from_key:], value)
        for key, value in state.facts.items()
        if key.endswith("-plug")
        and (key.startswith(f"{state.unit_id}/") if state.unit_id else "/" not in key)
    )
    return tuple(name for name, value in names if value != "torqued")


def without_fluid(state: State) -> tuple[str, ...]:
    """Return the keys of the units whose fluid is out: the drain plug open, or too little in them."""
    return _units(state, lambda there: "drain-plug" in plugs_open(there) or below_minimum(there))


def with_plug_open(state: State) -> tuple[str, ...]:
    """Return the keys of the units that hold their fluid, but have a plug that is not closed and torqued."""
    dry = without_fluid(state)
    return tuple(one for one in _units(state, lambda there: bool(plugs_open(there))) if one not in dry)


def _units(state: State, holds: Callable[[State], bool]) -> tuple[str, ...]:
    return tuple(unit for unit in state.units if holds(state.at_unit(unit)))
