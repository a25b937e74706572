"""The grammar as a recogniser sees it: a deterministic automaton over words, with costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Arc:
    """One word that may be said next."""

    word: str
    cost: float
    """-ln of the probability of this word at its state."""
    target: int
    """Index of the state it leads to."""


@dataclass(frozen=True, slots=True)
class Tail:
    """Words that several states have in common, kept once: a state without an end of its own."""

    cost: float
    """-ln of the probability that the word said next is one of these."""
    target: int
    """Index of the state that has the words."""


@dataclass(frozen=True, slots=True)
class Acceptor:
    """A deterministic, minimal, acyclic automaton: the word sequences of the grammar, no more.

    At every state the probabilities of the arcs, of the tails and of ending there (where that is
    allowed) sum to one. No word can be taken in two ways at a state, by arc or tail; arcs are sorted by
    word. No two states allow the same words with the same continuations.
    """

    start: int
    arcs: tuple[tuple[Arc, ...], ...]
    """Arcs out of each state, by state index."""
    finals: Mapping[int, float]
    """States where a sentence may end, with the cost of ending there."""
    tails: Mapping[int, tuple[Tail, ...]] = field(default_factory=dict)
    """What a state shares with others, where it shares anything. A tail has no tails itself."""

    @property
    def arc_count(self) -> int:
        """Number of moves of the whole automaton, by word or into a tail."""
        return sum(len(arcs) for arcs in self.arcs) + sum(len(tails) for tails in self.tails.values())

    @property
    def words(self) -> frozenset[str]:
        """Every word on any arc."""
        return frozenset(arc.word for arcs in self.arcs for arc in arcs)

    def following(self, state: int) -> tuple[Arc, ...]:
        """Return every word that may be said at a state with its whole cost, its tails included."""
        shared = (
            Arc(arc.word, tail.cost + arc.cost, arc.target)
            for tail in self.tails.get(state, ())
            for arc in self.arcs[tail.target]
        )
        return tuple(sorted((*self.arcs[state], *shared), key=lambda arc: arc.word))

    def accepts(self, words: tuple[str, ...]) -> bool:
        """Return whether the word sequence is a sentence."""
        state = self.start
        for word in words:
            for arc in self.following(state):
                if arc.word == word:
                    state = arc.target
                    break
            else:
                return False
        return state in self.finals
