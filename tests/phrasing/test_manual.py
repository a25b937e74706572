"""The manual says nothing that is not so: sentences, answers, commands and limits are the program's own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.__main__ import main, parser
from assistant.grammar import Grammar, Meaning
from assistant.phrasing import phrase
from assistant.phrasing.en import manual
from tests.straight_job import bench_at

README = Path(__file__).resolve().parent.parent.parent / "README.md"
TEXTS = [*(text for texts in manual.MECHANIC.values() for text in texts), *manual.CANNOT_HEAR]


def test_every_sentence_is_understood(english: Grammar) -> None:
    """By the grammar that is shipped, and as a meaning, not as a trap."""
    told = [sentence for text in TEXTS for sentence in re.findall(r"\{([^}]+)\}", text)]
    assert len(told) > 40
    assert [one for one in told if not isinstance(english.parse(one), Meaning)] == []


def test_the_answers_are_what_is_said() -> None:
    """The exchange, in a job that stands where the old fluid is measured."""
    bench = bench_at("measure")
    for said, reply in manual.EXCHANGE:
        bench.hear(said)
        assert tuple(bench.sentences) == phrase(reply)


def test_every_command_exists(capsys: pytest.CaptureFixture[str]) -> None:
    """What stands in backquotes can be typed."""
    told = {tuple(one.split()[1:]) for text in TEXTS for one in re.findall(r"`(assistant [a-z ]+)`", text)}
    assert len(told) >= 5
    for words in told:
        with pytest.raises(SystemExit) as left:
            parser().parse_args([*words, "--help"])
        assert left.value.code == 0
    assert "--with" in capsys.readouterr().out


@pytest.mark.parametrize("page", ["mechanic", "limits"])
def test_a_page_is_a_page(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    """No longer and no wider than a sheet of paper, and without the signs of its making."""
    assert main(["manual", page]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert 20 < len(lines) <= manual.LINES
    assert max(map(len, lines)) <= manual.COLUMNS
    assert not set("{}`") & set("".join(lines))


def test_the_limits_are_those_of_the_readme() -> None:
    """One list, in both places."""
    section = README.read_text("utf-8").split("## What it cannot do\n")[1].split("\n## ")[0]
    told = [" ".join(one.split()) for one in re.split(r"^- ", section, flags=re.MULTILINE) if one.strip()]
    assert tuple(told) == manual.LIMITS
