"""Recognition of recordings: one plain table for each utterance, the model loaded once for all files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from assistant.errors import WrongInput
from assistant.grammar import Grammar
from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.grammar.meaning import KINDS, Meaning
from assistant.hearing.endpointer import Pauses
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import Samples, in_blocks, read_sound
from assistant.hearing.utterance import Utterance

Recording = tuple[str, Samples]
"""A name and its sound at 16 kHz."""


def expected(awaiting: str | None) -> Expectation:
    """Return what to expect while kind `awaiting` is awaited; None: anything. Raises `WrongInput`."""
    if awaiting is None:
        return ANYTHING
    kind = awaiting.strip().lower().replace("_", "-")
    if kind == "reading":
        return Expectation(awaiting=tuple(name for name, each in KINDS.items() if each.units or each.count))
    if kind not in KINDS:
        raise WrongInput(
            f"nothing called {awaiting!r} can be awaited; there are: reading, {', '.join(sorted(KINDS))}"
        )
    answers = (kind, "number") if KINDS[kind].units else (kind,)
    return Expectation(awaiting=answers)


def load(paths: Iterable[Path]) -> list[Recording]:
    """Return every file's name and sound; raises `BadFile` at the first that cannot be read."""
    return [(str(path), read_sound(path)) for path in paths]


def hear_files(
    paths: Iterable[Path],
    grammar: Grammar,
    model: Path,
    cache: Path,
    *,
    awaiting: str | None = None,
    pauses: Pauses | None = None,
) -> Iterator[dict[str, Any]]:
    """Yield one table for each utterance of each file, in order; every file is read before any is heard."""
    return hear_sounds(load(paths), grammar, model, cache, expected(awaiting), pauses)


def hear_sounds(
    recordings: Iterable[Recording],
    grammar: Grammar,
    model: Path,
    cache: Path,
    expectation: Expectation = ANYTHING,
    pauses: Pauses | None = None,
    building: AbstractContextManager[None] | None = None,
) -> Iterator[dict[str, Any]]:
    """Yield one JSON-able table for each utterance of each recording, in order; the model is loaded once.

    `model` is a complete model folder, `cache` the user's cache folder; `building` is entered while the word
    graph is made. Keys: file, words, meaning
    (kind, value as decimal string, unit, slots; None when refused), confidence (0 to 1), start, end
    and decided (seconds), amends. When refused also reason, and where the reason is "doubtful" (a
    reading that is to be confirmed with a yes) the meaning as candidate.
    """
    folder = prepared_folder(grammar.acceptor, model, cache, building=building)
    ear = Recogniser(folder, grammar, expectation=expectation, pauses=pauses)
    for name, samples in recordings:
        for block in in_blocks(samples.astype("<i2").tobytes()):
            for utterance in ear.feed(block):
                yield as_table(name, utterance, grammar)
        for utterance in ear.finish():
            yield as_table(name, utterance, grammar)


def as_table(file: str, utterance: Utterance, grammar: Grammar) -> dict[str, Any]:
    """Return an utterance as plain values, words in one spelling."""
    table: dict[str, Any] = {
        "file": file,
        "words": grammar.normalise(utterance.known_words),
        "meaning": None if utterance.doubtful else meaning_table(utterance.meaning),
        "confidence": round(utterance.share, 4),
        "start": round(utterance.start, 3),
        "end": round(utterance.end, 3),
        "decided": round(utterance.decided, 3),
        "amends": utterance.amends,
    }
    if utterance.meaning is None:
        table["reason"] = utterance.reason
    elif utterance.doubtful:
        table["reason"] = "doubtful"
        table["candidate"] = meaning_table(utterance.meaning)
    return table


def meaning_table(meaning: Meaning | None) -> dict[str, Any] | None:
    """Return a meaning as plain values; value and unit are None where there is none."""
    if meaning is None:
        return None
    table: dict[str, Any] = {"kind": meaning.kind, "value": meaning.value, "unit": meaning.unit}
    if meaning.slots:
        table["slots"] = dict(meaning.slots)
    return table
