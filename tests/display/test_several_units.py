"""A job of several units, and one done in rounds: all of them are in record, report and page."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import UTC

from assistant.display.document import series
from assistant.display.document.content import Content, content
from assistant.display.document.tables import as_csv, schema
from assistant.display.page.amounts import Picture
from assistant.display.page.picture import picture
from assistant.display.record import record
from assistant.display.report import report
from assistant.phrasing.en.page import LABELS
from tests.bench import Bench
from tests.display.scripted import served

TOLD = {"transfer case": "1.3", "front differential": "1.1", "rear differential": "1.9"}
"""What the conversation drains from each unit and pours into it, in litres."""
TORQUES = [("20", "15"), ("47", "39"), ("52", "44")]
"""What it tightens drain and fill plug of each to, newton metres: the figures of their sheets."""


def three() -> Bench:
    """Transfer case, front and rear differential, to the end."""
    return served("service-transfer")


def again() -> Bench:
    """The same drain and refill twice, 5.2 litres each time."""
    return served("service-repeat")


def seen(bench: Bench) -> Picture:
    """What the page shows."""
    return picture(bench.session.state, bench.history[-40:], bench.clock.now())


def rows_of(whole: Content, name: str) -> tuple[tuple[str, ...], ...]:
    """The rows of one part of a report."""
    return next(one.rows for one in whole.parts if one.name == name)


def test_each_unit_has_its_sums_its_plate_and_its_torques_on_record() -> None:
    """In the order they were worked on, torques beside the sheet of the right unit."""
    table = record(three().history, UTC)

    assert {one["name"]: one["balance"]["drained"]["value"] for one in table["units"]} == TOLD
    assert {one["name"]: one["balance"]["poured"]["value"] for one in table["units"]} == TOLD
    assert [one["name"] for one in table["units"]] == list(TOLD)
    assert [one["plate"] for one in table["units"]] == ["C6T3", "C6F1", "C6R1"]
    told = [(one["of"], one["value"], one["sheet"]["value"]) for one in table["torques"]]
    keys = [one["key"] for one in table["units"]]
    assert told == [(key, nm, nm) for key, pair in zip(keys, TORQUES, strict=True) for nm in pair]


def test_the_report_tells_every_unit(lacking: Callable[[str], None]) -> None:
    """Fluids by unit, a column of the balance for each, readings with the unit they are of."""
    try:
        import jsonschema
    except ImportError:
        lacking("jsonschema is not installed")
    table = record(three().history, UTC)
    jsonschema.validate(table, schema())
    whole = content(three().history, zone=UTC, plots=False)
    balance = next(one for one in whole.parts if one.name == "balance")

    assert balance.columns == ("", "Transfer case", "Front differential", "Rear differential")
    assert balance.rows[0] == ("came out", *(f"{litres} L" for litres in TOLD.values()))
    assert [row[0] for row in rows_of(whole, "fluids")] == [name for name in TOLD for _ in range(2)]
    assert [row[0] for row in rows_of(whole, "torques")][:2] == [
        "transfer case: drain plug", "transfer case: fill plug"
    ]  # fmt: skip
    assert dict(whole.facts)["New parts"] == "crush washer (6)"  # type: ignore[arg-type]
    assert "rear differential: went in: 1.9 L" in report(three().history, UTC)
    found = list(csv.DictReader(io.StringIO(as_csv(table).removeprefix("\ufeff"))))
    sums = {
        one["of"]: one["value"] for one in found if (one["section"], one["name"]) == ("balance", "poured")
    }
    assert sums == TOLD


def test_the_plots_are_one_for_each_unit() -> None:
    """Each ends at its own amounts."""
    found = series.amounts(three().history)

    assert {one.of: f"{one.out[-1][1]:g}" for one in found} == TOLD
    assert {one.of: f"{one.into[-1][1]:g}" for one in found} == TOLD
    drains = [one.name for one in series.course(three().history) if one.lane == "timer"]
    assert drains == [f"{name}: drain" for name in TOLD]


def test_the_page_tells_the_unit_at_work_large_and_every_unit_beside() -> None:
    """At the refill of the front differential: 1.1 out of it, nothing in; the transfer case is done."""
    now = seen(served("service-transfer", "front-pour"))

    assert (now["out"]["number"], now["in"]["none"]) == ("1.1", True)
    assert [one["text"] for one in now["out"]["entries"]] == ["1.1 L"]
    assert [(one["name"], one["out"], one["in"]) for one in now["units"]] == [
        ("transfer case", "1.3 L", "1.3 L"),
        ("front differential", "1.1 L", ""),
        ("rear differential", "", ""),
    ]
    assert [one["marks"] for one in now["units"]] == ["", f"{LABELS['at-work']}, fill plug loose", ""]
    assert {one["kind"] for one in now["readings"]} == {"temperature", "torque", "washer", "drip interval"}


def test_a_timer_that_ended_is_told_of_the_unit_at_work_only() -> None:
    """The drain timer of the transfer case is long over when that of the front differential runs."""
    now = seen(served("service-transfer", "front-drain-wait"))

    assert [(one["name"], one["state"]) for one in now["timers"]] == [
        ("front differential drain timer", "runs")
    ]


def test_a_unit_that_was_left_says_so() -> None:
    """Its fill plug will not move: it keeps its oil, and record and page tell it."""
    bench = Bench(sheet=three().sheet, service=three().service)
    bench.hear("all laid out", "done", "engine off", "on the stands", "plate reads charlie six tango three")
    bench.hear("done", "plug is stuck", "plug is stuck")
    [left] = [one for one in record(bench.history, UTC)["units"] if one["left"]]

    assert left["name"] == "transfer case"
    assert left["balance"] == {}
    assert seen(bench)["units"][0]["marks"] == LABELS["unit-left"]
    assert "transfer case left as it was" in report(bench.history, UTC)
    assert (
        "transfer case left as it was" in dict(content(bench.history, zone=UTC, plots=False).facts)["Outcome"]
    )


def test_every_round_is_told_and_all_together() -> None:
    """5.2 litres twice are 10.4; before the second refill, 10.4 are out and 5.2 in."""
    table = record(again().history, UTC)
    [unit] = table["units"]
    whole = content(again().history, zone=UTC, plots=False)
    balance = next(one for one in whole.parts if one.name == "balance")

    assert [one["drained"]["value"] for one in unit["rounds"]] == ["5.2", "5.2"]
    assert unit["balance"]["poured"]["value"] == "10.4"
    assert balance.columns == ("", "Round 1", "Round 2", "In all")
    assert balance.rows[0] == ("came out", "5.2 L", "5.2 L", "10.4 L")
    [drawn] = series.amounts(again().history)
    assert drawn.out[-1][1] == 10.4
    assert seen(again())["round"] == {"number": 2, "out": "10.4 L", "in": "10.4 L"}
    assert seen(again())["out"]["number"] == "5.2"


def test_a_repeated_change_renews_more_than_one() -> None:
    """Each round takes out its share of what is left: (1 - d/c) twice (perfect mixing)."""
    state = again().session.state
    capacity = state.sheet.figure("capacity")
    assert capacity is not None
    left = 1 - 5.2 / float(capacity.exact)
    [(_, found)] = series.shares([again().history])

    assert abs(found[-1][1] - 100 * (1 - left**2)) < 0.01
