"""`assistant history`: what all jobs tell together: vehicles, services, findings, parts and fluids."""

from __future__ import annotations

import argparse
import json
import shutil
import sys

from assistant.commands import house
from assistant.commands.book import Book
from assistant.commands.progress import working

WIDTH = 120
"""Signs on a line where the output is no terminal."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("history", help="what was done to which vehicle, and what was used")
    parser.add_argument("vehicle", nargs="?", default="", help="the name of a vehicle, or a part of it")
    parser.add_argument("--search", metavar="TEXT", help="the jobs in which these words stand")
    parser.add_argument("--compare", nargs=2, metavar="JOB", help="two jobs side by side")
    parser.add_argument("--month", metavar="YYYY-MM", help="fluids, parts and waste of a month")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.add_argument("--json", action="store_true", help="as one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print what is asked for."""
    from assistant.display.history import tables
    from assistant.display.history.text import as_text
    from assistant.phrasing.en import history as words

    with working("Reading the records"):
        entries = Book(house.journal_place(arguments.journal, house.settings())).entries()
    if arguments.compare:
        table, worded = tables.compare(entries, *arguments.compare), words.compare
    elif arguments.month:
        table, worded = tables.month(entries, arguments.month), words.month
    elif arguments.search:
        table, worded = tables.search(entries, arguments.search), words.search
    elif arguments.vehicle:
        table, worded = tables.of_vehicle(entries, arguments.vehicle), words.of_vehicle
    else:
        table, worded = tables.jobs(entries), words.overview
    if arguments.json:
        print(json.dumps(table, ensure_ascii=False, indent=2))
    else:
        print(as_text(worded(table), width()), end="")
    return 0


def width() -> int:
    """Return how many signs go on a line."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDTH
