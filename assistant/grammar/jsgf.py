"""Text of a grammar -> tree, in the part of the JSpeech Grammar Format that is used here.

Format: W3C Note "JSpeech Grammar Format" (5 June 2000), version 1.0: header, grammar name, rules
(`public` or not), sequences, alternatives with `/weight/`, groups `( )`, options `[ ]`, rule
references and `{tags}`. Refused on purpose: `*` and `+` (a spoken sentence is finite, and an
unbounded one could not be checked) and imports; recursion is refused in `rules`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from assistant.errors import BadFile
from assistant.grammar.tree import (
    Alternatives,
    Node,
    Option,
    Reference,
    Rule,
    Sequence,
    Tag,
    Tagged,
    Token,
)


class _Lexeme(NamedTuple):
    sort: str
    text: str
    line: int


_LEXEMES = re.compile(
    r"""(?P<comment>//[^\n]*|/\*.*?\*/)
      |(?P<space>\s+)
      |(?P<rule><[^<>\s]*>)
      |(?P<tag>\{[^{}]*\})
      |(?P<weight>/[^/*\n]*/)
      |(?P<mark>[;=|()\[\]*+])
      |(?P<word>[^\s;=|()\[\]{}<>*+/"]+)
      |(?P<other>.)""",
    re.VERBOSE | re.DOTALL,
)
_HEADER = re.compile(r"#JSGF\s+V1\.0(\s+[\w-]+(\s+[\w-]+)?)?\s*;")


def parse_rules(name: str, text: str) -> Mapping[str, Rule]:
    """Return the rules of the grammar `text` by rule name, in file order.

    `name` is the file's name, for messages. Raises `BadFile` with the line and the cure.
    """
    return _Reader(name, text).rules()


class _Reader:
    """One pass of recursive descent over the lexemes of one file."""

    def __init__(self, name: str, text: str) -> None:
        self._name = name
        header = _HEADER.match(text)
        if header is None:
            raise BadFile(name, "the header is missing", line=1, cure="begin with: #JSGF V1.0 UTF-8 en;")
        first = text[: header.end()].count("\n") + 1
        self._lexemes = list(self._scan(text[header.end() :], first))
        self._at = 0

    def _scan(self, text: str, line: int) -> Iterator[_Lexeme]:
        for match in _LEXEMES.finditer(text):
            sort = match.lastgroup or "other"
            if sort == "other":
                cure = "words are written plainly, without quotes"
                raise BadFile(self._name, f"{match.group()!r} is not allowed here", line=line, cure=cure)
            if sort not in ("comment", "space"):
                yield _Lexeme(sort, match.group(), line)
            line += match.group().count("\n")
        yield _Lexeme("end", "the end of the file", line)

    def _peek(self) -> _Lexeme:
        return self._lexemes[self._at]

    def _take(self, text: str | None = None) -> _Lexeme:
        lexeme = self._lexemes[self._at]
        if text is not None and lexeme.text != text:
            why = f"expected {text!r}, found {lexeme.text!r}"
            raise BadFile(self._name, why, line=lexeme.line, cure="look for a missing ; or bracket before it")
        self._at += lexeme.sort != "end"
        return lexeme

    def rules(self) -> Mapping[str, Rule]:
        self._take("grammar")
        self._take()
        self._take(";")
        found: dict[str, Rule] = {}
        while self._peek().sort != "end":
            rule = self._rule()
            if rule.name in found:
                cure = f"the first is on line {found[rule.name].line}; rename or join them"
                raise BadFile(self._name, f"<{rule.name}> is written twice", line=rule.line, cure=cure)
            found[rule.name] = rule
        return found

    def _rule(self) -> Rule:
        public = self._peek().text == "public"
        if public:
            self._take()
        head = self._take()
        if head.sort != "rule" or head.text == "<>":
            cure = "write: <name> = words;"
            raise BadFile(self._name, f"a rule cannot begin with {head.text!r}", line=head.line, cure=cure)
        self._take("=")
        expansion = self._alternatives()
        self._take(";")
        return Rule(head.text[1:-1], public, expansion, self._name, head.line)

    def _alternatives(self) -> Node:
        line = self._peek().line
        choices: list[Node] = []
        weights: list[float] = []
        while True:
            weights.append(self._weight())
            choices.append(self._sequence())
            if self._peek().text != "|":
                break
            self._take()
        if len(choices) == 1:
            return choices[0]
        total = sum(weights)
        if total <= 0:
            raise BadFile(self._name, "the weights are all zero", line=line, cure="give one of them more")
        return Alternatives(tuple(choices), tuple(weight / total for weight in weights), line)

    def _weight(self) -> float:
        lexeme = self._peek()
        if lexeme.sort != "weight":
            return 1.0
        self._take()
        try:
            weight = float(lexeme.text[1:-1])
        except ValueError:
            weight = -1.0
        if not 0 < weight < 1e6:
            cure = "a weight is a number above zero, such as /3/"
            raise BadFile(self._name, f"{lexeme.text} is no weight", line=lexeme.line, cure=cure)
        return weight

    def _sequence(self) -> Node:
        items: list[Node] = []
        while self._peek().sort in ("word", "rule") or self._peek().text in ("(", "["):
            items.append(self._item())
        if not items:
            lexeme = self._peek()
            if lexeme.sort == "tag":
                why, cure = f"the tag {lexeme.text} has no word before it", "put the word first"
            elif lexeme.text in ("*", "+"):
                why, cure = f"{lexeme.text} has nothing to repeat", "remove it"
            else:
                why, cure = (
                    f"nothing is said before {lexeme.text!r}",
                    "write a word, or use [ ] for what may be left out",
                )
            raise BadFile(self._name, why, line=lexeme.line, cure=cure)
        return items[0] if len(items) == 1 else Sequence(tuple(items))

    def _item(self) -> Node:
        lexeme = self._take()
        node: Node
        if lexeme.sort == "word":
            if lexeme.text != lexeme.text.lower():
                cure = "words are written in lower case"
                raise BadFile(self._name, f"{lexeme.text!r} has capital letters", line=lexeme.line, cure=cure)
            node = Token(lexeme.text)
        elif lexeme.sort == "rule":
            node = Reference(lexeme.text[1:-1], lexeme.line)
        elif lexeme.text == "(":
            node = self._alternatives()
            self._take(")")
        else:
            node = Option(self._alternatives(), lexeme.line)
            self._take("]")
        if self._peek().text in ("*", "+"):
            cure = "a sentence is finite: nest options, as in <digit> [<digit> [<digit>]]"
            raise BadFile(
                self._name, f"{self._peek().text} repeats without end", line=self._peek().line, cure=cure
            )
        tags: list[Tag] = []
        while self._peek().sort == "tag":
            tag = self._take()
            tags.append(Tag(tag.text[1:-1].strip(), tag.line))
        return Tagged(node, tuple(tags)) if tags else node
