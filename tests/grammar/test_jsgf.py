"""The text format: what is read, and what each mistake is told. Format: W3C Note JSGF 1.0 (June 2000)."""

from __future__ import annotations

import pytest

from assistant.errors import BadFile
from assistant.grammar import Meaning, compile_grammar
from assistant.grammar.jsgf import parse_rules
from assistant.grammar.tree import Alternatives, written

HEAD = "#JSGF V1.0 UTF-8 en;\ngrammar test;\n"


def test_the_forms_of_the_format_are_read() -> None:
    text = (
        HEAD
        + """
        /* long
           comment */
        public <polite> = [please | kindly] <act> {kind=next}; // W3C 3.3, 4.2 to 4.8
        <act> = /3/ open | /1/ close | (delete | move) now;
    """
    )
    rules = parse_rules("test.jsgf", text)
    assert list(rules) == ["polite", "act"]
    assert (rules["polite"].public, rules["act"].public) == (True, False)
    assert rules["act"].line == 7
    assert written(rules["act"].expansion) == "open | close | (delete | move) now"
    assert written(rules["polite"].expansion) == "[please | kindly] <act> {kind=next}"
    act = rules["act"].expansion
    assert isinstance(act, Alternatives)
    assert act.weights == pytest.approx((3 / 5, 1 / 5, 1 / 5))


def test_weights_become_costs() -> None:
    """W3C Note, 4.3.3: a weight says how likely an alternative is; here three to one, partly evened out."""
    from math import exp

    acceptor = compile_grammar([("t", HEAD + "public <s> = (/3/ yes | /1/ yep) {kind=yes};")]).acceptor
    cost = {arc.word: exp(-arc.cost) for arc in acceptor.arcs[acceptor.start]}
    assert cost["yes"] == pytest.approx(0.85 * 0.75 + 0.15 / 2)


@pytest.mark.parametrize(
    ("text", "line", "piece"),
    [
        ("grammar x;\npublic <s> = yes {kind=yes};", 1, "header is missing"),
        (HEAD + "public <s> = yes {kind=yes}", 3, "expected ';'"),
        (HEAD + "public <s> = (yes {kind=yes};", 3, "expected ')'"),
        (HEAD + "public <s> = [yes {kind=yes};", 3, "expected ']'"),
        (HEAD + "public s = yes;", 3, "cannot begin with 's'"),
        (HEAD + "public <s> = yes | ;", 3, "nothing is said"),
        (HEAD + "public <s> = {kind=yes};", 3, "no word before it"),
        (HEAD + "public <s> = yes+ {kind=yes};", 3, "repeats without end"),
        (HEAD + "public <s> =\n yes* {kind=yes};", 4, "repeats without end"),
        (HEAD + "public <s> = /x/ yes | no;", 3, "is no weight"),
        (HEAD + "public <s> = /-1/ yes | no;", 3, "is no weight"),
        (HEAD + "public <s> = Yes {kind=yes};", 3, "capital letters"),
        (HEAD + 'public <s> = "yes";', 3, "is not allowed here"),
        (HEAD + "public <s> = yes {kind=yes};\n<s> = no;", 4, "is written twice"),
        (HEAD + "public <s> = <t>;", 3, "<t> is not written anywhere"),
        (HEAD + "public <s> = yes {kind=yes};\n<t> = no;", 4, "<t> is never used"),
        (HEAD + "<s> = yes {kind=yes};", None, "no rule is public"),
        (HEAD + "public <s> = yes <s>;", 3, "<s> is recursive"),
        (HEAD + "public <s> = yes\n <t>;\n<t> = no\n <s>;", 6, "<s> is recursive"),
        (HEAD + "public <s> = yes {kind=yess};", 3, "'yess' is no kind"),
        (HEAD + "public <s> =\n\n yes {kind=yes} {unit=bucket};", 5, "'bucket' is no unit"),
        (HEAD + "public <s> = yes {kind=yes} {mood=glad};", 3, "no kind of meaning has a slot 'mood'"),
        (HEAD + "public <s> = yes {kind=look} {colour=blue};", 3, "'blue' is no colour"),
        (HEAD + "public <s> = yes {yes};", 3, "is not known"),
        (HEAD + "public <s> = four {kind=number} {digit 44};", 3, "wrong value"),
        (HEAD + "public <s> = <t> {digit 4};\n<t> = four {kind=number};", 3, "is on a group"),
        (HEAD + "public <s> = yes [please] {kind=yes};", 3, "words that may be left out"),
        (HEAD + "public <s> = yes;", None, "'yes': it has 0 kinds"),
        (HEAD + "public <s> = four {kind=drained};", None, "'four': drained needs a number"),
        (HEAD + "public <s> = yes {kind=yes} {digit 4};", None, "yes takes no number"),
        (HEAD + "public <s> = four {kind=drip} {digit 4} {unit=litre};", None, "drip has no unit litre"),
        (HEAD + "public <s> = red {kind=look} {colour=red} brown {colour=brown};", None, "two values"),
        (HEAD + "public <s> = four {kind=drip} {digit 4} {form=total};", None, "drip has no slot form=total"),
        (HEAD + "public <s> = to {kind=hand-over};", None, "needs a number or letters"),
    ],
)  # fmt: skip
def test_each_mistake_is_told_with_its_line(text: str, line: int | None, piece: str) -> None:
    with pytest.raises(BadFile) as caught:
        compile_grammar([("test.jsgf", text)])
    assert piece in str(caught.value)
    assert caught.value.line == line
    assert caught.value.path == "test.jsgf"
    assert caught.value.cure


def test_several_files_are_one_grammar_and_a_later_rule_replaces_an_earlier() -> None:
    first = HEAD + "public <s> = <yes> | no {kind=no};\n<yes> = yes {kind=yes};"
    second = HEAD + "<yes> = aye {kind=yes};"
    grammar = compile_grammar([("a", first), ("b", second)])
    assert grammar.parse("aye") == Meaning("yes")
    assert not isinstance(grammar.parse("yes"), Meaning)
    assert grammar.parse("no") == Meaning("no")


def test_a_second_language_needs_no_code() -> None:
    """A few German sentences: only the file speaks a language."""
    text = (
        HEAD.replace("en", "de")
        + """
        public <satz> = <zahl> {kind=drained} liter {unit=litre} abgelassen | noch einmal {kind=say-again};
        <zahl> = vier {digit 4} [komma {point} zwei {digit 2}] | fünf {digit 5};
    """
    )
    grammar = compile_grammar([("de.jsgf", text)])
    assert grammar.parse("vier komma zwei liter abgelassen") == Meaning(
        "drained", "4.2", "litre", (("form", "bare"),)
    )
    assert grammar.parse("noch einmal") == Meaning("say-again")
    assert grammar.normalise("4.2 Liter abgelassen") == "vier komma zwei liter abgelassen"
    assert grammar.ambiguities() == []


def test_a_card_phrase_must_be_a_sentence() -> None:
    from assistant.grammar import phrases

    grammar = compile_grammar([("t", HEAD + "public <s> = yes {kind=yes} {card yes indeed};")])
    with pytest.raises(BadFile, match="'yes indeed' is on the card"):
        phrases(grammar)
