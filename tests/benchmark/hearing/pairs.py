"""Confusable pairs: sentences of the grammar that differ in one slot, by how far the recogniser parts them.

Whenever an alternative of the recogniser's list is a sentence that differs from what was said in one word,
the difference of their scores (nats) says how far apart the two words were heard there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from assistant.grammar import Meaning
from tests.benchmark.hearing.commands import english
from tests.benchmark.hearing.outcome import parsed
from tests.benchmark.hearing.running import Result

LISTED = 40
LEAST = 3
"""Clips in which a pair must have competed to be listed."""


def confusable(results: Iterable[Result]) -> list[dict[str, Any]]:
    """Return the pairs that competed most closely: words, how often, median distance, how often overtaken.

    A negative distance: the wrong one was the likelier. `said` is how many clips held the word at all.
    """
    said: dict[str, int] = defaultdict(int)
    distances: dict[tuple[str, str], list[float]] = defaultdict(list)
    for result in results:
        words = english().normalise(result.task.clip.words)
        if result.task.contestant != "ours" or not words or len(result.row.utterances) != 1:
            continue
        for word in set(words.split()):
            said[word] += 1
        for pair, distance in _rivals(words, result.row.utterances[0]["alternatives"]).items():
            distances[pair].append(distance)
    table: list[dict[str, Any]] = [
        {
            "said": pair[0],
            "heard": pair[1],
            "clips": said[pair[0]],
            "competed": len(found),
            "median_nats": round(sorted(found)[len(found) // 2], 2),
            "overtaken": sum(distance < 0 for distance in found),
        }
        for pair, found in distances.items()
        if len(found) >= LEAST
    ]
    return sorted(table, key=lambda row: (-row["overtaken"], row["median_nats"]))[:LISTED]


def _rivals(words: str, alternatives: Iterable[tuple[str, float]]) -> dict[tuple[str, str], float]:
    """Return (word said, word instead) -> distance, of the alternatives with another meaning."""
    scores: dict[str, float] = {}
    for spoken, score in alternatives:
        normal = english().normalise(spoken)
        scores[normal] = max(score, scores.get(normal, score))
    if words not in scores:
        return {}
    found: dict[tuple[str, str], float] = {}
    meant = parsed(words)
    for other, score in scores.items():
        differing = [
            (one, instead)
            for one, instead in zip(words.split(), other.split(), strict=False)
            if one != instead
        ]
        same_length = len(words.split()) == len(other.split())
        another = isinstance(parsed(other), Meaning) and parsed(other) != meant
        if same_length and len(differing) == 1 and another:
            found[differing[0]] = scores[words] - score
    return found
