"""What a record sums up for each unit of a job: amounts, by round and in all; torques, bolts, next due."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.past import fitted, next_due
from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.units import Measure, convert, plain, settled

Table = dict[str, Any]
DIGITS = 6
"""Significant digits of a figure that was reckoned; readings keep the digits they were said with."""
SUMS: Mapping[str, Callable[[State], Measure | None]] = {
    "drained": balance.drained,
    "poured": balance.poured,
    "spilled-old": lambda state: balance.spilled(state, "old"),
    "spilled-new": lambda state: balance.spilled(state, "new"),
}


def figure(measure: Measure) -> Table:
    """Return a reckoned measure as a table."""
    return {"value": plain(measure.exact, DIGITS), "unit": measure.unit}


def units(history: Sequence[e.Event], state: State) -> list[Table]:
    """Return what was done to each unit of a job, in the order of the service; one where there is but one."""
    left = {one.of: one.why for one in history if isinstance(one, e.UnitLeft)}
    return [{**_unit(state.at_unit(key)), "left": left.get(key, "")} for key in state.units]


def _unit(state: State) -> Table:
    rounds = [{name: sum_of(one) for name, sum_of in SUMS.items()} for one in balance.by_round(state)]
    due = next_due(state)
    whole = {name: balance.summed(one[name] for one in rounds) for name in SUMS}
    if not state.ended:
        whole["to-go"] = balance.to_go(state)
    return {
        "key": state.unit_id,
        "name": state.unit_name() or state.sheet.unit,
        "fluid_class": state.sheet.texts.get("fluid-class", ""),
        "plate": _plate(state),
        "parts": fitted(state),
        "next_due": {"value": due.value, "unit": due.unit} if due is not None else None,
        "balance": _told(whole),
        "rounds": [_told(one) for one in rounds],
    }


def _plate(state: State) -> str:
    """Return the code on the plate of this unit as it was read last."""
    read = [one for one in state.readings.values() if one.kind == "plate" and not one.withdrawn]
    mine = [one.slots.get("code", one.value or "") for one in read if one.of == state.unit_id]
    return mine[-1] if mine else ""


def _told(sums: Mapping[str, Measure | None]) -> Table:
    return {name: figure(measure) for name, measure in sums.items() if measure is not None}


def torqued(state: State) -> Iterator[tuple[Reading, Measure, str, Measure | None]]:
    """Yield each torque that was not taken back: its measure, its plug, what the sheet of its unit asks."""
    for one in state.readings.values():
        if one.kind == "torque" and not one.withdrawn and one.measure is not None:
            plug = one.slots.get("plug", "drain")
            yield one, one.measure, plug, state.at_unit(one.of).sheet.figure(f"{plug}-plug-torque")


def torques(state: State) -> list[Table]:
    """Return each torque that was not taken back, beside what the sheet of its unit asks for."""
    rows = []
    for one, read, plug, wanted in torqued(state):
        same = convert(wanted, read.unit) if wanted is not None and settled(read.unit) else None
        rows.append(
            {
                "reading": one.id,
                "of": one.of,
                "plug": plug,
                "value": one.value,
                "unit": one.unit,
                "standing": one.standing,
                "sheet": figure(same) if same is not None else None,
            }
        )
    return rows


def bolts(history: Sequence[e.Event], when: Callable[[Instant], str]) -> list[Table]:
    """Return each round in which bolts were tightened, and how many were counted aloud in it."""
    rows: list[Table] = []
    whole: dict[str, int] = {}
    counted: dict[tuple[str, int], set[int]] = {}
    for one in history:
        if isinstance(one, e.BoltsBegun):
            whole[one.of] = one.bolts
        elif isinstance(one, e.BoltTightened):
            counted.setdefault((one.of, one.round), set()).add(one.bolt)
        elif isinstance(one, e.BoltRoundDone):
            mine = counted.pop((one.of, one.round), set())
            rows.append(
                {
                    "at": when(one.at),
                    "of": one.of,
                    "round": one.round,
                    "bolts": whole.get(one.of, 0),
                    "counted": len(mine),
                    "last": one.last,
                }
            )
    return rows
