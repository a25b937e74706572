"""The report of a job: everything of the record on it, visible corrections, and times as they were."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, timedelta, timezone
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from assistant.display.record import record
from assistant.display.report import report
from assistant.job.events import AdviceGiven
from assistant.journal.codec import encode
from assistant.phrasing.en.report import HEADINGS, WIDTH
from tests.bench import START, Bench

SHEET = Path(__file__).resolve().parents[2] / "assistant" / "procedures" / "vehicles" / "example.toml"
WAITING_S = 601
JOB = (
    "plate reads hotel seven kilo two", "done", "done", "all clear", "done", "done",
    "low by nought point two litres", "red", "done", "done", "next step", "running", "red and clear",
    "old washer on the plug", "magnet clean", WAITING_S, "a drop every six seconds", "done",
    "new washer on", "done", "torque three zero newton metres", "yes",
    "drained four litres", "another four zero litres", "another four zero litres",
    "correction another one point one litres", "done", "five zero degrees celsius", "done", "done", "yes",
    "note the gasket is old", "poured four litres", "hand over to alpha bravo",
)  # fmt: skip
"""A job of the invented vehicle up to the refill, with a challenge, a correction, a note, a hand-over."""


@cache
def bench() -> Bench:
    """The job, said once."""
    made = Bench(sheet=SHEET)
    for said in JOB:
        if isinstance(said, int):
            made.wait(said)
        else:
            made.hear(said)
    return made


def test_the_job_went_where_the_script_wants_it() -> None:
    """Else the other tests would test less than they say."""
    assert bench().step == "pour"


def test_every_sentence_of_the_journal_is_on_the_page() -> None:
    """Each reading with its value, its words, and what became of it."""
    text = " ".join(report(bench().history, UTC).split())

    assert '10 amount that came out: 4 L, fluid old, form bare "drained four litres" (stands' in text
    assert "(taken back, corrected, see 12, doubtful" in text
    assert 'drip interval: 6 s "a drop every six seconds" (stands' in text
    assert "mark hot, place below" in text


def test_corrections_and_challenges_stay_visible() -> None:
    """What was said first, what took its place, and why it was asked again."""
    text = " ".join(report(bench().history, UTC).split())

    assert "challenged: reading 11 40 L (over-capacity); said again and kept as doubtful" in text
    assert "corrected: amount that came out, 40 L (reading 11) became 1.1 L (reading 12)" in text


def test_the_fluid_balance_is_that_of_the_readings() -> None:
    """4 L and 1.1 L came out, 4 L of the advised amount are in."""
    table = record(bench().history, UTC)

    [unit] = table["units"]
    assert unit["balance"]["drained"] == {"value": "5.1", "unit": "litre"}
    assert unit["balance"]["poured"] == {"value": "4", "unit": "litre"}
    to_go = float(table["advice"][-1]["exact"]["value"]) - 4
    assert float(unit["balance"]["to-go"]["value"]) == pytest.approx(to_go, abs=0.01)


def test_advice_is_printed_with_its_inputs_formula_and_figure_as_spoken() -> None:
    """Every input, also two of one name."""
    table = record(bench().history, UTC)
    advice = table["advice"][-1]
    text = " ".join(report(bench().history, UTC).split())

    assert advice["fate"] == "taken"
    assert [name for name, _ in advice["inputs"]].count("drained") == 2
    assert f"{advice['spoken']['value']} L as said (taken)" in text
    assert advice["formula"] in text
    for _, value in advice["inputs"]:
        assert value in text


def test_advice_of_today_is_not_remarked_upon() -> None:
    """The record was made by the program that prints it."""
    assert {one["today"]["verdict"] for one in record(bench().history, UTC)["advice"]} == {"same"}
    assert "TODAY'S FORMULA" not in report(bench().history, UTC)


def test_advice_that_todays_formula_would_not_give_is_told() -> None:
    """As if an older program had advised half a litre more: what was said stays, today's figure beside it."""
    history = list(bench().history)
    place = max(at for at, one in enumerate(history) if isinstance(one, AdviceGiven) and one.name == "refill")
    given = history[place]
    assert isinstance(given, AdviceGiven)
    older = str(Decimal(given.value) + Decimal("0.5"))
    history[place] = replace(given, value=older, spoken_value=older, formula="an older one")

    row = record(history, UTC)["advice"][-1]
    text = " ".join(report(history, UTC).split())

    assert row["today"]["verdict"] == "differs"
    assert row["today"]["formula_changed"]
    assert float(row["today"]["figure"]["value"]) == pytest.approx(float(given.value), abs=0.005)
    assert f"GIVES ANOTHER FIGURE for the same readings: {row['today']['figure']['value']} L" in text
    assert f"{older} L as said" in text


def test_torque_stands_beside_the_figure_of_the_sheet() -> None:
    """So that anybody sees whether they agree."""
    assert "drain plug: 30 N m (stands, reading 9; the sheet asks 29 N m)" in report(bench().history, UTC)


def test_gates_cautions_timers_notes_and_people_are_told() -> None:
    """Each once."""
    text = " ".join(report(bench().history, UTC).split())

    assert "everyone-clear before start-before" in text
    assert "The fluid scalds and so does the metal." in text
    assert "drain, 600 s: due" in text
    assert "the gasket is old" in text
    assert "handed over (AB)" in text
    assert "21. plan the refill" in text
    assert "The vehicle's own service data decide" in text


def test_times_are_local_and_say_so() -> None:
    """ISO 8601 with the offset: 2026-09-21T14:13:20Z is 16:13:20 two hours east."""
    assert START.utc_ms == 1_790_000_000_000
    text = report(bench().history, timezone(timedelta(hours=2)))

    assert "2026-09-21T16:13:20+02:00" in text
    assert "16:13:20   1. " in text


def test_an_open_job_lists_what_is_open() -> None:
    """Steps by number and title."""
    table = record(bench().history, UTC)

    assert table["end"] == ""
    assert "pour" in " ".join(one["point"] for one in table["open"])
    assert all(one["title"] for one in table["open"] if one["point"].startswith("step "))


def test_every_heading_is_there_and_no_line_is_too_long() -> None:
    """Also where a section is empty."""
    lines = report(bench().history[:3], UTC).splitlines()

    assert [line for line in lines if line in HEADINGS.values()] == list(HEADINGS.values())
    assert max(map(len, report(bench().history, UTC).splitlines())) <= WIDTH


def test_the_record_is_plain_and_loses_nothing_by_json() -> None:
    """No library objects, no floats."""
    table = record(bench().history, UTC)

    assert json.loads(json.dumps(table), parse_float=pytest.fail) == table


def test_every_reading_note_and_figure_of_the_journal_is_counted() -> None:
    """As many rows as events."""
    history = bench().history
    names = [encode(event)[0] for event in history]
    table = record(history, UTC)

    for section, event in {
        "readings": "ReadingHeard", "gates": "GateConfirmed", "cautions": "CautionSpoken",
        "advice": "AdviceGiven", "timers": "TimerStarted", "notes": "NoteTaken", "findings": "FindingMade",
        "figures": "FigureSupplied", "exits": "ExitTaken",
    }.items():  # fmt: skip
        assert len(table[section]) == names.count(event), section
