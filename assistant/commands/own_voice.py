"""The wall of words: what the assistant said and when, held against what the ear brings."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from assistant.dialogue.own_words import Saying, Verdict, whose
from assistant.grammar.graph import UNKNOWN
from assistant.hearing.utterance import Utterance


def walled(
    utterances: Iterable[Utterance],
    sayings: Iterable[Saying],
    normalise: Callable[[str], str],
    began: float = 0.0,
) -> list[Utterance]:
    """Return the utterances that are not the assistant's own; what was spoken into a reply is marked.

    `sayings` are on the clock on which the stream of the utterances began at `began`.
    """
    said, kept = tuple(sayings), list[Utterance]()
    for one in utterances:
        words = normalise(" ".join(word for word in one.words.split() if word != UNKNOWN))
        verdict = whose(words, one.meaning, began + one.start, began + one.end, said)
        if verdict is not Verdict.OWN:
            kept.append(replace(one, over=True) if verdict is Verdict.OVER else one)
    return kept
