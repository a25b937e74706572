"""Advice of a record, reckoned again from its own inputs."""

from __future__ import annotations

import pytest

from assistant.reckoning import refill
from assistant.reckoning.again import recheck
from assistant.units import Measure, convert

FIGURE = refill.refill(
    parts=[(Measure("4", "us_quart"), Measure("131", "fahrenheit")), (Measure("600", "millilitre"), None)],
    level_before=Measure("-0.2", "litre"),
    spills=[(Measure("1", "cup"), True)],
    residue=[Measure("0.1", "litre")],
)


@pytest.mark.parametrize("unit", ["us_quart", "litre", "imperial_pint"])
def test_todays_formula_gives_the_same(unit: str) -> None:
    """Every input is kept: parts with their temperatures, level, spills, residue; whatever the unit told."""
    found = recheck(FIGURE.name, FIGURE.inputs, convert(FIGURE.value, unit), FIGURE.formula)

    assert (found.verdict, found.formula_changed) == ("same", False)


def test_another_figure_is_noticed() -> None:
    """A record of an older formula: figure and formula differ, and today's figure is given."""
    found = recheck("refill", FIGURE.inputs, Measure("9", "us_quart"), "sum of parts")

    assert found.verdict == "differs"
    assert found.formula_changed
    assert found.now == FIGURE.value


def test_digits_nobody_spoke_are_told_apart() -> None:
    """A difference below what is spoken is no other advice."""
    other = Measure(f"{float(FIGURE.value.exact) + 0.001:.4f}", "us_quart")

    assert recheck("refill", FIGURE.inputs, other).verdict == "as-spoken"


@pytest.mark.parametrize(
    ("name", "inputs"), [("forgotten", ()), ("refill", (("drained", "4 qt"),)), ("window", ())]
)
def test_what_is_not_known_today_is_no_error(name: str, inputs: tuple[tuple[str, str], ...]) -> None:
    """Another name, another key, a verdict: unknown."""
    assert recheck(name, inputs, Measure("4", "litre")).verdict == "unknown"
