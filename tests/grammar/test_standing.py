"""How far the words so far are a sentence: what the endpointer waits for."""

from __future__ import annotations

import pytest

from assistant.grammar import Grammar, NoMatch, Standing


@pytest.mark.parametrize(
    ("words", "standing"),
    [
        ("", Standing.INCOMPLETE),
        ("how much litres", Standing.IMPOSSIBLE),
        ("the weather", Standing.IMPOSSIBLE),
        ("drained", Standing.INCOMPLETE),  # a trap alone: more is expected
        ("drained four point", Standing.INCOMPLETE),
        ("first can", Standing.INCOMPLETE),
        ("a drop every six", Standing.INCOMPLETE),
        ("drained four", Standing.DECIMAL_MAY_FOLLOW),
        ("drained four point two", Standing.DECIMAL_MAY_FOLLOW),
        ("torque three", Standing.DECIMAL_MAY_FOLLOW),
        ("torque thirty", Standing.DECIMAL_MAY_FOLLOW),
        ("drained four point two five", Standing.UNIT_MAY_FOLLOW),
        ("torque three five point two five", Standing.UNIT_MAY_FOLLOW),
        ("drained four point two litres", Standing.CLOSED),  # but "no five litres" may take it back
        ("torque three five newton metres", Standing.CLOSED),
        ("say again please", Standing.CLOSED),
        ("no", Standing.DECIMAL_MAY_FOLLOW),
        ("emergency", Standing.EXTENDABLE),
        ("how long", Standing.EXTENDABLE),
        ("disregard", Standing.EXTENDABLE),
        ("how much left", Standing.CLOSED),  # a trap that nothing can mend
    ],
)
def test_standing(grammar: Grammar, words: str, standing: Standing) -> None:
    assert grammar.standing(words) is standing


def test_every_beginning_of_every_sentence_is_possible(grammar: Grammar) -> None:
    for sentence in (
        "drained four point two litres",
        "plate reads alpha four seven two",
        "start timer one hour",
    ):
        said = sentence.split()
        for count in range(len(said)):
            assert grammar.standing(" ".join(said[:count])) is not Standing.IMPOSSIBLE


def test_capitals_and_spacing_do_not_matter(grammar: Grammar) -> None:
    assert grammar.parse("  Drained FOUR litres ") == grammar.parse("drained four litres")


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ("", "empty"),
        ("drained four point", "torn"),
        ("drained four point two millilitres", "trap"),
        ("x y", "unknown"),
    ],
)
def test_why_words_are_not_understood(grammar: Grammar, words: str, reason: str) -> None:
    assert grammar.parse(words) == NoMatch(reason, words)


@pytest.mark.parametrize(
    ("typed", "normal"),
    [
        ("Drained 4.2 liters.", "drained four point two litres"),
        ("torque 35 newton meters", "torque three five newton metres"),
        ("first can: 4 litres, please", "first can four litres please"),
        ("-5 degrees", "minus five degrees"),
        ("0,8 litres", "zero point eight litres"),
        ("4.50 litres", "four point five litres"),
        ("it won't go in!", "it won't go in"),
        ("plate alfa 4", "plate alpha four"),
        ("5 us quarts", "five u s quarts"),
        ("", ""),
    ],
)
def test_typed_text_is_brought_to_the_spoken_form(grammar: Grammar, typed: str, normal: str) -> None:
    assert grammar.normalise(typed) == normal
    assert grammar.normalise(normal) == normal


def test_normalising_never_changes_a_meaning(grammar: Grammar) -> None:
    for sentence in (
        "drained four liters",
        "three five newton meters",
        "plate alfa whisky",
        "naught point two liters",
    ):
        assert grammar.parse(sentence) == grammar.parse(grammar.normalise(sentence))
