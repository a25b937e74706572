"""The English grammar, compiled once."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.grammar import Grammar, compile_grammar
from assistant.shelf.places import data_folder


@pytest.fixture(scope="session")
def english() -> Grammar:
    """Return the shipped grammar."""
    file: Path = data_folder("grammars") / "en.jsgf"
    return compile_grammar([(file.name, file.read_text(encoding="utf-8"))])
