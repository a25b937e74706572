"""`assistant jobs` and `assistant resume JOB`: what the journal holds, and going on with one of them."""

from __future__ import annotations

import argparse
import json
from datetime import UTC, datetime

from assistant.app import Say, Session, resumed_session
from assistant.commands import house
from assistant.commands.ears import Ear
from assistant.commands.sheet_keeping import keeps_figures
from assistant.commands.start import carry_on, clock_for, ends, print_events
from assistant.errors import WrongInput
from assistant.job.state import fold
from assistant.journal.open import read_journal
from assistant.journal.store import Journal
from assistant.shelf.settings import Settings


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register both commands."""
    listing = subparsers.add_parser("jobs", help="list the jobs of the journal")
    listing.add_argument("--journal", metavar="FILE")
    listing.add_argument("--json", action="store_true")
    listing.set_defaults(run=run_list)
    resume = subparsers.add_parser("resume", help="go on with a job")
    resume.add_argument(
        "job", nargs="?", default="", help="its name, or the beginning of it; default: the last open one"
    )
    resume.add_argument("--who", default="", help="who goes on")
    ends(resume)
    resume.set_defaults(run=run_resume)


def find_job(journal: Journal, given: str) -> str:
    """Return the one job whose name begins with `given`; with nothing given the newest that is not ended."""
    rows = journal.work()
    if given:
        found = [row.id for row in rows if row.id.lower().startswith(given.lower())]
        if len(found) == 1:
            return found[0]
        raise WrongInput(
            f"no job begins with {given}" if not found else f"{given} fits {len(found)} jobs: give more of it"
        )
    for row in sorted(rows, key=lambda one: one.last.utc_ms, reverse=True):
        if not fold(journal.read(row.id)).ended:
            return row.id
    raise WrongInput("no job is open")


def run_list(arguments: argparse.Namespace) -> int:
    """Print one job a line, the newest first."""
    with read_journal(house.journal_place(arguments.journal, house.settings())) as journal:
        for row in reversed(journal.work()):
            state = fold(journal.read(row.id))
            begun = (
                datetime.fromtimestamp(row.first.utc_ms / 1000, UTC).astimezone().isoformat(" ", "minutes")
            )
            facts = {
                "job": row.id,
                "begun": begun,
                "procedure": state.procedure.name,
                "vehicle": state.sheet.vehicle,
                "step": state.step_id,
                "ended": state.ended,
                "events": row.events,
            }
            if arguments.json:
                print(json.dumps(facts, ensure_ascii=False))
            else:
                where = state.ended or f"at {state.step_id}"
                print(f"{row.id}  {begun}  {state.procedure.title}, {state.sheet.vehicle}: {where}")
    return 0


def run_resume(arguments: argparse.Namespace) -> int:
    """Take up a job from its journal alone."""
    chosen = house.settings()
    clock = clock_for(arguments.ear)

    def begin(store: house.Store, say: Say, _: Settings, ear: Ear | None) -> Session:
        job = find_job(store.journal, arguments.job)
        session = resumed_session(history=store.journal.read(job), outbox=store.outbox, clock=clock, say=say)
        if arguments.json:
            session.committed = print_events
        keeps_figures(session)
        session.reopen(arguments.who)
        return session

    return carry_on(arguments, chosen, clock, begin)
