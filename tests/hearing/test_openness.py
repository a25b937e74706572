"""How open words are that may be added to: cases worked out by hand."""

from __future__ import annotations

import pytest

from assistant.hearing.openness import Openness, openness
from tests.hearing.small_grammar import small_grammar


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("drained five litres", Openness.CLOSED),
        ("next step", Openness.CLOSED),
        ("drained forty", Openness.NUMBER),
        ("drained five point two", Openness.DECIMAL),
        ("three point two", Openness.DECIMAL),
        ("six", Openness.GROWING),  # perhaps the first digit of "six four degrees"
        ("drained", Openness.INCOMPLETE),
        ("torque three five", Openness.INCOMPLETE),
        ("three cheers", Openness.UNKNOWN),
    ],
)
def test_how_open_it_is(words: str, expected: Openness) -> None:
    grammar = small_grammar()
    assert openness(grammar.standing(words), grammar.parse(words)) is expected


def test_a_bare_number_is_as_long_as_what_was_asked_for() -> None:
    grammar = small_grammar()
    stands, meaning = grammar.standing("six"), grammar.parse("six")
    assert openness(stands, meaning, ("drained", "number")) is Openness.NUMBER
    assert openness(stands, meaning, ("number", "torque")) is Openness.GROWING
