"""What is asked of and written to a server that takes copies of journals."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, func, select, tuple_
from sqlalchemy.dialects.postgresql import insert

from assistant.journal.outgoing import LocalRows
from assistant.journal.sql import EVENTS, columns
from assistant.journal.store import Kept

JOBS_AT_ONCE = 500


class Differs(Exception):
    """The server has an event under this number with other content."""

    def __init__(self, ours: Kept, theirs: Kept) -> None:
        self.ours, self.theirs = ours, theirs
        super().__init__(f"event {ours.seq} of job {ours.job}")


def already_there(server: Connection, local: LocalRows) -> dict[str, int]:
    """Return up to which number the server has each job without a gap and as it is here.

    A job with a gap, or whose last common event is another, counts as absent: sent again from its
    beginning, the gap is filled, or the first difference found.
    """
    done: dict[str, int] = {}
    jobs = local.jobs()
    for start in range(0, len(jobs), JOBS_AT_ONCE):
        some = jobs[start : start + JOBS_AT_ONCE]
        query = (
            select(EVENTS.c.job, func.max(EVENTS.c.seq), func.count())
            .where(EVENTS.c.job.in_(some))
            .group_by(EVENTS.c.job)
        )
        ends = {}
        for job, last, count in server.execute(query):
            if last == count:
                ends[job] = local.digest(job, last)
        pairs = [(job, seq) for job, (seq, _) in ends.items()]
        there = select(EVENTS.c.job, EVENTS.c.digest).where(tuple_(EVENTS.c.job, EVENTS.c.seq).in_(pairs))
        for job, proof in server.execute(there):
            if proof == ends[job][1]:
                done[job] = ends[job][0]
    return done


def insert_rows(server: Connection, rows: Sequence[Kept]) -> int:
    """Insert what the server lacks of `rows` and return how many those were; raises `Differs`."""
    if not rows:
        return 0
    statement = insert(EVENTS).on_conflict_do_nothing().returning(EVENTS.c.job, EVENTS.c.seq)
    new = {(job, seq) for job, seq in server.execute(statement, [columns(row) for row in rows])}
    old = {(row.job, row.seq): row for row in rows if (row.job, row.seq) not in new}
    if old:
        query = (
            select(EVENTS.c.job, EVENTS.c.seq, EVENTS.c.type, EVENTS.c.version, EVENTS.c.body)
            .where(tuple_(EVENTS.c.job, EVENTS.c.seq).in_(list(old)))
            .order_by(EVENTS.c.job, EVENTS.c.seq)
        )
        for written in server.execute(query):
            theirs = Kept(*written)
            if theirs != old[theirs.job, theirs.seq]:
                raise Differs(old[theirs.job, theirs.seq], theirs)
    return len(new)
