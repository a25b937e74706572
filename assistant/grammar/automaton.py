"""Rules -> one acyclic automaton without empty moves, tags on its moves.

It is built from the end backwards: a part of a rule is compiled against what may follow it, and
states with the same moves are one state. A rule used in many places with the same continuation is
therefore stored once. A tag lies on the first word of what it is attached to.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from assistant.errors import BadFile
from assistant.grammar.tags import FILE_TAGS, NUMBER_OPS, Op, read_tag
from assistant.grammar.tree import Alternatives, Node, Option, Reference, Rule, Sequence, Tagged, Token

MOST_WORK = 1_200_000
"""How much may be done: half as much again as a whole trade's sentences need. A few lines of nested rules
can ask for billions, and are refused before somebody waits for them."""
_CALL = 8
"""What it costs to look at a part of a rule, beside the moves it gives: as long as eight of them take."""


class Move(NamedTuple):
    """One way on from a state: by a word, or (word None, target -1) the end of the sentence."""

    word: str | None
    ops: tuple[Op, ...]
    target: int
    share: float
    """Probability of this move at its state."""


@dataclass(frozen=True, slots=True)
class Automaton:
    """States by index, each a tuple of moves; targets are always smaller than their source."""

    start: int
    states: tuple[tuple[Move, ...], ...]


_Key = tuple[str | None, tuple[Op, ...], int]
_Moves = dict[_Key, float]
_State = tuple[tuple[_Key, float], ...]


class _Builder:
    """Hash-consing compiler of rule trees."""

    def __init__(self, rules: Mapping[str, Rule]) -> None:
        self._rules = rules
        self._states: list[_State] = []
        self._by_content: dict[frozenset[tuple[_Key, float]], int] = {}
        self._memo: dict[tuple[str, int], Mapping[_Key, float]] = {}
        self._read: dict[int, tuple[Op, ...]] = {}
        """The tags of a node, which lives as long as the rules do, by its identity."""
        self._file = ""
        self._work = 0

    def build(self) -> Automaton:
        end = self._state({(None, (), -1): 1.0})
        moves: _Moves = {}
        public = [rule for rule in self._rules.values() if rule.public]
        for rule in public:
            _add(moves, self._rule(rule, end), 1 / len(public))
        return _trim(self._state(moves), self._states)

    def _worked(self, moves: int) -> None:
        self._work += moves
        if self._work > MOST_WORK:
            raise BadFile(self._file, "the grammar has too many sentences", cure="take rules out of it")

    def _state(self, moves: Mapping[_Key, float]) -> int:
        self._worked(4 * len(moves))  # sorting, comparing and storing cost more than joining
        content = frozenset([(key, round(share, 12)) for key, share in moves.items()])
        known = self._by_content.get(content)
        if known is None:
            known = self._by_content[content] = len(self._states)
            self._states.append(tuple(sorted(content, key=_order)) if len(content) > 1 else tuple(content))
        return known

    def _rule(self, rule: Rule, after: int) -> Mapping[_Key, float]:
        key = (rule.name, after)
        if key not in self._memo:
            outer, self._file = self._file, rule.file
            self._memo[key] = self._compile(rule.expansion, after)
            self._file = outer
        return self._memo[key]

    def _compile(self, node: Node, after: int) -> Mapping[_Key, float]:
        """Return the moves by which `node` is begun, where state `after` is what follows it.

        Only what is said behind another word becomes a state.
        """
        self._worked(_CALL)
        moves: _Moves = {}
        match node:
            case Token(word):
                return {(word, (), after): 1.0}
            case Reference(name, _):
                return self._rule(self._rules[name], after)
            case Sequence(items):
                for item in reversed(items[1:]):
                    after = self._state(self._compile(item, after))
                return self._compile(items[0], after)
            case Alternatives(choices, weights, _):
                for choice, weight in zip(choices, weights, strict=True):
                    _add(moves, self._compile(choice, after), weight)
            case Option(item, _):
                _add(moves, self._compile(item, after), 0.5)
                _add(moves, dict(self._states[after]), 0.5)
            case Tagged(item, _):
                return self._tagged(node, self._compile(item, after))
        self._worked(len(moves))
        return moves

    def _tagged(self, node: Tagged, item: Mapping[_Key, float]) -> Mapping[_Key, float]:
        """Put the tags of `node` on the first words of its item, given compiled."""
        ops = self._read.get(id(node))
        if ops is None:
            ops = self._read[id(node)] = self._ops_of(node)
        if not ops:
            return item
        moves: _Moves = {}
        for (word, old, target), share in item.items():
            if word is None:
                tag = node.tags[0]
                cure = "take the tag inside the brackets"
                raise BadFile(
                    self._file, f"{{{tag.text}}} is on words that may be left out", line=tag.line, cure=cure
                )
            key = (word, (*ops, *old) if old else ops, target)
            moves[key] = moves.get(key, 0.0) + share
        return moves

    def _ops_of(self, node: Tagged) -> tuple[Op, ...]:
        ops = tuple(read_tag(self._file, tag) for tag in node.tags)
        ops = tuple(op for op in ops if op[0] not in FILE_TAGS)
        if any(name in NUMBER_OPS for name, _ in ops) and not _only_words(node.item):
            tag = node.tags[0]
            cure = "put it on a word, or on a group of words without rules and options"
            raise BadFile(
                self._file, f"the number tag {{{tag.text}}} is on a group", line=tag.line, cure=cure
            )
        return ops


def _only_words(node: Node) -> bool:
    match node:
        case Token():
            return True
        case Sequence(items):
            return all(_only_words(item) for item in items)
        case Alternatives(choices, _, _):
            return all(_only_words(choice) for choice in choices)
        case Tagged(item, tags):
            return _only_words(item) and all(tag.text.split(" ")[0] in FILE_TAGS for tag in tags)
        case _:
            return False


def _add(moves: _Moves, more: Mapping[_Key, float], weight: float) -> None:
    for key, share in more.items():
        moves[key] = moves.get(key, 0.0) + share * weight


def _order(entry: tuple[_Key, float]) -> tuple[str, tuple[Op, ...], int]:
    (word, ops, target), _ = entry
    return (word or "", ops, target)


def _trim(start: int, states: list[_State]) -> Automaton:
    """Keep the states that can be reached. Every state reaches the end: there are no dead ends."""
    reached = {start}
    for state in range(start, -1, -1):  # targets are smaller than their source
        if state in reached:
            reached.update([target for (word, _, target), _ in states[state] if word is not None])
    new = {old: index for index, old in enumerate(sorted(reached))}
    kept = tuple(
        tuple([Move(word, ops, new.get(target, -1), share) for (word, ops, target), share in states[old]])
        for old in sorted(reached)
    )
    return Automaton(new[start], kept)


def build_automaton(rules: Mapping[str, Rule]) -> Automaton:
    """Compile united `rules`; raises `BadFile` for a tag the catalogue of meanings does not know."""
    return _Builder(rules).build()
