"""When a second half belongs to the sentence before it: cases worked out by hand."""

from __future__ import annotations

import pytest

from assistant.grammar import Meaning
from assistant.hearing.tail import LATEST, belongs, may_belong, put_together
from assistant.hearing.utterance import Utterance
from tests.hearing.small_grammar import small_grammar


def utterance(words: str, start: float = 0.0, share: float = 1.0, understood: bool = True) -> Utterance:
    """An utterance of one second whose meaning is what the grammar says."""
    found = small_grammar().parse(words)
    meaning = found if isinstance(found, Meaning) else None
    return Utterance(
        words=words,
        start=start,
        end=start + 1.0,
        decided=start + 1.2,
        peak_db=-9.0,
        noise_db=-60.0,
        meaning=meaning if understood else None,
        candidate=meaning,
        share=share,
    )


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("drained five", "litres", True),
        ("drained five point two", "litres", True),
        ("three point two", "five", True),
        ("drained", "five litres", True),  # the first half was no sentence yet
        ("nine", "two degrees", True),  # ninety two, digit by digit
        ("nine point five", "two degrees", False),
        ("drained nine", "two degrees", False),
        ("drained five", "next step", False),  # a sentence of its own
        ("drained five litres", "litres", False),  # nothing may follow
        ("[unk]", "five litres", False),
        ("drained [unk]", "five litres", False),
    ],
)
def test_what_may_belong(first: str, second: str, expected: bool) -> None:
    assert may_belong(utterance(first), utterance(second, start=2.0), small_grammar()) is expected


def test_only_just_after() -> None:
    first = utterance("drained five")
    assert may_belong(first, utterance("litres", start=first.decided + LATEST - 0.01), small_grammar())
    assert not may_belong(first, utterance("litres", start=first.decided + LATEST + 0.01), small_grammar())
    assert not may_belong(None, utterance("litres"), small_grammar())


@pytest.mark.parametrize(
    ("first", "second", "whole", "expected"),
    [
        ("drained five", "litres", "drained five litres", True),
        ("three point two", "five", "three point two five", True),
        ("drained forty", "five", "drained forty five", True),
        ("drained", "five litres", "drained five litres", True),
        ("nine", "two degrees", "nine two degrees", True),
        ("nine", "two degrees", "nine three degrees", False),
        ("five", "nine", "five nine", False),  # two numbers, not fifty nine
        ("four", "five litres", "four five litres", False),
        ("drained five", "litres", "drained nine litres", False),  # the first half changed
        ("drained five", "litres", "drained five", False),  # nothing was added
        ("drained five", "litres", "drained five five", False),  # no such sentence follows from the tail
    ],
)
def test_what_belongs(first: str, second: str, whole: str, expected: bool) -> None:
    assert belongs(utterance(first), utterance(second), utterance(whole)) is expected


def test_a_tail_that_was_not_clear_is_judged_by_the_whole_alone() -> None:
    unclear = utterance("nine", share=0.4, understood=False)
    assert belongs(utterance("drained five"), unclear, utterance("drained five point nine litres"))
    assert not belongs(
        utterance("drained five"), utterance("nine"), utterance("drained five point nine litres")
    )


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("drained two", "nought point seven litres", None),  # spelled together they are twenty point seven
        ("drained two litres", "point seven", None),
        ("drained two", "five litres", None),
        ("drained two", "point seven", "drained two point seven"),
        ("drained two point one", "point seven", None),
    ],
)
def test_a_fraction_alone_is_the_rest_of_its_number(first: str, second: str, expected: str | None) -> None:
    assert put_together(utterance(first), utterance(second), small_grammar()) == expected
