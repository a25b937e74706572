"""Exact check that every path of a grammar makes a meaning of the catalogue."""

from __future__ import annotations

from collections import Counter
from itertools import islice

from assistant.errors import WrongInput
from assistant.grammar.automaton import Automaton, Move
from assistant.grammar.interpret import UNCOUNTED
from assistant.grammar.meaning import KINDS, NUMBER
from assistant.grammar.tags import NUMBER_OPS, Op, spelled_slot

_Ordered = tuple[Op, ...]
_END = -1
"""The target of a move that ends the sentence."""
_OF_A_NUMBER = NUMBER_OPS - {"restart", "then"}
MOST_WORK = 300_000
"""How many moves are tried: twice what a whole trade's sentences need; see the one of `automaton`."""
_Had = dict[frozenset[Op], tuple[int, frozenset[Op], str] | None]
"""The tags had on the ways to a state (of the number only that there is one), each with the state before,
the tags had there, and the word that led here; None at the start."""


def impossible_meanings(automaton: Automaton, most: int = 20) -> list[str]:
    """Return sentences whose tags make no meaning of the catalogue; empty means there is none.

    Checked on every path: exactly one kind; only units and slots of that kind, each slot once with
    an allowed value; a number where the kind needs one and none where it takes none.
    """
    had = _had(automaton)
    faults = ((pairs, _fault(pairs)) for pairs in had[_END])
    found = (f"{_words_to(had, pairs)!r}: {why}" for pairs, why in faults if why)
    return list(islice(found, most))


def all_tags(automaton: Automaton) -> frozenset[frozenset[Op]]:
    """Return the tags of every sentence: which kinds, units and slots can be said together."""
    return frozenset(_had(automaton)[_END])


def _had(automaton: Automaton) -> list[_Had]:
    """Return by state the tags of all ways to it; those of whole sentences come last.

    Raises `WrongInput` where there are more of them than can be looked at.
    """
    had: list[_Had] = [{} for _ in (*automaton.states, _END)]
    had[automaton.start] = {frozenset(): None}
    kept: dict[_Ordered, _Ordered] = {}
    gathered: dict[tuple[frozenset[Op], _Ordered], frozenset[Op]] = {}
    work = 0
    for state in range(automaton.start, -1, -1):  # targets are smaller than their source
        here = had[state]
        for ops, targets in _distinct(automaton.states[state], kept).items():
            work += len(here) * len(targets)
            if work > MOST_WORK:
                raise WrongInput("the tags of its sentences come in too many mixtures to be checked")
            told: dict[frozenset[Op], frozenset[Op]] = {}
            for before in here:
                pairs = gathered.get((before, ops)) if ops else before
                if pairs is None:
                    pairs = gathered[before, ops] = _gathered(before, ops)
                told.setdefault(pairs, before)
            for target, word in targets.items():
                into = had[target]
                for pairs in told:
                    if pairs not in into:
                        into[pairs] = (state, told[pairs], word)
    return had


def _distinct(moves: tuple[Move, ...], kept: dict[_Ordered, _Ordered]) -> dict[_Ordered, dict[int, str]]:
    """Return the moves that differ in more than their word or figure: tags -> target -> one of the words.

    `kept` learns what is left of tags without their figures.
    """
    found: dict[_Ordered, dict[int, str]] = {}
    for move in moves:
        ops = kept.get(move.ops)
        if ops is None:
            ops = tuple([("number", "") if op[0] in _OF_A_NUMBER else op for op in move.ops])
            kept[move.ops] = ops
        found.setdefault(ops, {}).setdefault(move.target, move.word or "")
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


def _words_to(had: list[_Had], pairs: frozenset[Op]) -> str:
    words: list[str] = []
    step = had[_END][pairs]
    while step is not None:
        state, pairs, word = step
        words.append(word)
        step = had[state][pairs]
    return " ".join(reversed(words[1:]))


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
