"""The grammar of a language: ours, read from the shipped files, and a mechanic's own rules beside it.

Own files lie in the folder `own grammars` (`assistant where` names it) as LANGUAGE-ANYTHING.jsgf. They add,
and a rule of the same name replaces ours. The union is compiled whole: a sentence with two meanings, a rule
that uses itself or a word the ear does not know is found at once, and that file is told and left out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from functools import cache
from pathlib import Path

from assistant.commands.progress import working
from assistant.errors import AssistantError, BadFile, MissingPart, WrongInput
from assistant.grammar import Grammar, compile_grammar
from assistant.grammar.graph import word_ids
from assistant.hearing.model import find_model
from assistant.shelf.places import cache_folder, data_folder, own_grammars_folder

LARGEST_BYTES = 100_000
"""Of a grammar file; ours has little more than half of it."""
UNKNOWN = "write it as the model's vocabulary has it, or use another word"
"""What to do about a word the ear does not know."""

Told = Callable[[str], None]
"""Takes what is wrong with a file that was left out."""
Lacking = Callable[[Collection[str]], Sequence[str]]
"""Returns which of some words the ear does not know."""


def ear_lacks(model: Path | None = None) -> Lacking:
    """Return what tells which words the speech model lacks; nothing where there is no model to look in."""

    @cache
    def known() -> frozenset[str] | None:
        # Read when the first word is looked up: the file is large, and most have no rules of their own.
        try:
            return frozenset(word_ids((find_model(model, cache_folder()) / "graph" / "Gr.fst").read_bytes()))
        except (AssistantError, OSError):
            return None

    def lacking(words: Collection[str]) -> Sequence[str]:
        return () if (there := known()) is None else sorted(set(words) - there)

    return lacking


def grammar_of(language: str, folder: Path, address: str = "") -> Grammar:
    """Return the grammar `language`, compiled from `NAME.jsgf` and then `NAME-*.jsgf` in `folder`.

    `address` is the word the ear is called by, empty where it has none.
    """
    return _compiled(_shipped(language, folder), address)


def with_own(language: str, told: Told, address: str = "", lacking: Lacking | None = None) -> Grammar:
    """Return our grammar with the own files of that language that are sound; `told` gets the faults.

    `lacking` says which words the ear does not know; without it no word is looked up.
    """
    with working("Reading the grammar"):
        return _with_own(language, told, address, lacking)


def _with_own(language: str, told: Told, address: str, lacking: Lacking | None) -> Grammar:
    files = own_files(language)
    if not files:
        return grammar_of(language, data_folder("grammars"), address)
    try:
        return united(language, files, address, lacking)
    except BadFile as trouble:
        if len(files) == 1:
            told(f"{trouble}; it is left out")
            return grammar_of(language, data_folder("grammars"), address)
    kept: list[Path] = []
    grammar = grammar_of(language, data_folder("grammars"), address)
    for file in files:
        try:
            grammar = united(language, (*kept, file), address, lacking)
            kept.append(file)
        except BadFile as trouble:
            told(f"{trouble}; it is left out")
    return grammar


def own_files(language: str) -> tuple[Path, ...]:
    """Return the mechanic's own grammar files of a language, in the order they are taken."""
    return tuple(sorted(own_grammars_folder().glob(f"{language}-*.jsgf")))


def united(
    language: str, files: Sequence[Path], address: str = "", lacking: Lacking | None = None
) -> Grammar:
    """Return our grammar with these files in one; raises `BadFile` with the first fault of the last file."""
    grammar = _compiled((*_shipped(language, data_folder("grammars")), *files), address)
    last = files[-1]
    try:
        double = grammar.ambiguities()
    except (WrongInput, RecursionError) as problem:
        cure = "take rules out of it, or options that stand side by side"
        raise BadFile(str(last), "its sentences are too many or too long", cure=cure) from problem
    if double:
        sentence = double[0].partition(": Meaning")[0].strip("'\"")
        kinds = " and ".join(dict.fromkeys(re.findall(r"kind='([a-z-]+)'", double[0])))
        cure = "say it otherwise, or give the rule the name of ours to replace it"
        why = f"{sentence!r} has two meanings: {kinds}"
        raise BadFile(str(last), why, line=likeliest_line(last, sentence), cure=cure)
    strange = lacking(grammar.words) if lacking is not None else ()
    if strange:
        line = likeliest_line(last, strange[0])
        raise BadFile(str(last), f"the ear does not know the word {strange[0]!r}", line=line, cure=UNKNOWN)
    return grammar


def likeliest_line(file: Path, words: str) -> int | None:
    """Return the line (from 1) of a grammar file that shares the most words with `words`, None with none."""
    wanted = set(words.lower().replace("'", " ").replace(":", " ").split())
    shared = [len(wanted & set(_plain(line).split())) for line in file.read_text("utf-8").splitlines()]
    most = max(shared, default=0)
    return shared.index(most) + 1 if most else None


def _plain(line: str) -> str:
    kept = line.lower().partition("//")[0]
    return "".join(sign if sign.isalpha() or sign == "'" else " " for sign in kept)


def _shipped(language: str, folder: Path) -> tuple[Path, ...]:
    first = folder / f"{language}.jsgf"
    if not first.is_file():
        raise MissingPart(f"The grammar {first} is missing: install the program again.")
    return (first, *sorted(folder.glob(f"{language}-*.jsgf")))


def _compiled(files: Sequence[Path], address: str) -> Grammar:
    texts = [(str(file), _text(file)) for file in files]
    try:
        return compile_grammar(texts, address)
    except RecursionError as problem:
        cure = "take brackets apart into rules, and rules together"
        raise BadFile(str(files[-1]), "is nested too deeply", cure=cure) from problem


def _text(file: Path) -> str:
    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise BadFile(str(file), f"has over {LARGEST_BYTES:,} bytes", cure="take rules out of it")
        return file.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as problem:
        raise BadFile(str(file), "cannot be read as text", cure="save it as UTF-8") from problem
