"""`assistant waste`: waste fluid by kind and amount, where it came from, and its hand-over to collection."""

from __future__ import annotations

import argparse
import json
import sys
from contextlib import closing

from assistant.commands import house
from assistant.commands.book import Book
from assistant.errors import WrongInput
from assistant.job.events import WasteHandedOver
from assistant.journal.ids import new_job_id
from assistant.journal.open import open_journal
from assistant.journal.store import BESIDE
from assistant.phrasing.en.words import WASTE
from assistant.timekeeping.clock import SystemClock
from assistant.units import Measure, kind_of, read_measure


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("waste", help="waste fluid by kind, and its hand-over")
    parser.add_argument("--hand-over", metavar="AMOUNT", help='how much left, such as "18 litres"')
    parser.add_argument("--kind", default="oil", help=f"of {', '.join(WASTE)}; default oil")
    parser.add_argument("--to", default="", metavar="NAME", help="who took it")
    parser.add_argument("--who", default="", help="who handed it over")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.add_argument("--json", action="store_true", help="as one JSON object")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Record a hand-over where one is told, then print the log."""
    from assistant.commands.history import width
    from assistant.display.history.tables import waste
    from assistant.display.history.text import as_text
    from assistant.phrasing.en import history as words

    where = house.journal_place(arguments.journal, house.settings())
    if arguments.hand_over is not None:
        hand_over(where, arguments.kind, amount_of(arguments.hand_over), arguments.to, arguments.who)
    elif arguments.to:
        raise WrongInput('how much was handed over? --hand-over "18 litres"')
    table = waste(Book(where).entries())
    if arguments.json:
        print(json.dumps(table, ensure_ascii=False, indent=2))
    else:
        print(as_text(words.waste(table), width()), end="")
    return 0


def amount_of(text: str) -> Measure:
    """Return the amount a text names; raises `WrongInput` for what is no positive volume."""
    amount = read_measure(text)
    if kind_of(amount.unit) != "volume" or amount.exact <= 0:
        raise WrongInput(f"'{text}' is no amount of fluid: write it as \"18 litres\"")
    return amount


def hand_over(where: str, kind: str, amount: Measure, to: str, who: str) -> None:
    """Write durably that waste left; raises `WrongInput` where it is not said whose it is now, or of what."""
    if kind not in WASTE:
        raise WrongInput(f"no waste is called '{kind}': {', '.join(WASTE)}")
    if not to.strip():
        raise WrongInput("to whom was it handed over? --to NAME")
    at = SystemClock().now()
    event = WasteHandedOver(at=at, kind=kind, value=amount.value, unit=amount.unit, to=to.strip(), who=who)
    with closing(open_journal(where, at)) as journal:
        journal.append(f"{BESIDE}{new_job_id(at)}", [event])
    print(f"(handed over: {amount.value} {amount.unit.replace('_', ' ')} to {to.strip()})", file=sys.stderr)
