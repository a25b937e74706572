"""The speech model: there, whole, and understands recordings that ship with the program."""

from __future__ import annotations

import csv
import time
from collections.abc import Iterator
from pathlib import Path

from assistant.commands.computer.finding import Finding
from assistant.commands.language import grammar_of
from assistant.errors import AssistantError, MissingPart
from assistant.shelf.places import cache_folder, data_folder
from assistant.shelf.settings import Settings

SAMPLES = 3
"""How many of the recordings are heard: the first that were made without noise."""


def check_model(chosen: Settings, given: Path | None) -> Finding:
    """Return what was found of the speech model `given`, else of the settings, else of the cache."""
    from assistant.hearing.model import find_model

    named = given or (Path(chosen.model).expanduser() if chosen.model else None)
    try:
        folder = find_model(named, cache_folder())
    except MissingPart as trouble:
        told, _, cure = str(trouble).partition("; " if "not complete" in str(trouble) else ": ")
        return Finding("model", told, cure.rstrip("."))
    try:
        return _heard(folder, chosen.language)
    except (AssistantError, ImportError, OSError) as trouble:
        cure = "install the program again, or fetch the model again (assistant fetch)"
        return Finding("model", f"the model in {folder} cannot be used: {trouble}", cure)


def _heard(folder: Path, language: str) -> Finding:
    """Let the model hear recordings whose words are known."""
    from assistant.hearing.hear import hear_sounds
    from assistant.hearing.sound import read_sound

    grammar = grammar_of(language, data_folder("grammars"))
    clips = list(_clips())
    begun = time.monotonic()
    sounds = [(words, read_sound(path)) for path, words in clips]
    tables = list(hear_sounds(sounds, grammar, folder, cache_folder()))
    right = sum(table["words"] == grammar.normalise(table["file"]) for table in tables)
    told = f"the model in {folder} is whole; of {len(clips)} recordings it understood {right}"
    cure = "" if right == len(clips) else "delete that folder and run assistant fetch"
    seconds = round(time.monotonic() - begun, 1)
    figures = {"folder": str(folder), "heard": len(clips), "right": right, "seconds": seconds}
    return Finding("model", told, cure, figures)


def _clips() -> Iterator[tuple[Path, str]]:
    """Yield the first recordings without noise, and what is said in them."""
    folder = data_folder("recordings")
    with (folder / "manifest.csv").open(encoding="utf-8", newline="") as stream:
        quiet = [row for row in csv.DictReader(stream) if not row["noise"] and row["meaning"]]
    for row in quiet[:SAMPLES]:
        yield folder / row["file"], row["words"]
