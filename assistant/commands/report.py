"""`assistant report JOB`: the record of a job, in words, as JSON or CSV, or as HTML or PDF with plots."""

from __future__ import annotations

import argparse
import json

from assistant.commands import house
from assistant.errors import WrongInput
from assistant.journal.open import read_journal
from assistant.journal.store import Journal


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("report", help="print the record of a job")
    parser.add_argument(
        "job", nargs="?", default="", help="its name, or the beginning of it; default: the newest"
    )
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.add_argument("--json", action="store_true", help="as one JSON object")
    parser.add_argument("--schema", action="store_true", help="print the schema of that object")
    parser.add_argument("--csv", metavar="FILE", help="also as a table")
    parser.add_argument("--html", metavar="FILE", help="also as HTML in one file, with plots")
    parser.add_argument("--pdf", metavar="FILE", help="also as PDF, with plots")
    parser.add_argument("--paper", default="a4", help="a4 or letter")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the report."""
    from assistant.display.record import record
    from assistant.display.report import worded

    if arguments.schema:
        from assistant.display.document.tables import schema

        print(json.dumps(schema(), ensure_ascii=False, indent=2))
        return 0
    with read_journal(house.journal_place(arguments.journal, house.settings())) as journal:
        history = journal.read(job_of(journal, arguments.job))
        if arguments.csv or arguments.html or arguments.pdf:
            from assistant.commands.report_files import write_files

            write_files(arguments, journal, history)
            return 0
    table = record(history)
    print(json.dumps(table, ensure_ascii=False, indent=2) if arguments.json else worded(table))
    return 0


def job_of(journal: Journal, given: str) -> str:
    """Return the one job whose name begins with `given`; the one that began last where nothing is given."""
    rows = [row for row in journal.work() if row.id.lower().startswith(given.lower())]
    if not rows:
        raise WrongInput(f"no job begins with {given}" if given else "there is no job in this journal")
    if given and len(rows) > 1:
        raise WrongInput(f"{given} fits {len(rows)} jobs: give more of it")
    return rows[-1].id
