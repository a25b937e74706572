"""`assistant where`: every folder and file the program uses."""

from __future__ import annotations

import argparse

from assistant.shelf.places import all_places


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("where", help="print every folder the program uses")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print one place a line."""
    places = all_places()
    width = max(len(name) for name in places)
    for name, path in places.items():
        print(f"{name:<{width}}  {path}")
    return 0
