"""`assistant check`: whether this computer has all that a job needs, each fault with its cure."""

from __future__ import annotations

import argparse
from pathlib import Path

from assistant.commands import check_computer


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("check", help="check this computer: model, microphone, voice, folders")
    parser.add_argument("--model", metavar="DIR", type=Path, help="folder of the speech model")
    check_computer.options(parser)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Check the computer."""
    return check_computer.run(arguments)
