"""The pan is held against what may come before the drain is opened, in the job as in the plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.units import Measure
from tests.dialogue.straight import Run, changed_sheet

OPENS = {"automatic-drain-refill": "open-plug", "coolant": "open-drain", "manual-gearbox": "open-plug"}


@pytest.mark.parametrize("service", OPENS)
def test_a_pan_that_is_too_small_is_told_before_the_drain_is_opened(tmp_path: Path, service: str) -> None:
    """4.7 US quarts may come and the tray takes 2.5 (public question): told at the step that opens."""
    sheet = changed_sheet(
        tmp_path, service, capacity="6 us quart", drain_expected="4 us quart", drain_least="3 us quart",
        drain_most="4.7 us quart", run_minimum="4 us quart", pan_holds="2.5 us quart",
    )  # fmt: skip
    run = Run(service, sheet)
    run.to(OPENS[service])

    told = [one for one in run.bench.replies if one.key == "pan-too-small"]
    assert [dict(one.args) for one in told] == [
        {"holds": Measure("2.5", "us_quart"), "most": Measure("4.7", "us_quart")}
    ]
    keys = run.bench.keys
    assert keys.index("pan-too-small") < len(keys) - 1 - keys[::-1].index("step")


@pytest.mark.parametrize(("pan", "warned"), [("1.3 litre", True), ("8 litre", False)])
def test_each_unit_of_a_job_has_its_own_amount(tmp_path: Path, pan: str, warned: bool) -> None:
    """The transfer case brings 1.4 litres at most; a pan that takes them is not spoken of."""
    run = Run(
        "transfer-and-differentials", changed_sheet(tmp_path, "transfer-and-differentials", pan_holds=pan)
    )
    run.to("transfer-open-plug")

    assert ("pan-too-small" in run.bench.keys) is warned


def test_where_no_drain_is_told_all_of_it_may_come(tmp_path: Path) -> None:
    """The capacity counts then; a sheet without the size of the pan gives no warning."""
    run = Run("manual-gearbox", _few(tmp_path, 'pan-holds = "2 litre"'))
    run.to("open-plug")
    assert "pan-too-small" in run.bench.keys

    run = Run("manual-gearbox", _few(tmp_path, ""))
    run.to("open-plug")
    assert "pan-too-small" not in run.bench.keys


def _few(folder: Path, pan: str) -> Path:
    path = folder / "few.toml"
    unit = ('name = "manual gearbox"', 'plate = "C6G5"', 'capacity = "2.4 litre"', pan)
    path.write_text("\n".join(["format = 1", "[vehicle]", 'name = "van"', "[[unit]]", *unit]) + "\n", "utf-8")
    return path
