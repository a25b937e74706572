"""Exact check that every path of a grammar makes a meaning of the catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from assistant.errors import WrongInput
from assistant.grammar.automaton import Automaton, Move
from assistant.grammar.interpret import UNCOUNTED
from assistant.grammar.meaning import KINDS, NUMBER
from assistant.grammar.tags import NUMBER_OPS, Op, spelled_slot

_Place = tuple[int, frozenset[Op]]
"""A state, and the tags had on the way to it (of the number only that there is one)."""
_OF_A_NUMBER = NUMBER_OPS - {"restart", "then"}
MOST_WORK = 400_000
"""How many moves are tried: over twice what a whole trade's sentences need; see the one of `automaton`."""
_Back = dict[_Place, tuple[_Place, str] | None]


def impossible_meanings(automaton: Automaton, most: int = 20) -> list[str]:
    """Return sentences whose tags make no meaning of the catalogue; empty means there is none.

    Checked on every path: exactly one kind; only units and slots of that kind, each slot once with
    an allowed value; a number where the kind needs one and none where it takes none.
    """
    seen: _Back = {}
    found: list[str] = []
    for place, pairs in _ends(automaton, seen):
        why = _fault(pairs)
        if why:
            found.append(f"{_words_to(seen, place)!r}: {why}")
            if len(found) >= most:
                break
    return found


def all_tags(automaton: Automaton) -> frozenset[frozenset[Op]]:
    """Return the tags of every sentence: which kinds, units and slots can be said together."""
    return frozenset(pairs for _, pairs in _ends(automaton, {}))


def _ends(automaton: Automaton, seen: _Back) -> Iterator[tuple[_Place, frozenset[Op]]]:
    """Give each last place of a path with the tags of the whole path; `seen` learns the ways there.

    Raises `WrongInput` where there are more of them than can be looked at.
    """
    first: _Place = (automaton.start, frozenset())
    seen[first] = None
    queue = [first]
    ways = [_distinct(moves) for moves in automaton.states]
    gathered: dict[tuple[frozenset[Op], tuple[Op, ...]], frozenset[Op]] = {}
    work = 0
    for place in queue:  # grows while it is read
        state, had = place
        work += len(ways[state])
        if work > MOST_WORK:
            raise WrongInput("the tags of its sentences come in too many mixtures to be checked")
        for (ops, target), word in ways[state].items():
            pairs = gathered.get((had, ops)) if ops else had
            if pairs is None:
                pairs = gathered[had, ops] = _gathered(had, ops)
            if target < 0:
                yield place, pairs
            elif (target, pairs) not in seen:
                seen[target, pairs] = (place, word)
                queue.append((target, pairs))


def _distinct(moves: tuple[Move, ...]) -> dict[tuple[tuple[Op, ...], int], str]:
    """Return the moves that differ in more than their word or figure, each with one of its words."""
    found: dict[tuple[tuple[Op, ...], int], str] = {}
    for move in moves:
        ops = tuple(("number", "") if op[0] in _OF_A_NUMBER else op for op in move.ops)
        found.setdefault((ops, move.target), move.word or "")
    return found


def _gathered(had: frozenset[Op], ops: tuple[Op, ...]) -> frozenset[Op]:
    """Return the tags had so far with `ops` added; a slip takes back number and unit."""
    pairs = set(had)
    for name, value in ops:
        if name == "restart":
            pairs = {op for op in pairs if op[0] not in ("unit", "number")}
            pairs.add(("repaired", "yes"))
        elif name == "then":
            units = {value for name, value in pairs if name == "unit"}
            pairs = {op for op in pairs if op[0] not in ("unit", "number")}
            pairs |= {("first", NUMBER[0]), *(("first-unit", unit) for unit in units)}
        else:
            pairs.add((name, value))
    return frozenset(pairs)


def _words_to(seen: _Back, place: _Place) -> str:
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
