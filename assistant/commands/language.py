"""The grammar of a language, read from the shipped files."""

from __future__ import annotations

from pathlib import Path

from assistant.errors import BadFile, MissingPart
from assistant.grammar import Grammar, compile_grammar


def grammar_of(language: str, folder: Path, address: str = "") -> Grammar:
    """Return the grammar `language`, compiled from `NAME.jsgf` and then `NAME-*.jsgf` in `folder`.

    `address` is the word the ear is called by, empty where it has none.
    """
    first = folder / f"{language}.jsgf"
    if not first.is_file():
        raise MissingPart(f"The grammar {first} is missing: install the program again.")
    files = [first, *sorted(folder.glob(f"{language}-*.jsgf"))]
    texts: list[tuple[str, str]] = []
    for file in files:
        try:
            texts.append((file.name, file.read_text("utf-8")))
        except (OSError, UnicodeDecodeError) as problem:
            raise BadFile(str(file), "cannot be read as text") from problem
    return compile_grammar(texts, address)
