"""The English grammar, compiled once, with its twin file and the independent matcher."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from assistant.grammar import Grammar, Meaning
from tests import bench
from tests.grammar.independent import Independent

GRAMMARS = Path(__file__).resolve().parent.parent.parent / "grammars"


@dataclass(frozen=True)
class Twin:
    """The sentences file beside a grammar."""

    heard: tuple[tuple[str, Meaning], ...]
    trap: tuple[str, ...]
    refuse: tuple[str, ...]


@pytest.fixture(scope="session")
def english_text() -> str:
    """Return the text of the English grammar."""
    return (GRAMMARS / "en.jsgf").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """Return the English grammar, compiled once for all tests."""
    return bench.grammar()


@pytest.fixture(scope="session")
def independent(grammar: Grammar) -> Independent:
    """Return the second matcher over the same rules."""
    return Independent(grammar.rules)


@pytest.fixture(scope="session")
def twin() -> Twin:
    """Return the sentences beside the English grammar."""
    data = tomllib.loads((GRAMMARS / "en.sentences.toml").read_text(encoding="utf-8"))
    heard: list[tuple[str, Meaning]] = []
    for row in data["heard"]:
        slots = tuple(sorted(row.get("slots", {}).items()))
        meaning = Meaning(row["kind"], row.get("value"), row.get("unit"), slots)
        heard.extend((sentence, meaning) for sentence in row["say"])
    return Twin(tuple(heard), tuple(data["trap"]), tuple(data["refuse"]))
