"""The history's tables and their words: sums by hand, searches, two jobs side by side, the waste log."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import UTC, timedelta, timezone
from fractions import Fraction
from typing import Any

import pytest

from assistant.display.history import tables
from assistant.display.history.entry import Entry, entry
from assistant.display.history.text import as_text
from assistant.errors import WrongInput
from assistant.job import events as e
from assistant.job.events import WasteHandedOver
from assistant.journal.memory import MemoryJournal
from assistant.phrasing.en import history as words
from tests.bench import START
from tests.display.history.jobs import entries_of, job, years
from tests.display.scripted import served

MINE = "Quarry Road pickup"


def mine() -> list[Entry]:
    """The three services and the job hardly begun."""
    return entries_of(years()[0])


def handed(value: str, unit: str, kind: str = "oil", day: int = 70) -> Entry:
    """Waste that left."""
    at = START.later(day * 86_400_000)
    return entry("waste-1", [WasteHandedOver(at=at, kind=kind, value=value, unit=unit, to="collection")])


def test_every_vehicle_and_unit_has_a_row_and_the_newest_job_comes_first() -> None:
    """Services counted by hand; the last amount and distance are those of the newest that told one."""
    table = tables.jobs(mine(), UTC)

    assert [(one["vehicle"], one["jobs"]) for one in table["vehicles"]] == [("Harrow Lane van", 1), (MINE, 3)]
    assert table["vehicles"][1]["distance"] == {"value": "108000", "unit": "kilometre"}
    assert [one["begun"][:10] for one in table["services"]] == [
        "2026-11-25", "2026-10-21", "2026-10-11", "2026-09-21",
    ]  # fmt: skip
    assert json.loads(json.dumps(table), parse_float=pytest.fail) == table


def test_a_vehicle_is_found_by_a_part_of_its_name() -> None:
    """In any letter case; an unknown one is refused with the known ones."""
    assert len(tables.of_vehicle(mine(), "quarry")["services"]) == 3
    assert tables.of_vehicle(mine(), MINE) == tables.of_vehicle(mine(), "quarry")
    with pytest.raises(WrongInput, match="Harrow Lane van, Quarry Road pickup"):
        tables.of_vehicle(mine(), "nobody")


def test_findings_stand_over_time_with_their_distances() -> None:
    """The flakes of the second service stand at its distance."""
    parts = words.of_vehicle(tables.of_vehicle(mine(), MINE, UTC))
    found = next(rows for name, _, _, rows in parts if name == "found-1")

    assert [row[:3] for row in found] == [
        ("2026-11-25", "108000 km", "fuzz"),
        ("2026-10-11", "99210 km", "flakes"),
        ("2026-09-21", "84210 km", "fuzz"),
    ]


@pytest.mark.parametrize(
    ("text", "days"),
    [("flakes", ["10-11"]), ("FLAKES pickup", ["10-11"]), ("84210", ["09-21"]), ("glitter", []), ("", [])],
)
def test_a_search_wants_every_word(text: str, days: list[str]) -> None:
    """Of readings, names and findings, in any letter case and order."""
    assert [one["begun"][5:10] for one in tables.search(mine(), text, UTC)["services"]] == days


def test_two_jobs_stand_side_by_side() -> None:
    """15 000 km lie between the first two; both took 4.2 litres; the magnet differs."""
    first, second = (one.job for one in mine()[:2])
    rows = {row[0]: row[1:] for row in words.compare(tables.compare(mine(), first, second, UTC))[0][3]}

    assert rows["distance driven"] == ("84210 km", "99210 km", "+15000 km")
    assert rows["went in"] == ("4.2 L", "4.2 L", "same")
    assert ("magnet fuzz" in rows["findings"][0], "magnet flakes" in rows["findings"][1]) == (True, True)
    with pytest.raises(WrongInput, match="fits 4 jobs"):
        tables.compare(mine(), "01M", second)
    with pytest.raises(WrongInput, match="no job begins"):
        tables.compare(mine(), "02", second)


def test_a_month_tells_fluid_parts_and_waste() -> None:
    """One service in November: 4.2 litres by class, one washer, as much waste; by the local calendar."""
    table = tables.month(mine(), "2026-11", UTC)

    assert (table["jobs"], table["parts"]) == (1, [{"part": "crush-washer", "count": 1}])
    assert [one["amount"] for one in table["fluids"]] == [{"value": "4.2", "unit": "litre"}]
    assert table["waste"] == [{"kind": "oil", "amount": {"value": "4.2", "unit": "litre"}}]
    assert tables.month(mine(), "2026-12", UTC)["jobs"] == 0
    east = timezone(timedelta(hours=14))
    late = tables.jobs(mine(), east)["services"][0]["begun"]
    assert tables.month(mine(), late[:7], east)["jobs"] == 1


@pytest.mark.parametrize(
    ("service", "parts"),
    [
        ("service-pan-filter", {"crush-washer": 1, "filter": 1, "pan-gasket": 1}),
        ("service-engine", {"crush-washer": 1, "filter": 1}),
        ("service-repeat", {"crush-washer": 2}),
        ("service-manual", {"crush-washer": 2}),
    ],
)
def test_the_parts_are_those_that_were_fitted(service: str, parts: dict[str, int]) -> None:
    """A washer for each plug and round, a filter and a pan gasket where the step that fits them was done."""
    [one] = tables.jobs([entry("j", served(service).history)], UTC)["services"]

    assert one["parts"] == parts


@pytest.mark.parametrize("name", ["2026-13", "2026-1", "november", "2026-11-02", "20-11", ""])
def test_what_is_no_month_is_refused(name: str) -> None:
    """With an example of one."""
    with pytest.raises(WrongInput, match="2026-11"):
        tables.month(mine(), name)


def test_spilled_and_drawn_off_new_fluid_is_used_all_the_same() -> None:
    """4.2 poured of which 0.3 went beside: 3.9 are in, 4.2 left their can; waste is what came out, 4.2."""
    journal = MemoryJournal()
    job(journal, 0, said={"pour": ("poured 3 litres", "another 1.2 litres", "spilled 0.3 litres")},
        until="lower")  # fmt: skip
    (row,) = tables.jobs(entries_of(journal))["services"]

    assert (row["into"], row["used"], row["waste"]) == tuple(
        {"value": value, "unit": "litre"} for value in ("3.9", "4.2", "4.2")
    )


def test_waste_that_left_is_taken_off_by_kind() -> None:
    """12.6 litres came out; 2 US gallons of 3.785 411 784 litres (NIST SP 811, appendix B) went."""
    table = tables.waste([*mine(), handed("2", "us_gallon"), handed("1", "litre", "coolant")], UTC)
    oil, coolant = (next(one for one in table["kinds"] if one["kind"] == kind) for kind in ("oil", "coolant"))

    assert Fraction(oil["here"]["value"]) == pytest.approx(12.6 - 2 * 3.785411784, abs=1e-4)
    assert coolant["here"] == {"value": "-1", "unit": "litre"}
    assert [one["to"] for one in table["handed_over"]] == ["collection", "collection"]
    assert tables.month([handed("1", "litre", day=0)], "2026-09", UTC)["handed_over"][0]["kind"] == "oil"


def test_spoiled_fluid_is_kept_apart() -> None:
    """Coolant in it: what came out is no used oil any more."""
    journal = MemoryJournal()
    job(journal, 0, until="old-washer", said={"look": ("milky", "yes")}).hear("drained 2 litres")

    assert [one["kind"] for one in tables.waste(entries_of(journal))["kinds"]] == ["mixed"]


VIEWS: tuple[Callable[[Sequence[Entry]], tuple[words.Part, ...]], ...] = (
    lambda all_of: words.overview(tables.jobs(all_of)),
    lambda all_of: words.of_vehicle(tables.of_vehicle(all_of, MINE)),
    lambda all_of: words.search(tables.search(all_of, "automatic")),
    lambda all_of: words.compare(tables.compare(all_of, all_of[0].job, all_of[1].job)),
    lambda all_of: words.month(tables.month(all_of, "2026-11")),
    lambda all_of: words.waste(tables.waste(all_of)),
)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("width", [60, 80, 120, 200])
def test_a_view_fits_its_width_and_loses_nothing(view: Any, width: int) -> None:
    """Every word of every cell is on the page, no line is longer than asked, no column is torn."""
    parts = view(mine())
    text = as_text(parts, width)
    flat = "".join(text.split())

    assert max(map(len, text.splitlines())) <= width
    for _, heading, columns, rows in parts:
        assert heading in text
        for cell in (*(columns if rows else ()), *(cell for row in rows for cell in row)):
            assert all(word in flat for word in cell.split())


def test_a_journal_without_jobs_says_so() -> None:
    """In every view that names no job."""
    assert as_text(words.overview(tables.jobs([])), 80).count(words.NOTHING) == 2
    assert as_text(words.waste(tables.waste([])), 80).count(words.NOTHING) == 3


def test_each_unit_of_a_job_has_its_own_amounts_over_all_its_rounds() -> None:
    """Two units in one job: 1.1 out of the rear; 2 and 1.5 out of the front in two rounds, 3.5 in all."""
    told = [("rear", 1, "1.1"), ("front", 1, "2"), ("front", 2, "1.5")]
    units = {"front": "front differential", "rear": "rear differential"}
    steps = [{"id": f"drain-{unit}", "say": "Go.", "unit": unit} for unit in units]
    procedure = {"name": "both", "title": "both", "units": units, "step": steps}
    sheet = {"vehicle": "a van", "unit": ""}
    history: list[e.Event] = [
        e.JobStarted(at=START, job="j", settings={}, versions={}, procedure=procedure, sheet=sheet)
    ]
    for number, (unit, turn, value) in enumerate(told, start=1):
        history.append(e.StepEntered(at=START, step=f"drain-{unit}"))
        if turn > 1:
            history.append(e.RoundBegun(at=START, number=turn, of=unit))
        history.append(
            e.ReadingHeard(
                at=START,
                reading=number,
                kind="drained",
                value=value,
                unit="litre",
                step=f"drain-{unit}",
                slots=(("form", "total"),),
            )
        )

    rows = {one["unit"]: one for one in tables.jobs([entry("j", history)], UTC)["services"]}
    assert {unit: one["out"]["value"] for unit, one in rows.items()} == {
        "front differential": "3.5",
        "rear differential": "1.1",
    }
    assert rows["front differential"]["waste"]["value"] == "3.5"
