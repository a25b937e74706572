"""Several units and services at once: made safe once, a balance each, timers by unit, left overnight."""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping
from pathlib import Path
from typing import cast

import pytest

from assistant.__main__ import main
from assistant.errors import WrongInput
from assistant.job import events as e
from assistant.job.past import services
from assistant.job.state import fold
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import list_procedures, load_procedure
from assistant.shelf.procedure_join import joined, unit_key
from tests.bench import Bench
from tests.straight_job import say

FOUR_WHEELS = procedures_folder() / "vehicles" / "four-wheel-drive.toml"
ENGINE: tuple[str | float, ...] = (
    "running", "black", "washer on the plug", 600.0, "a drop every nine seconds", "done", "filter is off",
    "gasket is off", "new washer on", "33 nm", "yes", "filter is on", "drained 4.3 litres", "done", "60 c",
    "done", "yes", "poured 4.7 litres", "done",
)  # fmt: skip
GEARBOX: tuple[str | float, ...] = (
    "plate reads charlie six golf five", "done", "fill plug is loose", "honey", "yes", "running",
    "washer on the plug", "fine fuzz", 600.0, "a drop every nine seconds", "done", "new washer on", "42 nm",
    "yes", "drained 2.3 litres", "done", "45 c", "done", "yes", "yes", "poured 2.3 litres", "done",
    "2 mm below the edge", "new washer on", "36 nm", "yes",
)  # fmt: skip
AFTER: tuple[str | float, ...] = (
    "wheels on the ground", "all clear", "running", 310.0, "done", "on the full mark",
    "clock reads 84210 km", "done", "all clear", "done", "engine off", "done", "done", "yes",
)  # fmt: skip


def _say(bench: Bench, *items: str | float) -> None:
    for item in items:
        say(bench, item)


def _two() -> Bench:
    bench = Bench(sheet=FOUR_WHEELS, service="engine-oil-filter+manual-gearbox")
    assert " ".join(bench.sentences).startswith("Engine oil and filter, and manual gearbox, drain and refill")
    assert "Now the engine." in bench.sentences
    _say(bench, "all laid out", "all laid out", "done", "dark", "engine off", "on the stands", "done")
    return bench


def test_two_services_go_to_their_end_with_the_vehicle_made_safe_once() -> None:
    """Each unit with its own amounts, torques and level; off, up and down once; the journal tells it."""
    bench = _two()
    _say(bench, *ENGINE)
    assert bench.step == "gearbox-confirm"
    _say(bench, *GEARBOX)
    assert bench.step == "lower"
    _say(bench, *AFTER)

    assert bench.session.state.ended == "complete"
    entered = [one.step for one in bench.history if isinstance(one, e.StepEntered)]
    once = ("stand-flat", "switch-off", "raise", "lower", "waste")
    assert {step: entered.count(step) for step in once} == dict.fromkeys(once, 1)
    told = {one.unit: (str(one.out), str(one.into)) for one in services(bench.history)}
    assert told == {"engine": ("4.3 L", "4.7 L"), "manual gearbox": ("2.3 L", "2.3 L")}
    assert fold(bench.history) == bench.session.state


def test_nothing_runs_while_the_other_unit_is_open() -> None:
    """The engine is filled, the gearbox drained: neither lowering nor a switch leads to a start."""
    bench = _two()
    _say(bench, *ENGINE, *GEARBOX[:8])
    assert bench.step == "gearbox-drain-wait"
    assert bench.hear("switch to the engine") == ["unit-later"]
    assert bench.step == "gearbox-drain-wait"
    _say(bench, 600.0, "a drop every nine seconds")
    for sentence in ("skip this not needed", "next step", "done", "running"):
        bench.hear(sentence)
    assert not bench.session.state.has("engine=on")


def _units(service: Mapping[str, object]) -> set[str]:
    units = cast("Mapping[str, str]", service.get("units", {}))
    return set(units) or {unit_key(str(service["unit"]))}


def _joins(first: str, second: str) -> None:
    """A joined job passes every check of a service; two on one unit are refused. Safe-making stands once."""
    pair = [load_procedure(first), load_procedure(second)]
    if _units(pair[0]) & _units(pair[1]):
        with pytest.raises(WrongInput, match="do one after the other"):
            joined(pair)
        return
    steps = cast("list[Mapping[str, object]]", joined(pair)["step"])
    ids = [str(one["id"]) for one in steps]
    assert len(set(ids)) == len(ids)
    assert ids.count("raise") <= 1
    shared = sum(len(cast("list[object]", one["step"])) for one in pair) - len(steps)
    assert shared >= (0 if "coolant" in (first, second) else 3), "flat ground, stands and down again"


def test_services_join_or_say_why_not() -> None:
    """One pair of each sort."""
    _joins("manual-gearbox", "transfer-and-differentials")
    _joins("coolant", "engine-oil-filter")
    _joins("twin-clutch", "manual-gearbox")


@pytest.mark.full
def test_any_two_services_join_or_say_why_not() -> None:
    """All of them."""
    for first, second in itertools.combinations(list_procedures(), 2):
        _joins(first, second)


def test_timers_are_told_apart_by_their_unit() -> None:
    """Two drain at once; each is asked, heard and ended by its unit."""
    bench = Bench(sheet=FOUR_WHEELS, service="transfer-and-differentials")
    _say(bench, "done", "all clear", "done", "engine off", "on the stands")
    units = (("transfer case", "tango three", "red"), ("rear differential", "romeo one", "honey"))
    for unit, code, colour in units:
        _say(bench, f"switch to the {unit}", f"plate reads charlie six {code}", "done", "plug is loose")
        _say(bench, colour, "yes", "running", "washer on the plug", "fine fuzz")
    assert bench.hear("how long on the transfer case") == ["timer-gone"]
    assert bench.sentences[0].startswith("Transfer case drain timer has")
    assert bench.hear("how long on the rear differential") == ["timer-gone"]
    assert bench.hear("how long on the front differential") == ["no-timer"]
    assert bench.hear("stop the transfer case drain timer") == ["timer-off"]
    assert bench.sentences[0].startswith("Transfer case drain timer off after")
    assert bench.hear("stop the transfer case drain timer") == ["no-timer"]
    bench.forget()
    assert bench.wait(600.0)[0] == "timer-over"
    assert bench.sentences[0] == "Ten minutes, rear differential drain timer."


def test_left_overnight_it_says_what_its_tag_warns_of() -> None:
    """Parked with two units open: the tag is told at night and in the morning, and where it went on."""
    bench = _two()
    _say(bench, *ENGINE[:4])
    assert bench.hear("park the job") == ["parked"]
    assert bench.sentences[-1] == "Fluid is out of the engine."
    parked = next(one for one in bench.history if isinstance(one, e.JobParked))
    assert parked.tag == "no-fluid"

    assert bench.restart(boot="morning", gone_s=50_000)[:2] == ["job-resumed", "still-tagged"]
    assert "It was left with its tag on. Fluid is out of the engine." in " ".join(bench.sentences)
    assert bench.step == "engine-drain-wait"
    assert "still-tagged" not in bench.restart(boot="morning", gone_s=5), "it is being worked on again"
    bench.hear("park the job")
    assert bench.hear("i am back")[:2] == ["still-tagged", "welcome-back"]


def test_a_plug_that_was_only_loosened_is_not_told_as_fluid_that_is_out() -> None:
    """A full unit with its fill plug loose must not run either, but what the tag says of it is true."""
    bench = Bench(sheet=FOUR_WHEELS, service="transfer-and-differentials")
    _say(bench, "all laid out", "done", "engine off", "on the stands", "plate reads charlie six tango three")
    _say(bench, "done", "plug is loose")
    bench.hear("park the job")
    assert bench.sentences[-2:] == [
        "Tag the wheel and do not start.",
        "A plug is not closed at the transfer case.",
    ]
    assert [one.tag for one in bench.history if isinstance(one, e.JobParked)] == ["plug-open"]
    assert bench.hear("i am back")[:2] == ["still-tagged", "welcome-back"]


def test_two_services_are_planned_and_started_by_command(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """`--with` names another service; two of one unit are refused in one line."""
    both = ["engine-oil-filter", "--with", "manual-gearbox", "--vehicle", str(FOUR_WHEELS)]
    assert main(["plan", *both, "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert plan["units"] == ["engine", "manual gearbox"]
    assert len(plan["fluids"]) == 2
    assert main(["plan", "automatic-repeat", "--with", "manual-gearbox", "--vehicle", str(FOUR_WHEELS)]) == 2
    assert "do one after the other" in capsys.readouterr().err
