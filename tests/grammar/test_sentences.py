"""The twin file: every sentence means what it says there, and every alternative is said there."""

from __future__ import annotations

from collections import Counter

from assistant.grammar import KINDS, Grammar, Meaning, NoMatch, phrases
from tests.grammar.conftest import Twin
from tests.grammar.independent import Independent


def test_every_sentence_means_what_its_row_says(grammar: Grammar, twin: Twin) -> None:
    wrong = [
        (sentence, grammar.parse(sentence))
        for sentence, meaning in twin.heard
        if grammar.parse(sentence) != meaning
    ]
    assert wrong == []


def test_traps_are_refused_as_traps(grammar: Grammar, twin: Twin) -> None:
    assert [s for s in twin.trap if grammar.parse(s) != NoMatch("trap", s)] == []


def test_what_is_outside_is_refused(grammar: Grammar, twin: Twin) -> None:
    reasons = {sentence: grammar.parse(sentence) for sentence in twin.refuse}
    assert [s for s, got in reasons.items() if isinstance(got, Meaning) or got.reason == "trap"] == []


def test_no_sentence_stands_twice(twin: Twin) -> None:
    said = Counter([s for s, _ in twin.heard] + list(twin.trap) + list(twin.refuse))
    assert [sentence for sentence, times in said.items() if times > 1] == []


def test_every_alternative_of_every_rule_is_said(
    grammar: Grammar, independent: Independent, twin: Twin
) -> None:
    """Sentences take away the alternatives they use; what is left has no sentence."""
    used: set[int] = set()
    for sentence in [s for s, _ in twin.heard] + list(twin.trap):
        used |= independent.used(sentence)
    left = [str(choice) for choice in grammar.alternatives if id(choice.node) not in used]
    assert left == []


def test_every_kind_has_three_wordings(twin: Twin) -> None:
    """People word one thing differently; fewer than three ways means the language was not thought through."""
    wordings = Counter(meaning.kind for _, meaning in twin.heard)
    assert [kind for kind in KINDS if kind != "trap" and wordings[kind] < 3] == []


def test_every_happening_has_three_wordings(twin: Twin) -> None:
    wordings = Counter(meaning.slot("what") for _, meaning in twin.heard if meaning.kind == "happened")
    assert [what for what in KINDS["happened"].slots["what"] if wordings[what] < 3] == []


FLUID = ("drained", "poured", "amount", "spilled")
"""Kinds that share their slots: it is enough that one of them fills each value."""


def test_every_slot_value_can_be_said(twin: Twin) -> None:
    """A slot value no sentence gives would be a case the rest of the program handles in vain.

    The unit of the first of two numbers is left out: it is any that a number has.
    """

    def group(kind: str) -> str:
        return "fluid" if kind in FLUID else kind

    given = {(group(m.kind), name, value) for _, m in twin.heard for name, value in m.slots}
    every = {
        (group(kind), name, value)
        for kind, what in KINDS.items()
        for name, values in what.slots.items()
        for value in values
        if value not in ("*", "#") and name != "first-unit"
    }
    assert sorted(every - given) == []


def test_the_card_recommends_every_reading(grammar: Grammar) -> None:
    card = phrases(grammar)
    readings = [
        "drained",
        "poured",
        "amount",
        "can-left",
        "spilled",
        "temperature",
        "level",
        "torque",
        "drip",
    ]
    assert [kind for kind in readings if kind not in card] == []


def test_every_card_phrase_is_one_that_is_tested(grammar: Grammar, twin: Twin) -> None:
    tested = {sentence for sentence, _ in twin.heard}
    assert [s for said in phrases(grammar).values() for s in said if s not in tested] == []


def test_the_card_does_not_recommend_confusable_numbers(grammar: Grammar) -> None:
    """Thirteen is heard as thirty, so the card says numbers digit by digit; radio-telephony practice."""
    risky = {w for w in grammar.words if w.endswith("teen")} | {
        "thirty",
        "forty",
        "fifty",
        "eighty",
        "ninety",
    }
    assert [s for said in phrases(grammar).values() for s in said if risky & set(s.split())] == []
