"""The rules of a grammar as trees, and walks over them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tag:
    """The text between braces, with the line it stands on."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Token:
    """One word."""

    word: str


@dataclass(frozen=True, slots=True)
class Reference:
    """The use of another rule."""

    name: str
    line: int


@dataclass(frozen=True, slots=True)
class Sequence:
    """Items said one after the other."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Alternatives:
    """One of several; weights sum to one."""

    choices: tuple[Node, ...]
    weights: tuple[float, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Option:
    """An item that may be left out."""

    item: Node
    line: int


@dataclass(frozen=True, slots=True)
class Tagged:
    """An item with the tags written after it."""

    item: Node
    tags: tuple[Tag, ...]


Node = Token | Reference | Sequence | Alternatives | Option | Tagged


@dataclass(frozen=True, slots=True)
class Rule:
    """One named rule and where it stands."""

    name: str
    public: bool
    expansion: Node
    file: str
    line: int


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


def references_in(node: Node) -> Iterator[Reference]:
    """Yield every use of another rule below `node`."""
    match node:
        case Reference():
            yield node
        case Sequence(items):
            for item in items:
                yield from references_in(item)
        case Alternatives(choices, _, _):
            for choice in choices:
                yield from references_in(choice)
        case Option(item, _) | Tagged(item, _):
            yield from references_in(item)
        case Token():
            pass


def tags_of(node: Node) -> Iterator[Tag]:
    """Yield every tag below `node`, in the order of the text."""
    match node:
        case Sequence(items):
            for item in items:
                yield from tags_of(item)
        case Alternatives(choices, _, _):
            for choice in choices:
                yield from tags_of(choice)
        case Option(item, _):
            yield from tags_of(item)
        case Tagged(item, tags):
            yield from tags_of(item)
            yield from tags
        case Token() | Reference():
            pass


def written(node: Node) -> str:
    """Return `node` in the words of the format, without weights: for messages and coverage."""
    match node:
        case Token(word):
            return word
        case Reference(name, _):
            return f"<{name}>"
        case Sequence(items):
            return " ".join(f"({written(i)})" if isinstance(i, Alternatives) else written(i) for i in items)
        case Alternatives(choices, _, _):
            return " | ".join(written(choice) for choice in choices)
        case Option(item, _):
            return f"[{written(item)}]"
        case Tagged(item, tags):
            shown = f"({written(item)})" if isinstance(item, Sequence | Alternatives) else written(item)
            return shown + "".join(" {" + tag.text + "}" for tag in tags)
