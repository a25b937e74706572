"""The compiled grammar: words -> meaning, what may follow, the words, samples, the acceptor."""

from __future__ import annotations

import enum
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from assistant.errors import BadFile, WrongInput
from assistant.grammar.acceptor import Acceptor
from assistant.grammar.address import address_fault, with_address
from assistant.grammar.ambiguity import ambiguities
from assistant.grammar.audit import all_tags, impossible_meanings
from assistant.grammar.automaton import Automaton, build_automaton
from assistant.grammar.determine import Deterministic, determine, minimal_acceptor
from assistant.grammar.interpret import interpret
from assistant.grammar.jsgf import parse_rules
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.grammar.rules import unite
from assistant.grammar.sharing import share
from assistant.grammar.tags import Op
from assistant.grammar.tree import Choice, Rule, choices_of, tagged_nodes


class Standing(enum.Enum):
    """How far the words said so far are a sentence; decides how long to wait for more."""

    IMPOSSIBLE = "impossible"
    """No sentence begins like this."""
    INCOMPLETE = "incomplete"
    """More must follow (a known unsafe form counts as no sentence while more may follow)."""
    CLOSED = "closed"
    """A sentence, and nothing may follow but taking it back in the same breath."""
    UNIT_MAY_FOLLOW = "unit"
    """A sentence; only a unit may follow."""
    DECIMAL_MAY_FOLLOW = "decimal"
    """A sentence; a further digit, decimal or number word may follow."""
    EXTENDABLE = "extendable"
    """A sentence; other words may follow."""


_NUMERAL = re.compile(r"-?\d+(?:[.,]\d+)?")
_LAST_ZEROS = re.compile(r"(\.\d+?)0+$")
_LEFT_OUT = re.compile(r"[^\w\s'.,-]|(?<!\d)[.,]|[.,](?!\d)")
_FURTHER_NUMBER = frozenset({"digit", "n", "hundred", "thousand", "point", "and", "letter"})


class Grammar:
    """One language's sentences, compiled. Immutable; every method is a function of its arguments."""

    def __init__(self, rules: Mapping[str, Rule], automaton: Automaton) -> None:
        self.rules = rules
        """The united rules, by name."""
        self.automaton = automaton
        self._machine: Deterministic = determine(automaton)
        self._moves = tuple(_by_word(automaton, state) for state in range(len(automaton.states)))
        self._ends = tuple(
            tuple(move.ops for move in moves if move.word is None) for moves in automaton.states
        )
        self._sorts = tuple(
            frozenset(_sort(move.ops) for move in moves if move.word is not None)
            for moves in automaton.states
        )
        """What sorts of word may follow a state: number, unit, slip, other."""
        self._follows = tuple(self._following(state) for state in range(len(self._machine.members)))
        self.spellings = _spellings(rules)
        """Other spelling -> the one used for display, both lower case."""
        self.words = frozenset(word for step in self._machine.steps for word in step)
        """Every word of any sentence."""

    @cached_property
    def acceptor(self) -> Acceptor:
        """The sentences without their meanings: deterministic, minimal, with costs."""
        balanced = {
            move.word
            for moves in self.automaton.states
            for move in moves
            for name, value in move.ops
            if name == "n" and value != "10" and move.word is not None
        }
        return share(minimal_acceptor(self._machine, frozenset(balanced)), frozenset(balanced))

    @cached_property
    def alternatives(self) -> tuple[Choice, ...]:
        """Every alternative and option of every rule, in file order."""
        return tuple(choices_of(self.rules))

    @cached_property
    def said(self) -> frozenset[frozenset[Op]]:
        """The tags of every sentence: which kinds, units and slots can be said together."""
        return all_tags(self.automaton)

    def parse(self, words: str) -> Meaning | NoMatch:
        """Return what the words mean; spelling as in the grammar, words parted by spaces.

        `NoMatch` reasons: empty; trap (a form known to be unsafe); torn (the beginning of a
        sentence); unknown.
        """
        said = words.lower().split()
        if not said:
            return NoMatch("empty", words)
        state: int | None = self._machine.start
        for word in said:
            state = self._machine.steps[state].get(word) if state is not None else None
        if state is None:
            return NoMatch("unknown", words)
        if not self._machine.final[state]:
            return NoMatch("torn", words)
        meaning = interpret(self._path(said))
        return NoMatch("trap", words) if meaning.kind == "trap" else meaning

    def _path(self, said: Sequence[str]) -> tuple[Op, ...]:
        """Return the tags of the first path through the automaton; one is known to exist.

        Of paths that meet the first one goes on, so that there are never more than states.
        """
        paths: dict[int, tuple[Op, ...]] = {self.automaton.start: ()}
        for word in said:
            longer: dict[int, tuple[Op, ...]] = {}
            for state, had in paths.items():
                for ops, target in self._moves[state].get(word, ()):
                    longer.setdefault(target, (*had, *ops))
            paths = longer
        for state, had in paths.items():
            for ops in self._ends[state]:
                return (*had, *ops)
        raise AssertionError("the deterministic automaton accepted what the tagged one does not")

    def standing(self, words: str) -> Standing:
        """Return how far `words` are a sentence and what kind of word may follow."""
        state = self._machine.start
        for word in words.lower().split():
            following = self._machine.steps[state].get(word)
            if following is None:
                return Standing.IMPOSSIBLE
            state = following
        if not self._machine.final[state]:
            return Standing.INCOMPLETE
        follows = self._follows[state]
        if follows is not Standing.CLOSED and isinstance(self.parse(words), NoMatch):
            return Standing.INCOMPLETE
        return follows

    def _following(self, state: int) -> Standing:
        sorts = frozenset().union(*(self._sorts[member] for member in self._machine.members[state]))
        if "number" in sorts:
            return Standing.DECIMAL_MAY_FOLLOW
        if "other" in sorts:
            return Standing.EXTENDABLE
        return Standing.UNIT_MAY_FOLLOW if "unit" in sorts else Standing.CLOSED

    def sample(self, choose: Callable[[int], int]) -> str:
        """Return one sentence; `choose(n)` gives an index below n and is the only source of chance."""
        state = self._machine.start
        said: list[str] = []
        while True:
            step = sorted(self._machine.steps[state].items())
            pick = choose(len(step) + self._machine.final[state])
            if pick == len(step):
                return " ".join(said)
            word, state = step[pick]
            said.append(word)

    def normalise(self, text: str) -> str:
        """Return `text` in lower case, without punctuation, in one spelling, numerals as digit words.

        Typed "Drained 4.2 liters" becomes "drained four point two litres". Words the grammar does
        not know stay as they are.
        """
        said: list[str] = []
        for word in _LEFT_OUT.sub(" ", text.lower()).split():
            if _NUMERAL.fullmatch(word):
                said.extend(self._numeral(word))
            else:
                said.append(self.spellings.get(word, word))
        return " ".join(said)

    def _numeral(self, numeral: str) -> list[str]:
        names = self._digit_words
        # "4.50" is 4.5: nobody is heard saying a last zero, so the grammar has none.
        plain = _LAST_ZEROS.sub(r"\1", numeral.replace(",", "."))
        return [names.get(sign, sign) for sign in plain]

    @cached_property
    def _digit_words(self) -> Mapping[str, str]:
        names: dict[str, str] = {}
        for rule in self.rules.values():
            for word, tag in tagged_nodes(rule.expansion):
                sign = {"point": ".", "minus": "-"}.get(tag, tag.removeprefix("digit "))
                if word and (tag in ("point", "minus") or tag.startswith("digit ")):
                    names.setdefault(sign, word)
        return names

    def ambiguities(self) -> list[str]:
        """Return sentences with more than one meaning; an empty list proves that there is none."""
        return ambiguities(self.automaton, self._machine)


def _by_word(automaton: Automaton, state: int) -> Mapping[str, tuple[tuple[tuple[Op, ...], int], ...]]:
    found: dict[str, list[tuple[tuple[Op, ...], int]]] = {}
    for move in automaton.states[state]:
        if move.word is not None:
            found.setdefault(move.word, []).append((move.ops, move.target))
    return {word: tuple(moves) for word, moves in found.items()}


def _sort(ops: tuple[Op, ...]) -> str:
    names = {name for name, _ in ops}
    if "restart" in names:
        return "slip"
    if names & _FURTHER_NUMBER:
        return "number"
    return "unit" if "unit" in names else "other"


def _spellings(rules: Mapping[str, Rule]) -> Mapping[str, str]:
    found: dict[str, str] = {}
    for rule in rules.values():
        for word, tag in tagged_nodes(rule.expansion):
            if tag.startswith("as ") and word:
                found[word] = tag.removeprefix("as ")
    return found


def compile_grammar(texts: Sequence[tuple[str, str]], address: str = "") -> Grammar:
    """Compile grammar files given as (name, text); their rules are united.

    With `address`, a word, every sentence may begin with it, and alone it opens the ear.

    A rule in a later file replaces the rule of the same name in an earlier one. Raises `BadFile`
    for anything that is not in the format, not in the catalogue of meanings, or makes none;
    `WrongInput` for an address that is too much like a word of the sentences.
    """
    rules = unite(tuple(parse_rules(name, text) for name, text in texts))
    automaton = build_automaton(rules)
    if address:
        words = {move.word for moves in automaton.states for move in moves if move.word is not None}
        fault = address_fault(address, words)
        if fault:
            raise WrongInput(f"The ear cannot be called {address!r}: {fault}. Choose another address.")
    try:
        wrong = impossible_meanings(automaton, most=1)
        if not wrong:
            return Grammar(rules, with_address(automaton, address) if address else automaton)
    except WrongInput as trouble:
        raise BadFile(texts[-1][0], str(trouble), cure="take rules out of it") from trouble
    raise BadFile(texts[-1][0], wrong[0], cure="correct the tags on the way of this sentence")
