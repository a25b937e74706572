"""`assistant forget JOB --sound`: the sound of a job is removed; its record, with the hashes, stays."""

from __future__ import annotations

import argparse

from assistant.commands import house
from assistant.commands.report import job_of
from assistant.errors import NotSaved, WrongInput
from assistant.journal.clips import ClipStore
from assistant.journal.open import read_journal


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("forget", help="remove the sound of a job")
    parser.add_argument("job", help="its name, or the beginning of it")
    parser.add_argument("--sound", action="store_true", help="what is removed; the record itself is never")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Remove every clip of the job."""
    if not arguments.sound:
        raise WrongInput("a record is only added to, never taken from; its sound can be: add --sound")
    where = house.journal_place(arguments.journal, house.settings())
    with read_journal(where) as journal:
        job = job_of(journal, arguments.job)
    place = house.clips_place(where)
    try:
        count = ClipStore(place).forget(job)
    except OSError as trouble:
        raise NotSaved(f"some of the sound in {place} could not be removed: {trouble}") from trouble
    print(f"{count} sound files of job {job} removed; the record keeps their hashes")
    return 0
