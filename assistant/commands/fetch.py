"""`assistant fetch`: get the speech model once, here or for a machine that is never online."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.progress import megabytes, told_once, working
from assistant.shelf.places import cache_folder, settings_file
from assistant.shelf.settings import read_settings

if TYPE_CHECKING:
    from assistant.grammar.acceptor import Acceptor

NAME = "fetch"
WHAT = "speech model"
BUILDING = "Building the word graph, once for this grammar"


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command and its arguments."""
    parser = subparsers.add_parser(NAME, help="fetch the speech model (41 MB, once)")
    parser.add_argument("--to", metavar="FOLDER", type=Path, help="put it there instead of the cache")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Fetch the model unless it is there; return the exit code."""
    from assistant.hearing.model import default_folder, fetch_model

    folder = arguments.to if arguments.to is not None else default_folder(cache_folder())
    with working(WHAT, megabytes) as step:
        place = fetch_model(folder, step)
    sys.stdout.write(f"The speech model is in {place}\n")
    return 0


def model_or_fetch(given: Path | None, cache: Path) -> Path:
    """Return the model folder: given, else of the settings, else cached, else fetched now, once."""
    from assistant.errors import MissingPart
    from assistant.hearing.model import default_folder, fetch_model, find_model

    if given is None and (named := read_settings(settings_file()).model):
        given = Path(named).expanduser()
    try:
        return find_model(given, cache)
    except MissingPart:
        if given is not None:
            raise
    sys.stderr.write("Fetching the speech model, once (41 MB)\n")
    with working(WHAT, megabytes) as step:
        return fetch_model(default_folder(cache), step)


def word_graph(acceptor: Acceptor, model: Path | None, cache: Path) -> Path:
    """Return the folder the recogniser opens: the model with the grammar as its word graph, made once."""
    from assistant.hearing.graph_cache import prepared_folder

    return prepared_folder(acceptor, model_or_fetch(model, cache), cache, building=told_once(BUILDING))
