"""Journals of whole jobs written by earlier versions still give the state they gave then."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.job import balance
from assistant.job.events import Event
from assistant.job.state import fold
from assistant.journal.codec import decode

GOLDEN = Path(__file__).parent / "golden"


def history(name: str) -> list[Event]:
    """Read a golden journal, lifted to the present version."""
    lines = (GOLDEN / name).read_text("ascii").splitlines()
    rows = [json.loads(line) for line in lines]
    return [decode(row["type"], row["version"], json.dumps(row["body"])) for row in rows]


def test_a_job_of_one_unit_and_the_first_format_folds_as_it_did() -> None:
    """Written before a job could have several units: sums, facts and timers are those of then."""
    state = fold(history("automatic-drain-refill-1.jsonl"))

    assert state.ended == "complete"
    assert state.units == ("",)
    assert state.sheet.unit == "automatic transmission"
    assert balance.drained(state).value == balance.poured(state).value == "4.2"  # type: ignore[union-attr]
    assert state.facts == {
        "vehicle": "on-wheels",
        "engine": "off",
        "washer": "new",
        "drain-plug": "torqued",
        "fluid": "agrees",
    }
    assert set(state.timers) == {"drain", "warming"}
    assert len(state.completed) == 30
    assert {one.fate for one in state.advice.values() if one.name == "refill"} == {"taken"}


@pytest.mark.parametrize("count", [1, 20, 60, 100, 127])
def test_every_beginning_of_it_can_be_taken_up(count: int) -> None:
    """A job cut off anywhere folds and stands at a step of its own procedure."""
    state = fold(history("automatic-drain-refill-1.jsonl")[:count])

    assert not state.step_id or state.step.id == state.step_id
    assert not state.ended
