"""The automaton against two other ways to match: the backtracking matcher, and a reference library.

Sentences are sampled from the grammar; near misses are sampled sentences with words dropped, swapped,
doubled or replaced.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.grammar import Grammar, Meaning, NoMatch, Standing
from tests.grammar.conftest import GRAMMARS
from tests.grammar.independent import Independent

QUICK, FULL = 700, 10_000


def near_miss(sentence: str, words: list[str], chance: random.Random) -> str:
    """Return the sentence with one or two words changed; it may by chance still be a sentence."""
    said = sentence.split()
    for _ in range(chance.randint(1, 2)):
        at = chance.randrange(len(said))
        match chance.choice(["drop", "swap", "replace", "double", "insert"]):
            case "drop" if len(said) > 1:
                del said[at]
            case "swap" if at + 1 < len(said):
                said[at], said[at + 1] = said[at + 1], said[at]
            case "replace":
                said[at] = chance.choice(words)
            case "double":
                said.insert(at, said[at])
            case _:
                said.insert(at, chance.choice(words))
    return " ".join(said)


def compare(grammar: Grammar, independent: Independent, sentence: str) -> bool:
    """Assert that both say the same about the sentence; return whether it is one."""
    theirs = independent.meanings(sentence)
    ours = grammar.parse(sentence)
    if isinstance(ours, Meaning):
        assert theirs == {ours}, sentence
    elif ours.reason == "trap":
        assert theirs == {Meaning("trap")}, sentence
    else:
        assert theirs == set(), sentence
    assert (grammar.standing(sentence) is Standing.IMPOSSIBLE) == (ours == NoMatch("unknown", sentence))
    assert grammar.acceptor.accepts(tuple(sentence.split())) == bool(theirs)
    return bool(theirs)


def run(grammar: Grammar, independent: Independent, count: int, seed: int) -> None:
    chance = random.Random(seed)
    words = sorted(grammar.words)
    refused = 0
    for _ in range(count):
        sentence = grammar.sample(chance.randrange)
        assert compare(grammar, independent, sentence), sentence
        refused += not compare(grammar, independent, near_miss(sentence, words, chance))
    assert refused > count / 2, "the near misses hardly miss: they test nothing"


def test_both_agree(grammar: Grammar, independent: Independent) -> None:
    run(grammar, independent, QUICK, seed=3)


@pytest.mark.full
def test_both_agree_on_many(grammar: Grammar, independent: Independent) -> None:
    run(grammar, independent, FULL, seed=4)


@pytest.mark.full
def test_a_reference_library_agrees(grammar: Grammar, lacking: Callable[[str], None]) -> None:
    """pocketsphinx 5 reads the same file by its own JSGF compiler and accepts the same sentences."""
    try:
        import pocketsphinx
    except ImportError:
        lacking("pocketsphinx is not installed")
    path: Path = GRAMMARS / "en.jsgf"
    jsgf = pocketsphinx.Jsgf(str(path))
    reference = jsgf.build_fsg(jsgf.get_rule("en.sentence"), pocketsphinx.LogMath(), 1.0)
    chance = random.Random(5)
    words = sorted(grammar.words)
    for _ in range(300):
        sentence = grammar.sample(chance.randrange)
        assert reference.accept(sentence), sentence
        miss = near_miss(sentence, words, chance)
        allowed = grammar.acceptor.accepts(tuple(miss.split()))
        assert bool(reference.accept(miss)) == allowed, miss
