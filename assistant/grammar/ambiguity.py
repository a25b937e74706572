"""Exact check of a whole grammar: one meaning for each sentence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.errors import WrongInput
from assistant.grammar.automaton import Automaton, Move
from assistant.grammar.determine import Deterministic, single
from assistant.grammar.interpret import interpret
from assistant.grammar.tags import NUMBER_OPS, Op

MOST_PAIRS = 400_000
"""How many pairs of places are followed: almost three times what a whole trade's sentences need."""
_Ordered = tuple[Op, ...]
_Pairs = tuple[tuple[Op, int], ...]


@dataclass(frozen=True, slots=True)
class _Twin:
    """Two paths with the same words, and what the tags of one have that the other's have not yet."""

    one: int
    two: int
    """Never below `one`: the order of the two paths does not matter."""
    ahead_one: _Ordered = ()
    """Number tags (and units, whose place among them counts) the first path has given, the second not."""
    ahead_two: _Ordered = ()
    pairs: _Pairs = ()
    """Other tags, with how many more the first has (below zero: the second)."""


@dataclass(frozen=True, slots=True)
class _Step:
    """A move with its tags sorted by whether their order counts."""

    move: Move
    ordered: _Ordered
    pairs: tuple[Op, ...]


_Steps = Mapping[str | None, list[_Step]]
_Targets = Mapping[str | None, tuple[int, ...]]
_Back = dict[_Twin, tuple[_Twin, _Step, _Step, bool] | None]
"""How each pair was first reached; True where the two paths changed places."""


def ambiguities(automaton: Automaton, machine: Deterministic, most: int = 20) -> list[str]:
    """Return up to `most` sentences that have two paths with different tags; empty means there is none.

    `machine` is the automaton made deterministic: what has one path only is told by counting its paths. The
    rest of the automaton is run against itself. A pair of paths is followed with the difference of their
    tags; a pair that ends with a difference is an ambiguity. As the automaton is finite and has no
    loops this is exact: an empty list proves that every sentence has one meaning. Raises `WrongInput`,
    or `RecursionError`, for a grammar that would take far too long.
    """
    return _Square(automaton, machine).search(most)


class _Square:
    """The automaton against itself."""

    def __init__(self, automaton: Automaton, machine: Deterministic) -> None:
        self._automaton = automaton
        self._machine = machine
        self._single = single(automaton, machine)
        self._sorted: dict[int, tuple[_Steps, _Targets]] = {}
        self._known: dict[tuple[int, int], bool] = {}

    def _of(self, state: int) -> tuple[_Steps, _Targets]:
        """Return the moves of a state by word, and their targets; of few states they are asked for."""
        if state not in self._sorted:
            steps = _by_word(self._automaton.states[state])
            targets = {word: tuple({step.move.target for step in some}) for word, some in steps.items()}
            self._sorted[state] = steps, targets
        return self._sorted[state]

    def _joinable(self, one: int, two: int) -> bool:
        """Return whether both states can reach the end with the same words. Depth: a sentence's length."""
        if one == two:
            return True
        pair = _in_order(one, two)
        if pair not in self._known:
            if len(self._known) > MOST_PAIRS:
                raise WrongInput("the grammar has too many sentences that are alike")
            (_, ones), (_, twos) = self._of(one), self._of(two)
            self._known[pair] = any(
                word is None
                or any(self._joinable(first, second) for first in targets for second in twos.get(word, ()))
                for word, targets in ones.items()
                if word in twos
            )
        return self._known[pair]

    def _same_word(self, twin: _Twin, following: Mapping[str, int]) -> Iterator[tuple[_Step, _Step]]:
        """Yield the pairs of moves by one word that may lead to a common end by two ways.

        `following` are the moves of the deterministic automaton from where `twin` is.
        """
        alike = twin == _Twin(twin.one, twin.one)
        (ones, targets), (others, _) = self._of(twin.one), self._of(twin.two)
        for word, steps in ones.items():
            one_path = word is not None and self._single[following[word]]
            if one_path and alike and len(steps) == len(targets[word]):
                continue
            for place, step in enumerate(steps):
                target = step.move.target
                for other in others.get(word, ())[place if alike else 0 :]:
                    if one_path:  # only what differs so far can differ, and only from one place on
                        if target == other.move.target and not (alike and step is other):
                            yield step, other
                    elif word is None or self._joinable(target, other.move.target):
                        yield step, other

    def search(self, most: int) -> list[str]:
        if self._single[self._machine.start]:
            return []
        start = _Twin(self._automaton.start, self._automaton.start)
        back: _Back = {start: None}
        queue = [(start, self._machine.start)]
        found: dict[str, str] = {}
        for twin, place in queue:  # grows while it is read
            steps = self._machine.steps[place]
            for one, two in self._same_word(twin, steps):
                following, turned = _advance(twin, one, two)
                if one.move.word is None:
                    if following.ahead_one or following.ahead_two or following.pairs:
                        sentence, meanings = _witness(back, twin, one, two)
                        found.setdefault(sentence, meanings)
                        if len(found) >= most:
                            break
                elif following not in back:
                    back[following] = (twin, one, two, turned)
                    queue.append((following, steps[one.move.word]))
        return [f"{sentence!r}: {meanings}" for sentence, meanings in found.items()]


def _by_word(moves: tuple[Move, ...]) -> _Steps:
    found: dict[str | None, list[_Step]] = {}
    for move in moves:
        ordered = tuple(op for op in move.ops if op[0] in NUMBER_OPS or op[0] == "unit")
        pairs = tuple(op for op in move.ops if op not in ordered)
        found.setdefault(move.word, []).append(_Step(move, ordered, pairs))
    return found


def _in_order(one: int, two: int) -> tuple[int, int]:
    return (one, two) if one <= two else (two, one)


def _advance(twin: _Twin, one: _Step, two: _Step) -> tuple[_Twin, bool]:
    ahead_one = twin.ahead_one + one.ordered
    ahead_two = twin.ahead_two + two.ordered
    same = 0
    while same < min(len(ahead_one), len(ahead_two)) and ahead_one[same] == ahead_two[same]:
        same += 1
    pairs = twin.pairs
    if one.pairs != two.pairs:
        counts = dict(pairs)
        for op in one.pairs:
            counts[op] = counts.get(op, 0) + 1
        for op in two.pairs:
            counts[op] = counts.get(op, 0) - 1
        pairs = tuple(sorted((op, count) for op, count in counts.items() if count))
    targets = (one.move.target, two.move.target)
    ahead = (ahead_one[same:], ahead_two[same:])
    if targets[0] > targets[1] or (
        targets[0] == targets[1] and (ahead[0], pairs) < (ahead[1], _minus(pairs))
    ):
        return _Twin(targets[1], targets[0], ahead[1], ahead[0], _minus(pairs)), True
    return _Twin(targets[0], targets[1], ahead[0], ahead[1], pairs), False


def _minus(pairs: _Pairs) -> _Pairs:
    return tuple((op, -count) for op, count in pairs)


def _witness(back: _Back, twin: _Twin, last_one: _Step, last_two: _Step) -> tuple[str, str]:
    """Return the sentence and its two meanings, walking back from the end."""
    ones, twos = [last_one], [last_two]
    step = back[twin]
    while step is not None:
        twin, one, two, turned = step
        if turned:
            ones, twos = twos, ones
        ones.append(one)
        twos.append(two)
        step = back[twin]
    words = " ".join(step.move.word for step in reversed(ones) if step.move.word)
    return words, f"{_show(ones)} or {_show(twos)}"


def _show(steps: list[_Step]) -> str:
    ops = [op for step in reversed(steps) for op in step.move.ops]
    return str(interpret(ops)) if any(name == "kind" for name, _ in ops) else f"no kind, {ops}"
