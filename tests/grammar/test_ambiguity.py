"""Every sentence has one meaning: the exact check, on small grammars with known answers and on English."""

from __future__ import annotations

import random

from assistant.grammar import Grammar, Meaning, compile_grammar
from tests.grammar.independent import Independent

HEAD = "#JSGF V1.0 UTF-8 en;\ngrammar test;\n"


def small(rules: str) -> Grammar:
    """Compile a few rules."""
    return compile_grammar([("test.jsgf", HEAD + rules)])


def test_two_kinds_for_the_same_words_are_found() -> None:
    found = small("public <s> = go (on) {kind=next} | go on {kind=im-back} | stop {kind=park};").ambiguities()
    assert len(found) == 1
    assert found[0].startswith("'go on': ")
    assert "next" in found[0]
    assert "im-back" in found[0]


def test_a_late_difference_is_found() -> None:
    """The paths part at the first word and differ only in a unit given at the last."""
    rules = """
        public <s> = low {kind=level} by <n> mil {unit=millimetre}
                   | low {kind=level} by <n> (mil) {unit=millilitre}
                   | low {kind=level} by <n> quarts {unit=quart};
        <n> = one {digit 1};
    """
    assert [each.split(":")[0] for each in small(rules).ambiguities()] == ["'low by one mil'"]


def test_two_numbers_for_the_same_words_are_found() -> None:
    found = small("public <s> = (one {digit 1} two {digit 2} | one {n 20} two {digit 2}) {kind=number};")
    assert [each.split(":")[0] for each in found.ambiguities()] == ["'one two'"]
    assert "'12'" in found.ambiguities()[0]
    assert "'22'" in found.ambiguities()[0]


def test_two_paths_with_the_same_tags_are_fine() -> None:
    rules = (
        "public <s> = (four [point {point} two {digit 2}] | four point {point} two {digit 2}) {kind=number};"
    )
    assert small(rules.replace("four", "four {digit 4}")).ambiguities() == []


def test_tags_at_different_words_of_two_paths_may_add_up_to_the_same() -> None:
    one = "still {kind=drip-state} dripping {state=drops}"
    two = "still {state=drops} dripping {kind=drip-state}"
    rules = f"public <s> = {one} | {two};"
    assert small(rules).ambiguities() == []


def test_english_has_one_meaning_for_each_sentence(grammar: Grammar) -> None:
    assert grammar.ambiguities() == []


def test_no_sampled_sentence_has_two_meanings(grammar: Grammar, independent: Independent) -> None:
    """The exact check, doubted: 800 sentences through the other matcher, which finds all readings."""
    chance = random.Random(20)
    for _ in range(800):
        sentence = grammar.sample(chance.randrange)
        assert len(independent.meanings(sentence)) == 1, sentence


def test_the_other_matcher_would_find_two() -> None:
    """The sampled check can fail: where a sentence has two meanings, it sees both."""
    rules = small("public <s> = drained {kind=next} four | drained {kind=back} four;").rules
    assert Independent(rules).meanings("drained four") == {Meaning("next"), Meaning("back")}
