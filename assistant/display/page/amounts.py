"""The two sides of the balance on the page: what came out of the unit worked on and what went in.

Where a job has several units or makes a change more than once, the large figures are of the unit and round
worked on now, and each unit has its sums over all its rounds beside.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from assistant.job import balance
from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.phrasing.en import page as words
from assistant.units import Measure, convert, kind_of, settled

Picture = dict[str, Any]

SIDES: Mapping[str, tuple[str, ...]] = {
    "out": ("drained", "spilled"),
    "in": ("poured", "can-left"),
}
MOST_ENTRIES = 4
LEAST_SHARE = Fraction(1, 100)
"""Less than this share of the advised amount is not asked for: it comes of rounding what was spoken."""


PLAIN = ("drained", "poured")
"""Kinds that say no more than the heading of their side does."""


def status_of(one: Reading) -> str:
    """Return what a reading counts for: standing, heard (read back), doubtful or withdrawn."""
    if one.withdrawn:
        return "withdrawn"
    if one.doubtful:
        return "doubtful"
    return "standing" if one.standing else "heard"


def row_of(one: Reading) -> Picture:
    """Return a reading as a row: what it is of, its figure, and in a word whether it stands."""
    status = status_of(one)
    return {
        "id": one.id,
        "kind": words.kind_text(one.kind),
        "text": words.reading_text(one),
        "status": status,
        "mark": words.MARKS[status],
        "at": one.at.utc_ms,
    }


def side(state: State, name: str, total: Measure | None) -> Picture:
    """Return one side, `out` or `in`: its sum and the newest readings of this unit and round behind it."""
    rows = [
        one
        for one in state.readings.values()
        if side_of(one) == name and one.of == state.unit_id and one.round == state.round
    ]
    number, unit = words.shown(total)
    return {
        "number": number or "0",
        "unit": unit or words.shown(_like(state))[1],
        "none": total is None,
        "entries": [_entry(one) for one in rows[-MOST_ENTRIES:]],
        "more": max(len(rows) - MOST_ENTRIES, 0),
    }


def _entry(one: Reading) -> Picture:
    drawn = one.kind == "drained" and one.slots.get("fluid") == "new"
    row = row_of(one)
    return row if drawn or one.kind not in PLAIN else {**row, "kind": ""}


def units(state: State) -> list[Picture]:
    """Return each unit of several with its sums over all rounds, and what is special about it in words."""
    if len(state.units) < 2:
        return []
    rows = []
    for key in state.units:
        there = state.at_unit(key)
        out, into = balance.in_all(there)
        rows.append(
            {
                "name": there.unit_name(),
                "out": words.together(out),
                "in": words.together(into),
                "here": key == state.unit_id,
                "marks": words.unit_marks(there, here=key == state.unit_id),
            }
        )
    return rows


def repeated(state: State) -> Picture | None:
    """Return which round of a repeated change this is and the sums of all; None in the first."""
    if state.round < 2:
        return None
    out, into = balance.in_all(state)
    return {"number": state.round, "out": words.together(out), "in": words.together(into)}


def side_of(one: Reading) -> str:
    """Return on which side of the balance a reading is written, nothing where on none."""
    if one.kind in ("drained", "spilled") and one.slots.get("fluid") == "new":
        return "in"
    return next((side for side, kinds in SIDES.items() if one.kind in kinds), "")


def _like(state: State) -> Measure:
    """Return an amount in the unit the job reckons in."""
    for found in (balance.drained(state), balance.poured(state), state.sheet.figure("capacity")):
        if found is not None:
            return found
    return Measure("0", "litre")


def scale(state: State) -> Picture:
    """Return both amounts, the usual band and the advised amount as shares of one scale."""
    unit = _like(state).unit
    advice = state.last_advice("refill")
    taken = advice is not None and advice.fate == "taken"
    marks: dict[str, Fraction] = {}
    for name, one in {
        "out": balance.drained(state),
        "in": balance.poured(state),
        "least": state.sheet.figure("drain-least"),
        "expected": state.sheet.figure("drain-expected"),
        "most": state.sheet.figure("drain-most"),
        "advised": advice.exact if advice is not None else None,
    }.items():
        if one is not None and settled(one.unit) and settled(unit) and kind_of(one.unit) == "volume":
            marks[name] = max(convert(one, unit).exact, Fraction(0))
    full = max([*marks.values(), Fraction(1)]) * Fraction(11, 10)
    to_go = _worth_pouring(state, balance.to_go(state))
    number, symbol = words.shown(to_go)
    return {
        **{name: round(float(value / full), 4) for name, value in marks.items()},
        "to_go": {"number": number.lstrip("-"), "unit": symbol, "over": number.startswith("-")}
        if to_go is not None
        else None,
        "advised_text": words.together(advice.spoken) if advice is not None else "",
        "taken": taken,
        "expected_text": words.together(state.sheet.figure("drain-expected")),
    }


def _worth_pouring(state: State, to_go: Measure | None) -> Measure | None:
    """Return what is still to pour, None where no can shows it or the job is over."""
    advice = state.last_advice("refill")
    if to_go is None or advice is None or state.ended:
        return None
    return None if abs(to_go.exact) < abs(advice.exact.exact) * LEAST_SHARE else to_go
