"""`assistant manual`: one page for the mechanic; `assistant manual limits`: one on what it cannot do."""

from __future__ import annotations

import argparse


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("manual", help="a page for the mechanic, and one on limits")
    parser.add_argument("page", nargs="?", choices=("mechanic", "limits"), default="mechanic")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the page."""
    from assistant.phrasing.en import manual

    print(manual.limits() if arguments.page == "limits" else manual.mechanic())
    return 0
