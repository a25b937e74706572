"""What a job comes to, told by a version of the program from a journal: the same words whatever the version.

It is run by the interpreter of that version, as a text: only what every version has is used.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from assistant.job import balance
from assistant.job.events import Event
from assistant.job.state import fold
from assistant.journal import read_journal


def facts(events: list[Event]) -> dict[str, Any]:
    """Return the facts of a job: sums, readings, advice, timers, steps."""
    state = fold(events)
    drained, poured = balance.drained(state), balance.poured(state)
    return {
        "vehicle": state.sheet.vehicle,
        "step": state.step_id,
        "ended": state.ended,
        "completed": list(state.completed),
        "facts": dict(state.facts),
        "drained": f"{drained.value} {drained.unit}" if drained else "",
        "poured": f"{poured.value} {poured.unit}" if poured else "",
        "readings": {
            str(number): [one.kind, one.value, one.unit, one.step, one.withdrawn]
            for number, one in state.readings.items()
        },
        "advice": [[one.name, one.fate] for one in state.advice.values()],
        "timers": sorted(state.timers),
        "notes": state.notes,
    }


def told(journal: Path) -> dict[str, dict[str, Any]]:
    """Return the facts of each job of a journal."""
    with read_journal(journal) as store:
        return {row.id: facts(store.read(row.id)) for row in store.jobs()}


def differing(then: Any, now: Any) -> list[str]:
    """Return what of the facts of `then` is missing or another in `now`, which may know more of a state."""
    found = []
    for job, one in then.items():
        for name, value in one.items():
            held = now.get(job, {}).get(name)
            if held != value and not (name == "facts" and held and value.items() <= held.items()):
                found.append(f"{name} of job {job}: {value} became {held}")
    return found


if __name__ == "__main__":
    json.dump(told(Path(sys.argv[1])), sys.stdout, indent=1, sort_keys=True)
