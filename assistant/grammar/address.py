"""The word the ear is called by: put before every sentence of a grammar, and whether a word will do."""

from __future__ import annotations

import re
from collections.abc import Iterable

from assistant.grammar.automaton import Automaton, Move

SHARE = 0.1
"""How likely an utterance begins with the word."""
LEAST_LETTERS = 5
"""A shorter word is too easily heard in something else."""
_ALONE = (("kind", "ear"), ("state", "open"))


def with_address(automaton: Automaton, word: str) -> Automaton:
    """Return the automaton that takes `word` alone (it opens the ear), and before any of its sentences.

    A sentence means the same with the word before it. The states are those of the grammar and two more.
    """
    sentences = automaton.states[automaton.start]
    called = len(automaton.states)
    alone = Move(None, (), -1, 0.5)
    after = (*(move._replace(share=move.share * 0.5) for move in sentences), alone)
    begin = tuple(move._replace(share=move.share * (1 - SHARE)) for move in sentences)
    # The tags of the word alone must not lie on the way to a sentence, so it is told apart by its target.
    states = (
        *automaton.states,
        tuple(move for move in after if move.word is not None),
        (alone,),
        (*begin, Move(word, (), called, SHARE / 2), Move(word, _ALONE, called + 1, SHARE / 2)),
    )
    return Automaton(called + 2, states)


def address_fault(word: str, words: Iterable[str]) -> str:
    """Return why `word` cannot be the one the ear is called by, as a plain clause; empty where it can.

    `words` are those of the grammar. Whether the speech model knows the word is found when it is loaded.
    """
    if not re.fullmatch(r"[a-z]+", word) or len(word) < LEAST_LETTERS:
        return f"it must be one word of {LEAST_LETTERS} or more small letters"
    for other in sorted(words):
        if word == other:
            return "it is a word of the sentences themselves"
        if len(other) > 3 and (word.startswith(other) or other.startswith(word) or _near(word, other)):
            return f"it is too much like {other!r}, a word of the sentences"
    return ""


def _near(one: str, other: str) -> bool:
    """Say whether two words differ by one letter put in, left out or exchanged."""
    short, long = sorted((one, other), key=len)
    if len(long) - len(short) > 1:
        return False
    at = next((n for n, letter in enumerate(short) if letter != long[n]), len(short))
    return short[at:] == long[at + 1 :] or (len(short) == len(long) and short[at + 1 :] == long[at + 1 :])
