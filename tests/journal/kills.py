"""A running job, killed at seeded microseconds, life after life, and what must be there afterwards.

The job is the real session with the shipped grammar and service on a journal in SQLite; only its ears are
typed lines, and its voice a pipe. A byte shared with the parent tells what the kill fell into.
"""

from __future__ import annotations

import json
import mmap
import os
import random
import signal
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from sqlalchemy import event

from assistant.app import Session, new_session, resumed_session
from assistant.commands.understanding import from_line
from assistant.job.events import Event, ReadingHeard
from assistant.job.state import fold
from assistant.journal import DurableFirst, open_journal
from assistant.journal.sql import SqlJournal
from assistant.shelf.vehicle_file import load_vehicle
from assistant.timekeeping.clock import RecordedClock
from tests.bench import SHEET, START, grammar, procedure
from tests.journal.fold_hash import mark

PHASES = (
    "before opening", "opening", "reading back the job", "deciding", "beginning to write", "writing",
    "committing", "between journal and speech", "speaking", "after speech", "closing",
)  # fmt: skip
STATEMENTS = {"BEGIN": "beginning to write", "INSERT": "writing", "COMMIT": "committing"}
LINES = (
    "drained four litres", "yes", "fifty five degrees celsius", "timer ten minutes",
    "another nought point six", "yes", "a drop every six seconds", "correction nought point eight", "yes",
    "spilled nought point two litres", "note the washer was old", "how long", "sixty degrees celsius",
    "can one two point five litres", "yes",
)  # fmt: skip
LONGEST_S = 0.1
LIVES_OF_A_JOB = 25
AT_WORK = 0.8
"""In how many lives the time to the kill counts from the first word; in the others from the start."""


BETWEEN = 0.08
"""In how many lives the kill falls between journal and speech, which is too short to be hit by time alone."""


class Life:
    """One run of the program, in a process of its own."""

    def __init__(self, path: Path, phase: mmap.mmap, pipe: int, chance: random.Random) -> None:
        self._path, self._phase, self._pipe, self._chance = path, phase, pipe, chance
        self._readings: list[list[str | int | None]] = []
        self._writes_left = chance.randint(1, 12) if chance.random() < BETWEEN else 0

    def at(self, name: str) -> None:
        """Tell where this process is."""
        self._phase[0] = PHASES.index(name)

    def say(self, sentences: Sequence[str]) -> bool:
        """Read back: from here on it counts as said."""
        self.at("speaking")
        os.write(self._pipe, json.dumps({"said": self._readings}).encode() + b"\n")
        self.at("after speech")
        return True

    def committed(self, events: Sequence[Event]) -> None:
        """Note what is durable and not said yet."""
        self.at("between journal and speech")
        self._readings += [
            [one.reading, one.kind, one.value, one.unit] for one in events if isinstance(one, ReadingHeard)
        ]
        self._writes_left -= 1
        if not self._writes_left:
            os.kill(os.getpid(), signal.SIGKILL)

    def run(self) -> NoReturn:
        """Open, take the job up or begin one, talk until killed, or for some turns and close."""
        self.at("opening")
        journal = open_journal(self._path, START)
        assert isinstance(journal, SqlJournal)
        self._watch(journal)
        self.at("reading back the job")
        clock, outbox = RecordedClock(START), DurableFirst(journal)
        rows = journal.jobs()
        common: dict[str, Any] = {
            "outbox": outbox, "clock": clock, "say": self.say, "committed": self.committed,
        }  # fmt: skip
        if rows:
            history = journal.read(rows[-1].id)
            clock.set(history[-1].at.later(1000))
            session = resumed_session(history=history, **common)
            session.reopen()
        else:
            sheet = load_vehicle(SHEET, None)
            session = new_session(
                procedure=procedure(), sheet=sheet, settings={}, versions={}, who="", **common
            )
            session.open()
        self._talk(session, clock)
        self.at("closing")
        journal.close()
        os._exit(0)

    def _talk(self, session: Session, clock: RecordedClock) -> None:
        for _ in range(self._chance.randint(2, 40)):
            self.at("deciding")
            clock.advance(4000)
            session.pass_time()
            session.hear(from_line(self._chance.choice(LINES), grammar()))
            os.write(self._pipe, json.dumps({"state": mark(session.state)}).encode() + b"\n")

    def _watch(self, journal: SqlJournal) -> None:
        """Follow the statements of the journal's one connection, which is made when it is next used."""

        def told(statement: str) -> None:
            first = statement.split(maxsplit=1)[0]
            if first in STATEMENTS:
                self.at(STATEMENTS[first])

        journal._engine.dispose()
        event.listen(journal._engine, "connect", lambda raw, _: raw.set_trace_callback(told))


def one_life(path: Path, phase: mmap.mmap, chance: random.Random) -> tuple[list[dict[str, Any]], bool]:
    """Start the program, kill it after seeded microseconds; return what it told, and whether it was hit."""
    phase[0] = 0
    reading_end, writing_end = os.pipe()
    seed, wait_s, first = chance.random(), chance.random() * LONGEST_S, b""
    at_work = chance.random() < AT_WORK
    child = os.fork()
    if child == 0:
        try:
            os.close(reading_end)
            Life(path, phase, writing_end, random.Random(seed)).run()
        finally:
            os._exit(3)
    os.close(writing_end)
    if at_work:
        first = os.read(reading_end, 1)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert not os.WIFEXITED(status) or os.WEXITSTATUS(status) == 0, "the program failed by itself"
    with os.fdopen(reading_end, "rb") as pipe:
        told = first + pipe.read()
    whole = told[: told.rfind(b"\n") + 1]
    return [json.loads(line) for line in whole.splitlines()], os.WIFSIGNALED(status)


def check(path: Path, said: list[list[Any]], marks: set[str]) -> None:
    """Compare the journal with everything that was ever read back, and the fold with the state that was."""
    with open_journal(path, START) as journal:
        assert journal.notices == ()
        rows = journal.jobs()
        history = journal.read(rows[-1].id) if rows else []
    there = [[one.reading, one.kind, one.value, one.unit] for one in history if isinstance(one, ReadingHeard)]
    assert there[: len(said)] == said, "a reading that was read back is not there"
    left = set(marks)
    for length in range(len(history), 0, -1):
        if not left:
            break
        left.discard(mark(fold(history[:length])))
    assert not left, "a state is none the journal gives"


def kills(folder: Path, count: int, seed: int) -> tuple[Counter[str], int]:
    """Kill the program `count` times; return how often in which phase, and how many readings were said."""
    grammar(), procedure()
    phases: Counter[str] = Counter()
    chance, phase = random.Random(seed), mmap.mmap(-1, 1)
    said: list[list[Any]] = []
    readings = lives = 0
    while phases.total() < count:
        if lives % LIVES_OF_A_JOB == 0:
            said = []
        path = folder / f"job{lives // LIVES_OF_A_JOB}" / "journal.sqlite"
        told, killed = one_life(path, phase, chance)
        lives += 1
        if killed:
            phases[PHASES[phase[0]]] += 1
        spoken = [message["said"] for message in told if "said" in message]
        before = len(said)
        said += spoken[-1] if spoken else []
        readings += len(said) - before
        marks = [message["state"] for message in told if "state" in message]
        if path.exists():
            check(path, said, set(marks[-1:]))
            with open_journal(path, START) as journal:
                history = journal.read(journal.jobs()[-1].id) if journal.jobs() else []
            said = [
                [one.reading, one.kind, one.value, one.unit]
                for one in history
                if isinstance(one, ReadingHeard)
            ]
        else:
            assert not said
    return phases, readings
