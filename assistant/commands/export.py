"""`assistant export`: records as JSON lines, or with their sound in a ZIP file; of one person by `--who`."""

from __future__ import annotations

import argparse
import sys
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from assistant.commands import house
from assistant.commands.progress import Step, counted, working
from assistant.errors import NotSaved, WrongInput
from assistant.journal.clips import ClipStore
from assistant.journal.export import line_of
from assistant.journal.open import read_journal
from assistant.journal.persons import by_person
from assistant.journal.store import Journal, Kept


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("export", help="write records out for other programs, or for a person")
    parser.add_argument("--who", metavar="NAME", help="only what this person did, in whatever job")
    parser.add_argument("--to", metavar="FILE.zip", type=Path, help="a new file: the lines and their sound")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.set_defaults(run=run)


def chosen_rows(journal: Journal, who: str | None) -> Iterator[Kept]:
    """Yield the rows of all jobs, or of those stretches of jobs that a person worked on."""
    for job in (row.id for row in journal.jobs()):
        rows = journal.kept(job)
        yield from rows if who is None else by_person(rows, who)


def run(arguments: argparse.Namespace) -> int:
    """Print the lines, or write the file."""
    where = house.journal_place(arguments.journal, house.settings())
    with closing(read_journal(where)) as journal:
        rows = chosen_rows(journal, arguments.who)
        whole = {row.id: row.events for row in journal.jobs()}
        if arguments.to is None:
            count = 0
            for count, row in enumerate(rows, start=1):  # noqa: B007 - counted past the loop
                print(line_of(row))
            sounds = 0
        else:
            with working("Writing records and sound") as step:
                count, sounds = _write(arguments.to, rows, whole, ClipStore(house.clips_place(where)), step)
    of = f" of {arguments.who}" if arguments.who else ""
    if not count:
        raise WrongInput(f"there is no record{of} in {where}")
    print(f"({count} events{of}, {sounds} sound files)", file=sys.stderr)
    return 0


def _write(
    to: Path, rows: Iterator[Kept], whole: dict[str, int], clips: ClipStore, step: Step
) -> tuple[int, int]:
    """Write a ZIP file that is not there yet; return how many events and sounds it holds.

    Of a job that is not written `whole` (events by job) only the sound its events name is taken.
    """
    jobs: dict[str, list[Kept]] = {}
    for row in rows:
        jobs.setdefault(row.job, []).append(row)
    if not jobs:
        return 0, 0
    sounds = 0
    try:
        with zipfile.ZipFile(to, "x", zipfile.ZIP_DEFLATED) as archive:
            for job, kept in counted(jobs.items(), len(jobs), step):
                archive.writestr(f"{job}/events.jsonl", "".join(f"{line_of(row)}\n" for row in kept))
                bodies = "\n".join(row.body for row in kept)
                for file in clips.of(job):
                    if len(kept) == whole[job] or file.stem in bodies:
                        archive.write(file, f"{job}/{file.name}")
                        sounds += 1
    except OSError as trouble:
        raise NotSaved(f"{to}: {trouble.strerror or trouble}") from trouble
    return sum(map(len, jobs.values())), sounds
