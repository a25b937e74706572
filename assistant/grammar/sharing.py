"""What many states of the acceptor have in common, kept once.

After nearly every number the same units may follow, though what else may follow differs. Each set of
words (with the states they lead to) that exactly the same states have is moved into one state of its
own, entered by a move without a word. The sentences stay the same, and every word can still be taken in
one way only; the file is half as large. Costs: a state keeps how likely it is that one of the set comes;
how that is shared out among the words of the set is their mean over the states, each weighted by how
often a sentence comes through it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from math import exp, log

from assistant.grammar.acceptor import Acceptor, Arc, Tail

WORTH = 4
"""A set is shared when that saves at least so many arcs: a move without a word costs a little, too."""

_Move = tuple[str, int]
_Set = tuple[tuple[_Move, ...], tuple[int, ...]]


def share(acceptor: Acceptor, together: frozenset[str]) -> Acceptor:
    """Return the acceptor with common sets of words shared; it must have none shared yet.

    The words of `together` keep the same cost wherever they have it before: they are shared only where
    states have all of them alike, and then as one set.
    """
    visits = _visits(acceptor)
    arcs = {state: {arc.word: arc for arc in out} for state, out in enumerate(acceptor.arcs)}
    tails: dict[int, list[Tail]] = {}
    for moves, states in _common(acceptor, together):
        if len(moves) * len(states) - len(moves) - len(states) < WORTH:
            continue
        target = len(arcs)
        mass = dict.fromkeys(moves, 0.0)
        for state in states:
            chances = {move: exp(-arcs[state].pop(move[0]).cost) for move in moves}
            whole = sum(chances.values())
            tails.setdefault(state, []).append(Tail(-log(whole), target))
            for move, chance in chances.items():
                mass[move] += visits[state] * chance / whole
        total = sum(mass.values())
        arcs[target] = {word: Arc(word, -log(mass[word, to] / total), to) for word, to in moves}
    kept = tuple(tuple(out[word] for word in sorted(out)) for out in arcs.values())
    return Acceptor(
        acceptor.start, kept, acceptor.finals, {state: tuple(tails[state]) for state in sorted(tails)}
    )


def _visits(acceptor: Acceptor) -> list[float]:
    """Return how often a sentence comes through each state. A target is always before its source."""
    visits = [0.0] * len(acceptor.arcs)
    visits[acceptor.start] = 1.0
    for state in range(len(acceptor.arcs) - 1, -1, -1):
        for arc in acceptor.arcs[state]:
            visits[arc.target] += visits[state] * exp(-arc.cost)
    return visits


def _common(acceptor: Acceptor, together: Collection[str]) -> Iterable[_Set]:
    """Return sets of moves, each with the states that have it; no move of a state is in two sets."""
    having: dict[tuple[_Move, ...], list[int]] = {}
    for state, out in enumerate(acceptor.arcs):
        tied = tuple((arc.word, arc.target) for arc in out if arc.word in together)
        single = [((arc.word, arc.target),) for arc in out if arc.word not in together]
        for moves in (*single, *([tied] if tied else [])):
            having.setdefault(moves, []).append(state)
    sets: dict[tuple[int, ...], list[_Move]] = {}
    for moves, states in having.items():
        sets.setdefault(tuple(states), []).extend(moves)
    return [(tuple(sorted(moves)), states) for states, moves in sorted(sets.items())]
