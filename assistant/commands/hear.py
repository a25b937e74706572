"""`assistant hear`: recognition alone, on recordings."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from assistant.shelf.places import cache_folder

NAME = "hear"


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command and its arguments."""
    parser = subparsers.add_parser(NAME, help="hear recordings and print what was understood")
    parser.add_argument("files", metavar="FILE", nargs="+", type=Path, help="a WAV, FLAC or OGG recording")
    parser.add_argument(
        "--awaiting", metavar="READING", help="what was just asked for, as 'reading' or 'torque'"
    )
    parser.add_argument("--json", action="store_true", help="one JSON line for each utterance")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print one line for each utterance, as soon as it is decided; return the exit code.

    A number that sounds like another carries that as `twin` ("15" for "50"): in a job it is never
    believed without a yes.
    """
    from assistant.commands import house
    from assistant.commands.fetch import BUILDING, model_or_fetch
    from assistant.commands.language import ear_lacks, with_own
    from assistant.commands.progress import told_once
    from assistant.hearing.hear import expected, hear_sounds, load
    from assistant.phrasing.en.twins import twin_value

    recordings, expectation = load(arguments.files), expected(arguments.awaiting)
    cache = cache_folder()
    model = model_or_fetch(arguments.model, cache)
    grammar = with_own("en", house.left_out, lacking=ear_lacks(model))
    for table in hear_sounds(recordings, grammar, model, cache, expectation, building=told_once(BUILDING)):
        twin = twin_value(table["words"], grammar.parse) if table["meaning"] else None
        if twin is not None:
            table["twin"] = twin
        sys.stdout.write((json.dumps(table, ensure_ascii=False) if arguments.json else plain(table)) + "\n")
        sys.stdout.flush()
    return 0


def plain(table: dict[str, Any]) -> str:
    """Return one utterance as a line to read."""
    place = f"{table['file']} {table['start']:.2f}-{table['end']:.2f}"
    meaning = table["meaning"]
    if meaning is None:
        return f"{place}  {table['words'] or '...'}  (not understood: {table['reason']})"
    number = " ".join(part for part in (meaning["value"], meaning["unit"]) if part)
    slots = " ".join(f"{name}={value}" for name, value in meaning.get("slots", {}).items())
    parts = (
        meaning["kind"],
        number,
        slots,
        f"{table['confidence']:.0%}",
        "amends" if table["amends"] else "",
    )
    return f"{place}  {table['words']}  = {' '.join(part for part in parts if part)}"
