"""Whether what was heard while the assistant spoke was the assistant: by words and times alone.

Its own voice comes back from a loudspeaker at any level, and the recogniser fits a sentence to it. What
lies in a stretch in which the assistant spoke is therefore never acted on, but for what halts the work.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from assistant.grammar.meaning import Meaning

HALTS = frozenset({"emergency", "stand-by"})
"""Kinds that always go through: a mechanic who calls them is not to be talked over."""
ECHO_S = 0.5
"""How long after its last sample a reply may still come back from the room, or be late in the ear."""
MOSTLY = 0.6
"""Share of an utterance that lies in the reply, from which it was said into it."""
ALIKE = 0.5
"""Share of its words that stand in the reply in this order, from which they are the reply's own."""


@dataclass(frozen=True, slots=True)
class Saying:
    """A phrase in the air: its words in the spelling of the grammar, and when; seconds of any one clock."""

    words: str
    start: float
    end: float


class Verdict(Enum):
    """Whose words they were."""

    MEANT = "meant"
    """The mechanic's: to be dealt with."""
    OWN = "own"
    """The assistant's own voice, or nothing that could be told from it: to be dropped."""
    OVER = "over"
    """Somebody's sentence, spoken into the reply: asked for again, never acted on."""


def whose(
    words: str, meaning: Meaning | None, start: float, end: float, sayings: Iterable[Saying]
) -> Verdict:
    """Return whose words these are, heard from `start` to `end`; `meaning` is None where not understood.

    `sayings` are the phrases spoken lately, in order, on the same clock.
    """
    if meaning is not None and meaning.kind in HALTS:
        return Verdict.MEANT
    lately = [one for one in sayings if one.start < end and start < one.end + ECHO_S]
    if not lately:
        return Verdict.MEANT
    length = max(end - start, 1e-3)
    reply = " ".join(one.words for one in lately)
    begun, over = lately[0].start, max(one.end for one in lately)
    echoed = (min(end, over + ECHO_S) - max(start, begun)) / length
    if echoed >= MOSTLY and likeness(words, reply) >= ALIKE:
        return Verdict.OWN
    if (min(end, over) - max(start, begun)) / length < MOSTLY:
        return Verdict.MEANT  # it was begun while the reply ended, or cut the reply short
    return Verdict.OWN if meaning is None else Verdict.OVER


def likeness(words: str, reply: str) -> float:
    """Return the share of the words that stand in the reply in their order, 0 to 1; 0 of no words."""
    heard, said = _known(words), _known(reply)
    return _in_order(heard, said) / len(heard) if heard else 0.0


def _known(words: str) -> list[str]:
    """Return the words in one number each: "litres" is "litre"; unknown ones stay, and are like nothing."""
    return [word.rstrip(".,?!:;").lower().removesuffix("s") for word in words.split()]


def _in_order(heard: Sequence[str], said: Sequence[str]) -> int:
    """Return the length of the longest common subsequence."""
    row = [0] * (len(said) + 1)
    for word in heard:
        above = row[:]
        for at, other in enumerate(said, start=1):
            row[at] = above[at - 1] + 1 if word == other else max(above[at], row[at - 1])
    return row[-1]
