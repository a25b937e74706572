"""Text of a grammar -> tree, in the part of the JSpeech Grammar Format that is used here.

Format: W3C Note "JSpeech Grammar Format" (5 June 2000), version 1.0: header, grammar name, rules
(`public` or not), sequences, alternatives with `/weight/`, groups `( )`, options `[ ]`, rule
references and `{tags}`. Refused on purpose: `*` and `+` (a spoken sentence is finite, and an
unbounded one could not be checked), imports, and recursion.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.errors import BadFile


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
class _Lexeme:
    sort: str
    text: str
    line: int


_LEXEMES = re.compile(
    r"""(?P<comment>//[^\n]*|/\*.*?\*/)
      |(?P<space>\s+)
      |(?P<rule><[^<>\s]*>)
      |(?P<tag>\{[^{}]*\})
      |(?P<weight>/[^/\n]*/)
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


def unite(files: tuple[Mapping[str, Rule], ...]) -> Mapping[str, Rule]:
    """Return the rules of several files as one set; a later rule replaces one of the same name.

    Raises `BadFile` where a rule is missing, never used, or uses itself, or none is public.
    """
    rules: dict[str, Rule] = {}
    for file in files:
        rules.update(file)
    if not any(rule.public for rule in rules.values()):
        name = next((rule.file for rule in rules.values()), "grammar")
        raise BadFile(name, "no rule is public", cure="write public before the rule of whole sentences")
    used: set[str] = set()
    for rule in rules.values():
        if rule.public:
            _follow(rule, rules, (), used)
    for rule in rules.values():
        if rule.name not in used:
            cure = "use it in another rule or remove it"
            raise BadFile(rule.file, f"<{rule.name}> is never used", line=rule.line, cure=cure)
    return rules


def _follow(rule: Rule, rules: Mapping[str, Rule], path: tuple[str, ...], used: set[str]) -> None:
    if rule.name in used and rule.name not in path:
        return
    used.add(rule.name)
    for reference in _references(rule.expansion):
        if reference.name in (*path, rule.name):
            cure = "a rule must not use itself, not even through others"
            raise BadFile(rule.file, f"<{reference.name}> is recursive", line=reference.line, cure=cure)
        if reference.name not in rules:
            cure = "write that rule or correct the name"
            raise BadFile(
                rule.file, f"<{reference.name}> is not written anywhere", line=reference.line, cure=cure
            )
        _follow(rules[reference.name], rules, (*path, rule.name), used)


def _references(node: Node) -> Iterator[Reference]:
    match node:
        case Reference():
            yield node
        case Sequence(items):
            for item in items:
                yield from _references(item)
        case Alternatives(choices, _, _):
            for choice in choices:
                yield from _references(choice)
        case Option(item, _) | Tagged(item, _):
            yield from _references(item)
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
