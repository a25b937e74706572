"""Spoken number forms: a table of what each is taken as, and whole ranges against an own number speller."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.grammar import Grammar, Meaning, NoMatch
from assistant.grammar.interpret import fold_number, plain

TABLE = Path(__file__).parent / "numbers.txt"


def rows() -> Iterator[tuple[str, str]]:
    """Yield (spoken, outcome)."""
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            spoken, outcome = line.split(" = ")
            yield spoken, outcome


def outcome_of(meaning: Meaning | NoMatch) -> str:
    """Return the outcome in the words of the table."""
    if isinstance(meaning, NoMatch):
        return "refuse"
    if meaning.kind == "vague":
        return "ask"
    return f"{meaning.value} {meaning.unit}" if meaning.unit else str(meaning.value)


def test_the_table_is_large_and_without_repeats() -> None:
    spoken = [row[0] for row in rows()]
    assert len(spoken) >= 300
    assert len(set(spoken)) == len(spoken)


@pytest.mark.parametrize("wanted", ["taken", "ask", "refuse"])
def test_forms_have_the_outcome_of_the_table(grammar: Grammar, wanted: str) -> None:
    checked = 0
    wrong = []
    for spoken, outcome in rows():
        if (outcome if outcome in ("ask", "refuse") else "taken") == wanted:
            checked += 1
            got = outcome_of(grammar.parse(spoken))
            if got != outcome:
                wrong.append((spoken, outcome, got))
    assert wrong == []
    assert checked >= 10


ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    "ten", "eleven", "twelve", "thirteen", "fourteen",
    "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spell(number: int, joint: str) -> str:
    """Return an English cardinal below 1000; common practice, no source."""
    if number < 20:
        return ONES[number]
    if number < 100:
        return TENS[number // 10] + (f" {ONES[number % 10]}" if number % 10 else "")
    rest = number % 100
    return f"{ONES[number // 100]} hundred" + (f"{joint}{spell(rest, joint)}" if rest else "")


@pytest.mark.parametrize("joint", [" ", " and "])
def test_every_whole_number_below_a_thousand(grammar: Grammar, joint: str) -> None:
    for number in range(1000):
        meaning = grammar.parse(f"{spell(number, joint)} litres")
        assert meaning == Meaning("amount", str(number), "litre", (("form", "bare"),)), number


def test_every_hundredth_below_a_hundred(grammar: Grammar) -> None:
    """0.01 to 99.99 in words, digits after the point one by one, come back as the same decimal."""
    for hundredths in range(1, 10_000):
        whole, rest = divmod(hundredths, 100)
        words = f"{spell(whole, ' ')} point {ONES[rest // 10]} {ONES[rest % 10]} litres"
        meaning = grammar.parse(f"drained {words}")
        assert isinstance(meaning, Meaning)
        assert Decimal(str(meaning.value)) == Decimal(hundredths) / 100


def test_every_two_and_three_digits_one_by_one(grammar: Grammar) -> None:
    for number in range(10, 1000):
        words = " ".join(ONES[int(digit)] for digit in str(number))
        meaning = grammar.parse(f"torque {words} newton metres")
        assert meaning == Meaning("torque", str(number), "newton_metre"), words


def test_values_have_no_exponent_and_no_trailing_zeros() -> None:
    assert [plain(Decimal(text)) for text in ("1E+3", "2.50", "4.0", "100", "0.0", "-5.10", "-0")] == [
        "1000", "2.5", "4", "100", "0", "-5.1", "0",
    ]  # fmt: skip


def test_a_second_digit_after_a_ten_adds_and_after_a_digit_follows() -> None:
    assert fold_number([("n", "30"), ("digit", "5")]) == 35
    assert fold_number([("digit", "3"), ("digit", "5")]) == 35
    assert fold_number([("digit", "8"), ("n", "40"), ("digit", "5"), ("thousand", "")]) == 845_000
