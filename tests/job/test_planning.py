"""What a job needs before it begins, held against public questions about such jobs, recomputed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.dialogue.reply import Reply
from assistant.job.plan import Bought, Plan
from assistant.job.planning import plan
from assistant.job.procedure import procedure_from_data
from assistant.job.sheet import Sheet
from assistant.phrasing import phrase
from assistant.phrasing.en.planning import as_text
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import load_procedure
from assistant.units import Measure, read_measure
from tests.bench import Bench
from tests.phrasing.plan_samples import planned

FOUR_WHEELS = procedures_folder() / "vehicles" / "four-wheel-drive.toml"


def _sheet(**figures: str) -> Sheet:
    told = {name.replace("_", "-"): read_measure(text) for name, text in figures.items()}
    return Sheet(vehicle="a van", unit="the unit", figures=told)


def _plan(service: str, sold: tuple[str, ...] = (), **figures: str) -> Plan:
    procedure = procedure_from_data(load_procedure(service))
    return plan(procedure, {"": _sheet(**figures)}, [read_measure(one) for one in sold])


def _litres(value: str) -> Measure:
    return Measure(value, "litre")


def test_repeated_drains_need_a_drum_and_four_litres() -> None:
    """Public question, recomputed: 10 L box, 4 L a drain, at most 5 % old takes 6 drains, 24 L."""
    found = _plan(
        "automatic-repeat", capacity="10 L", drain_expected="4 L", new_wanted="95 percent", stock="20 L",
        container="1 L",
    )  # fmt: skip
    assert dict(found.rounds) == {"the unit": 6}
    assert found.purchases[0].need == _litres("24")
    assert found.purchases[0].buy == (Bought(4, _litres("1")),), "four litres short of the drum"
    assert found.waste[0].amount.most == _litres("24")
    assert [part.count for part in found.parts if part.name == "washer"] == [6]
    once = _plan("automatic-repeat", capacity="10 L", drain_expected="4 L", new_wanted="40 percent")
    assert once.times["drain"].most.exact * 6 == found.times["drain"].most.exact


def test_the_tray_that_runs_over_is_told_before() -> None:
    """Public question: a tray of 2.5 quarts under an engine of 4.7."""
    small = _plan("engine-oil-filter", drain_expected="4.7 US qt", pan_holds="2.5 US qt")
    assert [(pan.verdict, pan.most) for pan in small.pans] == [("too-small", Measure("4.7", "us_quart"))]
    assert "TOO SMALL" in as_text(small)
    large = _plan("engine-oil-filter", drain_expected="4.7 US qt", pan_holds="5 US qt")
    assert [pan.verdict for pan in large.pans] == ["enough"]


def test_filter_and_cooler_are_bought_for() -> None:
    """Public question: 4.3 + 0.3 + 0.3 litres are 4.9."""
    found = _plan(
        "engine-oil-filter", drain_expected="4.3 L", filter_holds="0.3 L", cooler_holds="0.3 L",
        container="5 L",
    )  # fmt: skip
    assert found.purchases[0].need == _litres("4.9")
    assert found.purchases[0].buy == (Bought(1, _litres("5")),)
    assert {part.name: part.count for part in found.parts} == {"washer": 1, "filter": 1}


def test_a_flushed_system_sets_the_most_concentrate() -> None:
    """Public question, recomputed: 8 quarts, 5 come out, water in it, half wanted: 4 of concentrate."""
    found = _plan("coolant", capacity="8 US qt", drain_expected="5 US qt", coolant_share="50 percent")
    concentrate, water = found.fluids
    assert concentrate.amount.most == Measure("4", "us_quart")
    assert water.amount.most == Measure("2.5", "us_quart")
    assert found.waste[0].kind == "coolant"


@pytest.mark.parametrize(
    ("unit", "sold", "buy"),
    [
        # 5.26 litres are six of one litre (division), or one of five and one of one: as much left, fewer cans
        ("L", ("1 L",), ((6, "1 L"),)),
        ("L", (), ((1, "1 L"), (1, "5 L"))),
        # 5.26 US quarts from quarts, gallons of four and jugs of five
        ("US qt", (), ((1, "1 US qt"), (1, "5 US qt"))),
        ("US qt", ("1 US gal",), ((2, "1 US gal"),)),
    ],
)
def test_containers_are_those_sold(
    unit: str, sold: tuple[str, ...], buy: tuple[tuple[int, str], ...]
) -> None:
    """Where the sheet names none, the sizes sold where its unit is used; always rounded up."""
    found = _plan("manual-gearbox", sold, drain_expected=f"5.26 {unit}")
    assert found.purchases[0].buy == tuple(Bought(count, read_measure(size)) for count, size in buy)


def test_one_fluid_for_two_units_is_bought_together() -> None:
    """Both axles take one oil: 1.2 and 2.1 litres are 4 cans, not 2 and 3."""
    found = planned("transfer-and-differentials", "four-wheel-drive")
    together = next(one for one in found.purchases if len(one.units) == 2)
    assert together.units == ("front differential", "rear differential")
    assert together.buy == (Bought(4, _litres("1")),)
    assert sum(part.count for part in found.parts if part.name == "washer") == 6


def test_what_the_sheet_lacks_is_named_not_made_up() -> None:
    """No figure of a vehicle is built in: an empty sheet gives neither amount nor torque."""
    found = _plan("manual-gearbox")
    assert (found.fluids, found.purchases, found.torques, found.pans) == ((), (), None, ())
    assert {one.figure for one in found.lacking} >= {
        "drain-expected", "drain-plug-torque", "fill-plug-torque",
    }  # fmt: skip


def test_the_wrench_is_held_against_every_torque() -> None:
    """One that begins above the lowest plug, one that ends below the highest, one that reaches both."""
    torques = {"drain_plug_torque": "42 N m", "fill_plug_torque": "15 N m"}
    wrenches = {("20 N m", "200 N m"): "below-range", ("5 N m", "25 N m"): "above-range"}
    for (low, high), verdict in {**wrenches, ("10 N m", "60 N m"): "fits"}.items():
        found = _plan("manual-gearbox", **torques, wrench_lowest=low, wrench_highest=high)
        assert found.wrench == verdict


def test_the_time_is_the_sum_of_its_parts() -> None:
    """Of every shipped sample; the least is never above the most."""
    found = planned("twin-clutch", "city-cars")
    assert found.time.least.exact == sum(span.least.exact for span in found.times.values())
    assert all(span.least.exact <= span.most.exact for span in found.times.values())
    assert found.times["drain"].least.exact >= 10, "the drain timer of the procedure is ten minutes"


def test_it_is_told_in_the_job_and_by_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """One plan, by voice, on paper and for programs."""
    bench = Bench(sheet=FOUR_WHEELS, service="engine-oil-filter")
    assert bench.hear("plan the job") == ["plan"]
    assert "One washer, one filter." in bench.sentences

    told = ["plan", "engine-oil-filter", "--vehicle", str(FOUR_WHEELS)]
    assert main(told) == 0
    assert "1 filter" in capsys.readouterr().out
    assert main([*told, "--sold", "1 US qt", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["parts"][1]["name"] == "filter"
    assert data["time"]["least"]["unit"] == "minute"
    assert main([*told, "--sold", "1 qt"]) == 2
    assert "which one" in capsys.readouterr().err


def test_a_part_of_ones_own_service_is_called_by_its_name() -> None:
    """A step may fit anything; what has no name of ours is told and printed by its own."""
    procedure = procedure_from_data(load_procedure("engine-oil-filter"))
    steps = tuple(replace(one, parts=("o-ring",)) if one.parts else one for one in procedure.steps)
    found = plan(replace(procedure, steps=steps), {"": _sheet()})

    assert "1 o ring" in as_text(found)
    assert "One washer, one o ring." in phrase(Reply("plan", {"plan": found}))
