"""A few lines that ask for billions of sentences are refused, and never worked on to their end."""

from __future__ import annotations

import pytest

from assistant.errors import WrongInput
from assistant.grammar import Meaning, compile_grammar

HEAD = "#JSGF V1.0 UTF-8 en;\ngrammar toy;\n"
BOMBS = {
    "told apart only at the end": "public <s> = go {kind=yes} " + "[a|b] " * 40 + "a " + "(a|b) " * 30 + ";",
    "all may be left out": "public <s> = go {kind=yes} " + " ".join(map("[a{}]".format, range(999))) + ";",
    "rules of rules": "public <s> = go {kind=yes} <r20>;\n<r0> = a | b;\n"
    + "".join(f"<r{n}> = <r{n - 1}> <r{n - 1}> [a];\n" for n in range(1, 21)),
}  # fmt: skip


@pytest.mark.parametrize("name", [*list(BOMBS)[:2], pytest.param("rules of rules", marks=pytest.mark.full)])
def test_a_bomb_is_refused(name: str) -> None:
    """In one line that says what to take out."""
    with pytest.raises(WrongInput, match="take rules out of it") as refused:
        compile_grammar([("toy.jsgf", HEAD + BOMBS[name])])

    assert "\n" not in str(refused.value)


def test_many_ways_to_the_same_words_are_walked_once() -> None:
    """Forty words of which each may be any of the options before it: as many paths as there are choices."""
    grammar = compile_grammar([("toy.jsgf", HEAD + "public <s> = go {kind=yes} " + "[a] " * 60 + ";")])

    assert grammar.parse("go " + "a " * 30) == Meaning("yes", None, None)
