"""What came out, what went in, what is still to go: sums over the readings of a job.

Each sum is kept in the unit of its first reading. A reading whose form is still open (is it one more,
or the total?) is not counted until that is settled; a withdrawn one never is.
"""

from __future__ import annotations

from collections.abc import Iterable

from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.units import Measure, add, compare, subtract


def _plus(total: Measure | None, more: Measure) -> Measure:
    return more if total is None else add(total, more)


def counted(state: State, *kinds: str, standing: bool = False) -> tuple[Reading, ...]:
    """Return the readings of these kinds that the sums use, oldest first."""
    return tuple(
        one
        for one in state.readings.values()
        if one.kind in kinds and one.counts and one.measure and (one.standing or not standing)
    )


def total(readings: Iterable[Reading]) -> Measure | None:
    """Add readings up: a total replaces what came before it, anything else is one more part."""
    result: Measure | None = None
    for one in readings:
        measure = one.measure
        assert measure is not None, "only counted readings are summed"
        result = measure if one.slots.get("form") == "total" else _plus(result, measure)
    return result


def drained(state: State, *, standing: bool = False) -> Measure | None:
    """Return what came out of the old fluid in all, or None before the first reading."""
    return total(old_fluid(state, standing=standing))


def old_fluid(state: State, *, standing: bool = False) -> tuple[Reading, ...]:
    """Return the readings of what came out before anything was put back."""
    readings = counted(state, "drained", standing=standing)
    return tuple(one for one in readings if one.slots.get("fluid") != "new")


def _from_can(state: State, standing: bool) -> Measure | None:
    """Return what left the can: the fall of its readings, from a full can where its size is known."""
    level = state.sheet.figure("container")
    poured_out: Measure | None = None
    for one in counted(state, "can-left", standing=standing):
        now = one.measure
        assert now is not None, "only counted readings are summed"
        if level is not None and compare(now, level) <= 0:
            poured_out = _plus(poured_out, subtract(level, now))
        level = now
    return poured_out


def spilled(state: State, fluid: str, *, standing: bool = False) -> Measure | None:
    """Return what was spilled of the old or the new fluid."""
    readings = counted(state, "spilled", standing=standing)
    return total(one for one in readings if one.slots.get("fluid") == fluid)


def poured(state: State, *, standing: bool = False) -> Measure | None:
    """Return what went in: pours and what left the can, less new fluid that was spilled or drawn off."""
    result = total(counted(state, "poured", standing=standing))
    from_can = _from_can(state, standing)
    if from_can is not None:
        result = _plus(result, from_can)
    drawn = [one for one in counted(state, "drained", standing=standing) if one.slots.get("fluid") == "new"]
    for lost in (spilled(state, "new", standing=standing), total(drawn)):
        if result is not None and lost is not None:
            result = subtract(result, lost)
    return result


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
