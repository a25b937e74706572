"""The word the ear is called by: before every sentence, alone, and which words will do."""

from __future__ import annotations

import random

import pytest

from assistant.errors import WrongInput
from assistant.grammar import Grammar, Meaning, NoMatch, Standing, compile_grammar
from assistant.grammar.address import address_fault

WORD = "workbench"


@pytest.fixture(scope="module")
def called(english_text: str) -> Grammar:
    """The English grammar with a word to call the ear by."""
    return compile_grammar([("en.jsgf", english_text)], WORD)


def test_every_sentence_means_the_same_with_the_word_before_it(called: Grammar, grammar: Grammar) -> None:
    chance = random.Random(3)
    for _ in range(400):
        sentence = grammar.sample(chance.randrange)
        meaning = grammar.parse(sentence)
        assert called.parse(sentence) == meaning
        with_word = called.parse(f"{WORD} {sentence}")
        if isinstance(meaning, NoMatch):
            assert isinstance(with_word, NoMatch)
            assert with_word.reason == meaning.reason
        else:
            assert with_word == meaning
        assert called.acceptor.accepts((WORD, *sentence.split()))


def test_the_word_alone_opens_the_ear(called: Grammar) -> None:
    assert called.parse(WORD) == Meaning("ear", slots=(("state", "open"),))
    assert called.standing(WORD) is not Standing.INCOMPLETE
    assert isinstance(called.parse(f"{WORD} {WORD}"), NoMatch)
    assert isinstance(called.parse(f"next step {WORD}"), NoMatch)


def test_it_costs_a_state_or_two(called: Grammar, grammar: Grammar) -> None:
    widest = max(len(arcs) for arcs in grammar.acceptor.arcs)
    assert called.acceptor.arc_count <= grammar.acceptor.arc_count + widest + 2


@pytest.mark.full
def test_no_sentence_means_two_things_with_it(called: Grammar) -> None:
    assert called.ambiguities() == []


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("torque", "a word of the sentences themselves"),
        ("levels", "too much like 'level'"),
        ("litter", "too much like"),
        ("drainer", "too much like 'drain'"),
        ("bob", "five or more".replace("five", "5")),
        ("Workbench", "small letters"),
        ("work bench", "one word"),
        ("", "one word"),
    ],
)
def test_a_word_that_will_not_do_is_refused_with_the_reason(grammar: Grammar, word: str, says: str) -> None:
    assert says in address_fault(word, grammar.words)
    assert address_fault(WORD, grammar.words) == ""


def test_the_refusal_names_word_and_cure(english_text: str) -> None:
    with pytest.raises(WrongInput, match=r"cannot be called 'litter'.*Choose another"):
        compile_grammar([("en.jsgf", english_text)], "litter")
