"""`assistant card`: the sentences on one printable page."""

from __future__ import annotations

import argparse

from assistant.commands import house


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("card", help="print the sentences on one page")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the card, made from the grammar."""
    from assistant.commands.language import with_own
    from assistant.grammar.card import phrases
    from assistant.phrasing.en.card import page

    grammar = with_own(house.settings().language, house.left_out)
    print(page(phrases(grammar)))
    return 0
