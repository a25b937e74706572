"""Worked cases against the outside: published values, questions people asked, published mistakes."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import WrongInput
from assistant.reckoning import NOTES, Figure, Verdict
from assistant.reckoning.catalogue import CATALOGUE
from assistant.units import Measure, convert, kind_of, read_measure

FILE = Path(__file__).with_name("cases.toml")
CASES: list[dict[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
FLAGS = {"published, seen", "recomputed", "from memory", "common practice"}
FIELDS = {
    "name", "reckon", "given", "value", "tolerance", "verdict", "also", "notes", "never", "error",
    "estimate", "flag", "source",
}  # fmt: skip


def near(found: Measure, expected: str, tolerance: float) -> bool:
    """Return whether a measure is what is expected, in the expected unit."""
    wanted = read_measure(expected)
    return abs(float(convert(found, wanted.unit).exact - wanted.exact)) <= tolerance + 1e-12


def pairs(case: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the (key, text) pairs of a case."""
    return [(key, text) for key, _, text in (given.partition("=") for given in case["given"])]


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_case(case: dict[str, Any]) -> None:
    """The computation gives the value, the verdict or the refusal its source says."""
    assert set(case) <= FIELDS
    assert case["flag"] in FLAGS
    assert {"value", "verdict", "error"} & set(case), "a case has to be able to fail"
    computation = CATALOGUE[case["reckon"]]
    if "error" in case:
        with pytest.raises(WrongInput) as refused:
            computation.reckon(pairs(case))
        assert re.search(case["error"], str(refused.value)), str(refused.value)
        return
    result = computation.reckon(pairs(case))
    assert isinstance(result, Figure | Verdict)
    if isinstance(result, Figure):
        assert near(result.value, case["value"], case["tolerance"]), str(result.value)
        for wrong in case.get("never", ()):
            assert not near(read_measure(case["value"]), wrong, 2 * case["tolerance"]), (
                "cannot tell them apart"
            )
            assert not near(result.value, wrong, case["tolerance"]), f"the published mistake {wrong}"
        assert result.estimate == case.get("estimate", False)
        assert kind_of(result.value.unit)
    else:
        assert result.verdict == case["verdict"]
    for name, expected in case.get("also", {}).items():
        assert near(result.part(name), expected["value"], expected["tolerance"]), str(result.part(name))
    assert set(case.get("notes", ())) <= set(result.notes)
    assert set(result.notes) <= set(NOTES)


@pytest.mark.parametrize("case", [c for c in CASES if "error" not in c], ids=lambda case: case["name"])
def test_the_inputs_of_a_result_reckon_to_the_same(case: dict[str, Any]) -> None:
    """What a result tells of its inputs is enough to reckon it again: advice in a record stays checkable."""
    computation = CATALOGUE[case["reckon"]]
    result = computation.reckon(pairs(case))
    assert isinstance(result, Figure | Verdict)

    again = computation.reckon(result.inputs)

    assert again == result
    assert result.name == computation.name


def test_every_computation_has_a_case() -> None:
    """No computation is offered that nothing checks."""
    assert set(CATALOGUE) - {"mixed-up"} == {case["reckon"] for case in CASES}


def test_names_of_cases_are_unique() -> None:
    """A failing case can be found by its name."""
    names = [case["name"] for case in CASES]

    assert len(names) == len(set(names))
