"""`assistant fetch`: get the speech model once, here or for a machine that is never online."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from assistant.shelf.places import cache_folder, settings_file
from assistant.shelf.settings import read_settings

NAME = "fetch"
_EVERY = 3.0
"""Seconds between two lines of progress where the output is no terminal."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command and its arguments."""
    parser = subparsers.add_parser(NAME, help="fetch the speech model (41 MB, once)")
    parser.add_argument("--to", metavar="FOLDER", type=Path, help="put it there instead of the cache")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Fetch the model unless it is there; return the exit code."""
    from assistant.hearing.model import default_folder, fetch_model

    folder = arguments.to if arguments.to is not None else default_folder(cache_folder())
    sys.stdout.write(f"The speech model is in {fetch_model(folder, Bar())}\n")
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
    return fetch_model(default_folder(cache), Bar())


class Bar:
    """A progress bar on stderr; a line every few seconds where that is no terminal."""

    WIDTH = 40

    def __init__(self) -> None:
        self._shown = 0.0
        self._terminal = sys.stderr.isatty()

    def __call__(self, done: int, total: int) -> None:
        """Show how far it has come, in bytes."""
        finished = done >= total
        now = time.monotonic()
        if not finished and now - self._shown < (0.1 if self._terminal else _EVERY):
            return
        self._shown = now
        text = f"speech model {done / 1e6:5.1f} of {total / 1e6:.1f} MB"
        if self._terminal:
            full = self.WIDTH * done // max(total, 1)
            sys.stderr.write(
                f"\r[{'#' * full}{'.' * (self.WIDTH - full)}] {text}" + ("\n" if finished else "")
            )
        else:
            sys.stderr.write(text + "\n")
        sys.stderr.flush()
