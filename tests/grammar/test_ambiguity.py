"""Every sentence has one meaning: the exact check, on small grammars with known answers and on English."""

from __future__ import annotations

import random
from collections import defaultdict

import pytest

from assistant.errors import BadFile
from assistant.grammar import Grammar, Meaning, automaton, compile_grammar
from assistant.grammar.ambiguity import ambiguities
from assistant.grammar.automaton import Automaton, build_automaton
from assistant.grammar.determine import determine, single
from assistant.grammar.jsgf import parse_rules
from assistant.grammar.tags import NUMBER_OPS, Op
from assistant.grammar.tree import Node
from tests.grammar.independent import Independent

HEAD = "#JSGF V1.0 UTF-8 en;\ngrammar test;\n"


def small(rules: str) -> Grammar:
    """Compile a few rules."""
    return compile_grammar([("test.jsgf", HEAD + rules)])


def test_two_kinds_for_the_same_words_are_found() -> None:
    found = small("public <s> = go (on) {kind=next} | go on {kind=im-back} | stop {kind=park};").ambiguities()
    assert len(found) == 1
    assert found[0].startswith("'go on': ")
    assert "next" in found[0]
    assert "im-back" in found[0]


def test_a_late_difference_is_found() -> None:
    """The paths part at the first word and differ only in a unit given at the last."""
    rules = """
        public <s> = low {kind=level} by <n> mil {unit=millimetre}
                   | low {kind=level} by <n> (mil) {unit=millilitre}
                   | low {kind=level} by <n> quarts {unit=quart};
        <n> = one {digit 1};
    """
    assert [each.split(":")[0] for each in small(rules).ambiguities()] == ["'low by one mil'"]


def test_two_numbers_for_the_same_words_are_found() -> None:
    found = small("public <s> = (one {digit 1} two {digit 2} | one {n 20} two {digit 2}) {kind=number};")
    assert [each.split(":")[0] for each in found.ambiguities()] == ["'one two'"]
    assert "'12'" in found.ambiguities()[0]
    assert "'22'" in found.ambiguities()[0]


def test_two_paths_with_the_same_tags_are_fine() -> None:
    rules = (
        "public <s> = (four [point {point} two {digit 2}] | four point {point} two {digit 2}) {kind=number};"
    )
    assert small(rules.replace("four", "four {digit 4}")).ambiguities() == []


def test_tags_at_different_words_of_two_paths_may_add_up_to_the_same() -> None:
    one = "still {kind=drip-state} dripping {state=drops}"
    two = "still {state=drops} dripping {kind=drip-state}"
    rules = f"public <s> = {one} | {two};"
    assert small(rules).ambiguities() == []


def _drawn(draw: random.Random, depth: int) -> str:
    """Draw a few words with tags, alternatives and options."""
    if depth == 0 or draw.random() < 0.3:
        tag = draw.choice(("", "", "", " {digit 1}", " {digit 2}", " {unit=litre}", " {unit=quart}"))
        return f"({draw.choice('ab')}{tag})"
    parts = [_drawn(draw, depth - 1) for _ in range(draw.randint(1, 3))]
    joined = draw.choice((" ", " | ")).join(parts)
    return draw.choice((f"({joined})", f"[{joined}] a"))


def _told_apart(one: Automaton) -> dict[str, int]:
    """Return in how many ways each sentence can be taken, by walking along every path there is."""
    found: dict[str, set[tuple[tuple[Op, ...], ...]]] = defaultdict(set)
    left: list[tuple[int, tuple[str, ...], tuple[Op, ...]]] = [(one.start, (), ())]
    while left:
        state, words, had = left.pop()
        for move in one.states[state]:
            ops = (*had, *move.ops)
            if move.word is None:
                in_order = tuple(op for op in ops if op[0] in NUMBER_OPS or op[0] == "unit")
                found[" ".join(words)].add((in_order, tuple(sorted(set(ops) - set(in_order)))))
            else:
                left.append((move.target, (*words, move.word), ops))
    return {sentence: len(ways) for sentence, ways in found.items()}


def _paths(one: Automaton, state: int) -> int:
    return sum(1 if move.word is None else _paths(one, move.target) for move in one.states[state])


def test_a_sentence_with_two_meanings_is_found_where_walking_every_path_finds_one() -> None:
    draw, double, one_path = random.Random(8), 0, 0
    for _ in range(300):
        text = f"{HEAD}public <s> = go {{kind=drained}} {_drawn(draw, 3)};"
        made = build_automaton(parse_rules("drawn", text))
        machine, ways = determine(made), _told_apart(made)
        found = {line.split(":")[0].strip("'") for line in ambiguities(made, machine)}
        assert found <= {sentence for sentence, many in ways.items() if many > 1}, text
        assert bool(found) == (max(ways.values()) > 1), text
        assert single(made, machine)[machine.start] == (_paths(made, made.start) == len(ways)), text
        double, one_path = double + bool(found), one_path + single(made, machine)[machine.start]
    assert min(double, one_path, 300 - double, 300 - one_path) > 50


def test_rules_that_double_are_refused_before_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """A part of a rule counts when it is looked at, be it of one word: 2 to the 60th are not waited for."""
    looked = 0
    real = automaton._Builder._compile

    def counted(self: automaton._Builder, node: Node, after: int) -> object:
        nonlocal looked
        looked += 1
        return real(self, node, after)

    monkeypatch.setattr(automaton._Builder, "_compile", counted)
    rules = "".join(f"<r{n}> = <r{n - 1}> <r{n - 1}>;" for n in range(1, 60))
    with pytest.raises(BadFile, match="too many sentences"):
        small(f"<r0> = a | b; {rules} public <s> = go {{kind=yes}} <r59>;")
    assert looked <= automaton.MOST_WORK / 8 + 1


def test_english_has_one_meaning_for_each_sentence(grammar: Grammar) -> None:
    assert grammar.ambiguities() == []


def test_no_sampled_sentence_has_two_meanings(grammar: Grammar, independent: Independent) -> None:
    """The exact check, doubted: 800 sentences through the other matcher, which finds all readings."""
    chance = random.Random(20)
    for _ in range(800):
        sentence = grammar.sample(chance.randrange)
        assert len(independent.meanings(sentence)) == 1, sentence


def test_the_other_matcher_would_find_two() -> None:
    """The sampled check can fail: where a sentence has two meanings, it sees both."""
    rules = small("public <s> = drained {kind=next} four | drained {kind=back} four;").rules
    assert Independent(rules).meanings("drained four") == {Meaning("next"), Meaning("back")}
