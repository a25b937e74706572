"""A second, simple way to match a sentence: backtracking straight over the rule trees.

It shares the text parser with the package, and nothing of the automaton. Slow and obvious on purpose.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.grammar.interpret import interpret
from assistant.grammar.meaning import Meaning
from assistant.grammar.tree import Alternatives, Node, Option, Reference, Rule, Sequence, Tag, Tagged, Token

Used = tuple[int, ...]
"""Identities of the alternatives and options taken."""
Found = tuple[int, tuple[Tag, ...], Used]
"""Position after the match, the tags in order, the alternatives taken."""


class Independent:
    """Matches sentences against united rules."""

    def __init__(self, rules: Mapping[str, Rule]) -> None:
        self._rules = rules
        self._first: dict[int, tuple[frozenset[str], bool]] = {}

    def meanings(self, sentence: str) -> set[Meaning]:
        """Return every meaning the sentence has; none where the grammar does not allow it."""
        return {interpret([_op(tag) for tag in tags]) for tags, _ in self._whole(sentence)}

    def used(self, sentence: str) -> set[int]:
        """Return the identities of the alternatives that any way of reading the sentence takes."""
        return {each for _, used in self._whole(sentence) for each in used}

    def _whole(self, sentence: str) -> Iterator[tuple[tuple[Tag, ...], Used]]:
        words = sentence.split()
        for rule in self._rules.values():
            if rule.public:
                for end, tags, used in self._match(rule.expansion, words, 0):
                    if end == len(words):
                        yield tags, used

    def _match(self, node: Node, words: list[str], at: int) -> Iterator[Found]:
        first, absent = self._begin(node)
        if not absent and (at == len(words) or words[at] not in first):
            return
        match node:
            case Token():
                yield at + 1, (), ()
            case Reference(name, _):
                yield from self._match(self._rules[name].expansion, words, at)
            case Sequence(items):
                yield from self._sequence(items, words, at)
            case Alternatives(choices, _, _):
                for choice in choices:
                    for end, tags, used in self._match(choice, words, at):
                        yield end, tags, (id(choice), *used)
            case Option(item, _):
                yield at, (), ()
                for end, tags, used in self._match(item, words, at):
                    yield end, tags, (id(item), *used)
            case Tagged(item, own):
                kept = tuple(tag for tag in own if not tag.text.startswith(("card ", "as ")))
                for end, tags, used in self._match(item, words, at):
                    yield end, (*kept, *tags), used

    def _sequence(self, items: tuple[Node, ...], words: list[str], at: int) -> Iterator[Found]:
        if not items:
            yield at, (), ()
            return
        for middle, tags, used in self._match(items[0], words, at):
            for end, more_tags, more_used in self._sequence(items[1:], words, middle):
                yield end, (*tags, *more_tags), (*used, *more_used)

    def _begin(self, node: Node) -> tuple[frozenset[str], bool]:
        """Return the words `node` can begin with, and whether it may be left out altogether."""
        if id(node) not in self._first:
            self._first[id(node)] = self._first_words(node)
        return self._first[id(node)]

    def _first_words(self, node: Node) -> tuple[frozenset[str], bool]:
        match node:
            case Token(word):
                return frozenset({word}), False
            case Reference(name, _):
                return self._begin(self._rules[name].expansion)
            case Sequence(items):
                words: frozenset[str] = frozenset()
                for item in items:
                    first, absent = self._begin(item)
                    words |= first
                    if not absent:
                        return words, False
                return words, True
            case Alternatives(choices, _, _):
                firsts = [self._begin(choice) for choice in choices]
                return frozenset().union(*(first for first, _ in firsts)), any(absent for _, absent in firsts)
            case Option(item, _):
                return self._begin(item)[0], True
            case Tagged(item, _):
                return self._begin(item)


def _op(tag: Tag) -> tuple[str, str]:
    if "=" in tag.text:
        name, value = tag.text.split("=")
        return name.strip(), value.strip()
    name, _, value = tag.text.partition(" ")
    return name, value.strip()
