"""The grammar as a recogniser sees it: a deterministic automaton over words, with costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Arc:
    """One word that may be said next."""

    word: str
    cost: float
    """-ln of the probability of this word at its state."""
    target: int
    """Index of the state it leads to."""


@dataclass(frozen=True, slots=True)
class Acceptor:
    """A deterministic, minimal, acyclic automaton: the word sequences of the grammar, no more.

    At every state the probabilities of the arcs and of ending there (where that is allowed) sum to
    one. No two arcs of a state carry the same word; arcs are sorted by word.
    """

    start: int
    arcs: tuple[tuple[Arc, ...], ...]
    """Arcs out of each state, by state index."""
    finals: Mapping[int, float]
    """States where a sentence may end, with the cost of ending there."""

    @property
    def arc_count(self) -> int:
        """Number of arcs of the whole automaton."""
        return sum(len(arcs) for arcs in self.arcs)

    @property
    def words(self) -> frozenset[str]:
        """Every word on any arc."""
        return frozenset(arc.word for arcs in self.arcs for arc in arcs)

    def accepts(self, words: tuple[str, ...]) -> bool:
        """Return whether the word sequence is a sentence."""
        state = self.start
        for word in words:
            for arc in self.arcs[state]:
                if arc.word == word:
                    state = arc.target
                    break
            else:
                return False
        return state in self.finals
