"""Copies a local journal to a server, in order, in a thread of its own; the job never waits for it.

What was sent is known by asking the server, each time it is reached: nothing has to be remembered
here, and a server that was put back to an older state is filled up again. An event whose number the
server has with other content is a fault: it is set aside in a file beside the journal, told once, and
no more of that job is sent.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from sqlalchemy import URL, Connection, make_url
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from assistant.errors import AssistantError, WrongInput
from assistant.journal.conflicts import Conflicts
from assistant.journal.copying import Differs, already_there, insert_rows
from assistant.journal.outgoing import LocalRows, Numbered
from assistant.journal.patience import LONGEST_S, answered_within
from assistant.journal.postgres import engine_of, set_up
from assistant.journal.sql import reason
from assistant.journal.store import Notice

PAUSES_S = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0)
"""How long is waited before the next try, longer from try to try."""
IDLE_S = 5.0
"""How long nothing may be heard of new events before the journal is looked at all the same."""
BATCH = 200


class Sender:
    """Sends the events of `journal` to the database `url` for as long as it is open."""

    def __init__(
        self,
        journal: Path,
        url: str,
        tell: Callable[[Notice], None],
        pauses_s: Sequence[float] = PAUSES_S,
        longest_s: float = LONGEST_S,
    ) -> None:
        """`tell` is called in the sender's thread: once for each outage, once for each fault.

        `pauses_s` are waited between tries; an answer that takes longer than `longest_s` is a failed try.

        Raises `WrongInput` for a URL of no PostgreSQL server, `MissingPart` without its driver.
        """
        self.url = _url(url)
        self.name = self.url.render_as_string(hide_password=True)
        self._engine = engine_of(self.url)
        self._local, self._conflicts = LocalRows(journal), Conflicts(journal)
        self._tell, self._pauses_s, self._longest_s = tell, pauses_s, longest_s
        self._new, self._stop = threading.Event(), threading.Event()
        self._failures = 0
        """How often in a row the server could not be used; the first time may be a line that was idle."""
        self.sent = 0
        """Events the server has taken from this sender."""
        self.waiting = True
        """Whether something may still have to be sent."""
        self._thread = threading.Thread(target=self._work, daemon=True, name="sender")
        self._thread.start()

    def poke(self) -> None:
        """Say that there are new events; returns at once."""
        self.waiting = True
        self._new.set()

    def close(self, longest_s: float = 2.0) -> bool:
        """Send what waits, if that takes no longer than `longest_s`; return whether all was sent."""
        self._stop.set()
        self._new.set()
        self._thread.join(longest_s)
        return not self.waiting and not self._thread.is_alive()

    def _work(self) -> None:
        while True:
            try:
                with self._engine.connect() as server:
                    self._follow(server)
            except (SQLAlchemyError, OSError, AssistantError) as error:
                self._lost(error)
            if self._stop.is_set():
                break
            self._stop.wait(self._pauses_s[min(self._failures, len(self._pauses_s)) - 1])
        self._local.close()
        self._engine.dispose()

    def _lost(self, error: Exception) -> None:
        """Tell once for an outage, however often it is tried meanwhile."""
        self._engine.dispose()
        self.waiting = True
        self._failures += 1
        if self._failures == 2:
            why = str(error) if isinstance(error, AssistantError) else f"{self.name}: {reason(error)}"
            text = f"the records cannot be copied now ({why}); they are kept here and follow later"
            self._tell(Notice("server-away", text, self.name))

    def _follow(self, server: Connection) -> None:
        """Send everything the server lacks, then what is new, until told to stop."""
        with answered_within(server, self._longest_s), server.begin():
            set_up(server, self.name)
        with answered_within(server, self._longest_s), server.begin():
            done = already_there(server, self._local)
        place = 0
        while True:
            self._new.clear()
            rows = self._local.after(place, BATCH)
            if rows:
                place = rows[-1].place
                self._send(server, [one for one in rows if one.row.seq > done.get(one.row.job, 0)])
                continue
            self._failures = 0
            self.waiting = self._new.is_set()
            if self._stop.is_set():
                return
            self._new.wait(IDLE_S)

    def _send(self, server: Connection, rows: list[Numbered]) -> None:
        """Send rows in one transaction; on a conflict those before it, and no more of that job."""
        while rows := [one for one in rows if not self._conflicts.bar(one.row)]:
            try:
                with answered_within(server, self._longest_s), server.begin():
                    self.sent += insert_rows(server, [one.row for one in rows])
                return
            except Differs as error:
                if self._conflicts.set_aside(error.ours, error.theirs):
                    text = (
                        f"event {error.ours.seq} of job {error.ours.job} stands differently on {self.name}; "
                        f"no more of that job is copied; both are in {self._conflicts.path}"
                    )
                    self._tell(Notice("server-differs", text, str(self._conflicts.path)))


def _url(text: str) -> URL:
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise WrongInput("the setting server is no URL of a database") from error
    if url.get_backend_name() != "postgresql":
        raise WrongInput("the setting server takes postgresql://...")
    return url
