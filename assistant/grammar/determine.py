"""The tagged automaton made deterministic over words, and the minimal acceptor made from that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

from assistant.errors import WrongInput
from assistant.grammar.acceptor import Acceptor, Arc
from assistant.grammar.automaton import Automaton

EVEN = 0.15
"""Part of the probability at each state that is shared out evenly, so that no word is ever costly
only because the grammar lists it among many."""

MOST_WORK = 520_000
"""How many moves are looked at: twice what a whole trade's sentences need; see that of `automaton`."""


@dataclass(frozen=True, slots=True)
class Deterministic:
    """Each state is the set of states of the tagged automaton that the words so far can be in."""

    start: int
    members: tuple[frozenset[int], ...]
    steps: tuple[Mapping[str, int], ...]
    """Word -> next state, by state."""
    final: tuple[bool, ...]
    leaving: tuple[Mapping[str | None, float], ...]
    """How often a sentence drawn by the weights leaves a state by each word (None: ends there)."""


def determine(automaton: Automaton) -> Deterministic:
    """Return the subset automaton, with the expected use of every step.

    The automaton has no loops, so states are handled in an order where all of a state's use is known
    before it is passed on: by the longest way from the start.
    """
    members, steps = _subsets(automaton)
    order = _topological(steps)
    use: list[dict[int, float]] = [{} for _ in members]
    use[0][automaton.start] = 1.0
    leaving: list[dict[str | None, float]] = [{} for _ in members]
    final = [False] * len(members)
    for state in order:
        out = leaving[state]
        for member, mass in use[state].items():
            for move in automaton.states[member]:
                part = mass * move.share
                out[move.word] = out.get(move.word, 0.0) + part
                if move.word is None:
                    final[state] = True
                else:
                    into = use[steps[state][move.word]]
                    into[move.target] = into.get(move.target, 0.0) + part
    return Deterministic(0, tuple(members), tuple(steps), tuple(final), tuple(leaving))


def single(automaton: Automaton, machine: Deterministic) -> tuple[bool, ...]:
    """Return by state of `machine` whether all that may be said from there on has one path only.

    `machine` was made of `automaton`. There are then as many paths from its members as there are ends of
    sentences; both are counted exactly, for neither has loops.
    """
    paths: list[int] = []
    for moves in automaton.states:  # targets are smaller than their source
        paths.append(sum([1 if move.word is None else paths[move.target] for move in moves]))
    ends = [0] * len(machine.steps)
    for state in reversed(_topological(machine.steps)):
        ends[state] = sum([ends[target] for target in machine.steps[state].values()]) + machine.final[state]
    return tuple(
        sum([paths[member] for member in members]) == count
        for members, count in zip(machine.members, ends, strict=True)
    )


def _subsets(automaton: Automaton) -> tuple[list[frozenset[int]], list[dict[str, int]]]:
    members = [frozenset({automaton.start})]
    number = {members[0]: 0}
    steps: list[dict[str, int]] = []
    work = 0
    for subset in members:  # grows while it is read
        work += sum(len(automaton.states[member]) for member in subset)
        if work > MOST_WORK:
            raise WrongInput("the grammar has too many sentences that can be told apart only at their ends")
        reach: dict[str, set[int]] = {}
        for member in sorted(subset):
            for move in automaton.states[member]:
                if move.word is not None:
                    reach.setdefault(move.word, set()).add(move.target)
        step: dict[str, int] = {}
        for word, targets in reach.items():
            key = frozenset(targets)
            if key not in number:
                number[key] = len(members)
                members.append(key)
            step[word] = number[key]
        steps.append(step)
    return members, steps


def _topological(steps: Sequence[Mapping[str, int]]) -> list[int]:
    waiting = [0] * len(steps)
    for step in steps:
        for target in step.values():
            waiting[target] += 1
    order = [0]
    for state in order:
        for target in steps[state].values():
            waiting[target] -= 1
            if waiting[target] == 0:
                order.append(target)
    return order


def minimal_acceptor(machine: Deterministic, balanced: frozenset[str]) -> Acceptor:
    """Return the minimal automaton of the same sentences, with costs.

    States with the same continuations are one. The cost of a word is -ln of how often it is taken
    there by the weights of the grammar, smoothed by `EVEN`; the words in `balanced` (teens and tens)
    get the same cost at each state, so that the grammar never tilts thirteen against thirty.
    """
    order = _topological(machine.steps)
    minimal: dict[int, int] = {}
    by_content: dict[tuple[bool, tuple[tuple[str, int], ...]], int] = {}
    for state in reversed(order):
        arcs = tuple(sorted((word, minimal[target]) for word, target in machine.steps[state].items()))
        minimal[state] = by_content.setdefault((machine.final[state], arcs), len(by_content))
    use: list[dict[str | None, float]] = [{} for _ in by_content]
    for state in order:
        for word, mass in machine.leaving[state].items():
            into = use[minimal[state]]
            into[word] = into.get(word, 0.0) + mass
    contents = list(by_content)
    finals: dict[int, float] = {}
    arcs_of: list[tuple[Arc, ...]] = []
    for index, (final, arcs) in enumerate(contents):
        costs = _costs(use[index], balanced)
        arcs_of.append(tuple(Arc(word, costs[word], target) for word, target in arcs))
        if final:
            finals[index] = costs[None]
    return Acceptor(minimal[machine.start], tuple(arcs_of), finals)


def _costs(use: Mapping[str | None, float], balanced: frozenset[str]) -> dict[str | None, float]:
    group = [word for word in use if word in balanced]
    shared = dict(use)
    for word in group:
        shared[word] = sum(use[each] for each in group) / len(group)
    total = sum(shared.values())
    even = EVEN / len(shared)
    return {word: -log((1 - EVEN) * mass / total + even) for word, mass in shared.items()}
