"""Whatever is typed, a computation answers or refuses by name; it never fails in another way."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.reckoning import Figure, Verdict
from assistant.reckoning.catalogue import CATALOGUE
from assistant.units import symbol_of
from assistant.units.table import UNIT_TABLE

CASES: list[dict[str, Any]] = tomllib.loads(
    Path(__file__).with_name("cases.toml").read_text(encoding="utf-8")
)["case"]
GIVEN = [(case["reckon"], tuple(case["given"])) for case in CASES if "error" not in case]
SYMBOLS = sorted({symbol_of(unit) for unit in UNIT_TABLE})
NUMBER = re.compile(r"-?\d+(\.\d+)?")
NUMBERS = ["0", "-1", "0.000001", "1000000000000", "1", "40", "-273.15", "100", "37.5", ""]


@settings(max_examples=150, deadline=None)
@example(
    ("to-go", ("refill=4.9 US qt", "poured=3 US qt", "spilled-new=about 1 cup")), 2, "-1", "US fl oz", False
)
@given(
    case=st.sampled_from(GIVEN),
    place=st.integers(0, 9),
    number=st.sampled_from(NUMBERS),
    unit=st.one_of(st.none(), st.sampled_from(SYMBOLS), st.text(max_size=4)),
    drop=st.booleans(),
)
def test_a_spoilt_case_is_answered_or_refused(
    case: tuple[str, tuple[str, ...]], place: int, number: str, unit: str | None, drop: bool
) -> None:
    """One value of a good case replaced by another number or unit, or one key left out."""
    name, words = case
    pairs = [(key, text) for key, _, text in (word.partition("=") for word in words)]
    key, text = pairs[place % len(pairs)]
    if drop and unit is None:
        del pairs[place % len(pairs)]
    else:
        kept = text.partition(" ")[2] if unit is None else unit
        pairs[place % len(pairs)] = (key, f"{number} {kept}".strip())
    answer = answer_or_refusal(name, pairs)
    assert isinstance(answer, Figure | Verdict) or answer in {*keys_of(name), key}


def answer_or_refusal(name: str, pairs: list[tuple[str, str]]) -> object:
    """Return the result, or the key the refusal names; anything else raised is a failure."""
    try:
        return CATALOGUE[name].reckon(pairs)
    except WrongInput as refused:
        return str(refused).split(":")[0].split("=")[0]


def keys_of(name: str) -> set[str]:
    """Return every key of a computation, companions included."""
    keys = CATALOGUE[name].keys
    return {key.name for key in keys} | {key.beside.name for key in keys if key.beside is not None}


def test_every_negative_figure_is_answered_or_refused_by_a_name_of_the_computation() -> None:
    """Each figure of each good case in turn: a fault of one key must not hide behind chance."""
    wrong = []
    for name, words in GIVEN:
        pairs = [(key, text) for key, _, text in (word.partition("=") for word in words)]
        for place, (key, text) in enumerate(pairs):
            spoilt = [*pairs[:place], (key, NUMBER.sub("-1", text, count=1)), *pairs[place + 1 :]]
            answer = answer_or_refusal(name, spoilt)
            if not (isinstance(answer, Figure | Verdict) or answer in {*keys_of(name), key}):
                wrong.append((name, key, answer))
    assert not wrong
