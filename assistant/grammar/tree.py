"""Walks over the rule trees: what there is to cover, and which word carries which tag."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.grammar.jsgf import Alternatives, Node, Option, Rule, Sequence, Tagged, Token, written


@dataclass(frozen=True, slots=True)
class Alternative:
    """One alternative of a rule, or an option taken; `number` tells those of one rule apart."""

    rule: str
    number: int
    text: str
    line: int

    def __str__(self) -> str:
        return f"<{self.rule}>, near line {self.line}: {self.text}"


def alternatives_of(rules: Mapping[str, Rule]) -> Iterator[Alternative]:
    """Yield every alternative and option of every rule, in file order."""
    for rule in rules.values():
        for number, (node, line) in enumerate(choices_in(rule.expansion)):
            yield Alternative(rule.name, number, written(node), line)


def choices_in(node: Node) -> Iterator[tuple[Node, int]]:
    """Yield each alternative and each optional item below `node`, outermost first, with its line."""
    match node:
        case Sequence(items):
            for item in items:
                yield from choices_in(item)
        case Alternatives(choices, _, line):
            for choice in choices:
                yield choice, line
                yield from choices_in(choice)
        case Option(item, line):
            yield item, line
            yield from choices_in(item)
        case Tagged(item, _):
            yield from choices_in(item)
        case _:
            pass


def tagged_nodes(node: Node) -> Iterator[tuple[str, str]]:
    """Yield (word, tag text) of every tag; the word is empty where the tag is on a group."""
    match node:
        case Sequence(items):
            for item in items:
                yield from tagged_nodes(item)
        case Alternatives(choices, _, _):
            for choice in choices:
                yield from tagged_nodes(choice)
        case Option(item, _):
            yield from tagged_nodes(item)
        case Tagged(item, tags):
            yield from tagged_nodes(item)
            word = item.word if isinstance(item, Token) else ""
            for tag in tags:
                yield word, tag.text
        case _:
            pass
