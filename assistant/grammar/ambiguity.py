"""Exact checks of a whole grammar: one meaning for each sentence, and only meanings there can be.

Both look at every path of the automaton at once, not at samples.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from assistant.grammar.automaton import Automaton, Move
from assistant.grammar.interpret import UNCOUNTED, interpret
from assistant.grammar.meaning import KINDS
from assistant.grammar.tags import NUMBER_OPS, Op, spelled_slot

_Ordered = tuple[Op, ...]
_Pairs = tuple[tuple[Op, int], ...]


@dataclass(frozen=True, slots=True)
class _Twin:
    """Two paths with the same words, and what the tags of one have that the other's have not yet."""

    one: int
    two: int
    ahead_one: _Ordered
    """Number tags (and units, whose place among them counts) the first path has given and the second not."""
    ahead_two: _Ordered
    pairs: _Pairs
    """Other tags, with how many more the first has (below zero: the second)."""


def ambiguities(automaton: Automaton, most: int = 20) -> list[str]:
    """Return up to `most` sentences that have two paths with different tags; empty means there is none.

    The automaton is run against itself. A pair of paths is followed with the difference of their
    tags; a pair that ends with a difference is an ambiguity. As the automaton is finite and has no
    loops this is exact: an empty list proves that every sentence has one meaning.
    """
    joinable = _joinable(automaton)
    start = _Twin(automaton.start, automaton.start, (), (), ())
    back: dict[_Twin, tuple[_Twin, Move, Move] | None] = {start: None}
    queue = [start]
    found: list[str] = []
    for twin in queue:  # grows while it is read
        for one, two in _same_word(automaton, twin.one, twin.two):
            if one.word is not None and (one.target, two.target) not in joinable:
                continue
            following = _advance(twin, one, two)
            if one.word is None:
                if following.ahead_one or following.ahead_two or following.pairs:
                    found.append(_witness(back, twin, one, two))
                    if len(found) >= most:
                        return found
            elif following not in back:
                back[following] = (twin, one, two)
                queue.append(following)
    return found


def _same_word(automaton: Automaton, one: int, two: int) -> Iterator[tuple[Move, Move]]:
    by_word: dict[str | None, list[Move]] = {}
    for move in automaton.states[two]:
        by_word.setdefault(move.word, []).append(move)
    for move in automaton.states[one]:
        for other in by_word.get(move.word, ()):
            yield move, other


def _joinable(automaton: Automaton) -> set[tuple[int, int]]:
    """Return the pairs of states from which both can end with the same words."""
    reached = {(automaton.start, automaton.start)}
    queue = [(automaton.start, automaton.start)]
    into: dict[tuple[int, int], list[tuple[int, int]]] = {}
    good: list[tuple[int, int]] = []
    for pair in queue:
        for one, two in _same_word(automaton, *pair):
            if one.word is None:
                good.append(pair)
                continue
            following = (one.target, two.target)
            into.setdefault(following, []).append(pair)
            if following not in reached:
                reached.add(following)
                queue.append(following)
    joinable = set(good)
    for pair in good:  # grows while it is read
        for before in into.get(pair, ()):
            if before not in joinable:
                joinable.add(before)
                good.append(before)
    return joinable


def _advance(twin: _Twin, one: Move, two: Move) -> _Twin:
    ahead_one = twin.ahead_one + _ordered(one)
    ahead_two = twin.ahead_two + _ordered(two)
    same = 0
    while same < min(len(ahead_one), len(ahead_two)) and ahead_one[same] == ahead_two[same]:
        same += 1
    counts = Counter(dict(twin.pairs))
    for op in one.ops:
        counts[op] += not _is_ordered(op)
    for op in two.ops:
        counts[op] -= not _is_ordered(op)
    pairs = tuple(sorted((op, count) for op, count in counts.items() if count))
    return _Twin(one.target, two.target, ahead_one[same:], ahead_two[same:], pairs)


def _is_ordered(op: Op) -> bool:
    return op[0] in NUMBER_OPS or op[0] == "unit"


def _ordered(move: Move) -> _Ordered:
    return tuple(op for op in move.ops if _is_ordered(op))


def _witness(
    back: dict[_Twin, tuple[_Twin, Move, Move] | None], twin: _Twin, last_one: Move, last_two: Move
) -> str:
    ones, twos = [last_one], [last_two]
    step = back[twin]
    while step is not None:
        twin, one, two = step
        ones.append(one)
        twos.append(two)
        step = back[twin]
    words = " ".join(move.word for move in reversed(ones) if move.word)
    first = [op for move in reversed(ones) for op in move.ops]
    second = [op for move in reversed(twos) for op in move.ops]
    return f"{words!r}: {_show(first)} or {_show(second)}"


def _show(ops: list[Op]) -> str:
    if not any(name == "kind" for name, _ in ops):
        return f"no kind at all, {ops}"
    return str(interpret(ops))


def impossible_meanings(automaton: Automaton, most: int = 20) -> list[str]:
    """Return sentences whose tags make no meaning of the catalogue; empty means there is none.

    Checked on every path: exactly one kind; only units and slots of that kind, each slot once with
    an allowed value; a number where the kind needs one and none where it takes none.
    """
    seen: dict[tuple[int, frozenset[Op]], tuple[tuple[int, frozenset[Op]], str] | None] = {}
    first: tuple[int, frozenset[Op]] = (automaton.start, frozenset())
    seen[first] = None
    queue = [first]
    found: list[str] = []
    for place in queue:  # grows while it is read
        state, had = place
        for move in automaton.states[state]:
            pairs = _gathered(had, move.ops)
            if move.word is None:
                why = _fault(pairs)
                if why:
                    found.append(f"{_words_to(seen, place)!r}: {why}")
                    if len(found) >= most:
                        return found
                continue
            following = (move.target, pairs)
            if following not in seen:
                seen[following] = (place, move.word)
                queue.append(following)
    return found


def _gathered(had: frozenset[Op], ops: _Ordered) -> frozenset[Op]:
    """Return the tags had so far with `ops` added; of the number only that there is one."""
    pairs = set(had)
    for name, value in ops:
        if name == "restart":
            pairs = {op for op in pairs if op[0] not in ("unit", "number")}
            pairs.add(("repaired", "yes"))
        else:
            pairs.add(("number", "") if name in NUMBER_OPS else (name, value))
    return frozenset(pairs)


def _words_to(
    seen: dict[tuple[int, frozenset[Op]], tuple[tuple[int, frozenset[Op]], str] | None],
    place: tuple[int, frozenset[Op]],
) -> str:
    words: list[str] = []
    step = seen[place]
    while step is not None:
        place, word = step
        words.append(word)
        step = seen[place]
    return " ".join(reversed(words))


def _fault(pairs: frozenset[Op]) -> str:
    kinds = sorted(value for name, value in pairs if name == "kind")
    if "trap" in kinds:
        return ""
    if len(kinds) != 1:
        return f"it has {len(kinds)} kinds {kinds} where one is needed"
    kind = KINDS[kinds[0]]
    if kinds[0] in UNCOUNTED:
        pairs = frozenset(op for op in pairs if op[0] in kind.slots)
    spelled = spelled_slot(kind)
    slots = Counter(name for name, _ in pairs if name not in ("kind", "unit", "number"))
    for name, value in sorted(pairs):
        if name == "unit" and value not in kind.units:
            return f"{kinds[0]} has no unit {value}"
        if name in slots and value not in kind.slots.get(name, ()):
            return f"{kinds[0]} has no slot {name}={value}"
    if any(count > 1 for count in slots.values()):
        return f"{kinds[0]} has a slot with two values: {sorted(pairs)}"
    has_number = ("number", "") in pairs
    if (kind.needs_value or spelled) and not has_number:
        return f"{kinds[0]} needs a number or letters"
    if has_number and not (kind.units or kind.count or spelled):
        return f"{kinds[0]} takes no number"
    return ""
