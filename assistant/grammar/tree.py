"""Walks over the rule trees: what there is to cover, and which word carries which tag."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.grammar.jsgf import Alternatives, Node, Option, Rule, Sequence, Tagged, Token, written


@dataclass(frozen=True, slots=True)
class Choice:
    """One alternative of a rule, or an option taken."""

    node: Node
    rule: str
    line: int

    def __str__(self) -> str:
        return f"<{self.rule}>, alternatives from line {self.line}: {written(self.node)}"


def choices_of(rules: Mapping[str, Rule]) -> Iterator[Choice]:
    """Yield every alternative and option of every rule, in file order."""
    for rule in rules.values():
        for node, line in _choices_in(rule.expansion):
            yield Choice(node, rule.name, line)


def _choices_in(node: Node) -> Iterator[tuple[Node, int]]:
    match node:
        case Sequence(items):
            for item in items:
                yield from _choices_in(item)
        case Alternatives(choices, _, line):
            for choice in choices:
                yield choice, line
                yield from _choices_in(choice)
        case Option(item, line):
            yield item, line
            yield from _choices_in(item)
        case Tagged(item, _):
            yield from _choices_in(item)
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
