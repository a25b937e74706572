"""Where a page is served, and how it follows a journal that another program writes."""

from __future__ import annotations

import argparse
import os
import secrets
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from assistant.display.page.feed import Feed
from assistant.display.page.pairing import new_code
from assistant.display.page.server import LOOPBACK, Door
from assistant.errors import AssistantError, WrongInput
from assistant.job.events import Event
from assistant.journal.codec import decode
from assistant.journal.lock import writer_alive
from assistant.journal.open import read_journal
from assistant.journal.store import Journal, Kept
from assistant.shelf.places import records_folder

LOOK_S = 0.03
"""How often the file of a journal is looked at."""
SETTLE_S = 0.1
"""File times are coarse: a change this young may hide another."""
ASK_S = 1.0
"""How often a database server is asked, and the list of jobs is looked through."""


def door_of(arguments: argparse.Namespace, port: int) -> Door:
    """Return where the page is served; outside this computer with a new pairing code."""
    host = getattr(arguments, "host", LOOPBACK)
    if not 0 <= port <= 65535:
        raise WrongInput(f"{port} is no port: 0 to 65535")
    open_to_others = Door(host).lan
    return Door(
        host=host,
        port=port,
        code=new_code() if open_to_others else None,
        names=tuple(getattr(arguments, "name", ())),
        certificate=getattr(arguments, "certificate", ""),
        key=getattr(arguments, "key", ""),
        secret=kept_secret() if open_to_others else b"",
    )


def kept_secret() -> bytes:
    """Return what signs the cookies of paired browsers; kept, so that they need not pair again."""
    place = records_folder() / "page.secret"
    with suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True)
        with suppress(FileExistsError):
            handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(32))
        kept = place.read_bytes()
        if len(kept) >= 32:
            return kept
    return secrets.token_bytes(32)


class Watch:
    """Follows the newest job of a journal that another program writes."""

    def __init__(self, where: str, feed: Feed, now: Callable[[], float] = time.monotonic) -> None:
        """`now` counts seconds."""
        self._where, self._feed, self._now = where, feed, now
        self._files = [] if "://" in where else [Path(where).expanduser(), Path(f"{where}-wal").expanduser()]
        self._journal: Journal | None = None
        self._seen: object = None
        self._changed = self._listed = self._asked = self._looked = float("-inf")
        self._rows: list[Kept] = []
        self._told = ""

    def forever(self, sleep: Callable[[float], None]) -> int:
        """Look again and again; only an interrupt ends it."""
        while True:
            self.look()
            sleep(LOOK_S if self._files else ASK_S)

    def look(self) -> None:
        """Show what is new, if anything is; a journal that cannot be read is tried again."""
        now, stamp = self._now(), self._stamp()
        if self._files and now - self._asked >= ASK_S:
            self._asked = now
            self._feed.writer(writer_alive(self._files[0]))
        if stamp != self._seen:
            self._seen, self._changed = stamp, now
        elif self._files and self._looked - self._changed > SETTLE_S:
            return  # it was read after it had settled
        self._looked = now
        try:
            self._read(now)
        except AssistantError as trouble:
            if str(trouble) != self._told:
                self._told = str(trouble)
                print(f"({trouble}; looked for again)", file=sys.stderr, flush=True)
            if self._journal is not None:
                self._journal.close()
            self._journal, self._seen = None, None

    def close(self) -> None:
        """Let go of the journal."""
        if self._journal is not None:
            self._journal.close()
            self._journal = None

    def _stamp(self) -> object:
        """Return what changes when the journal does; for a server nothing can be told from outside."""
        found = []
        for path in self._files:
            try:
                told = path.stat()
                found.append((told.st_ino, told.st_size, told.st_mtime_ns))
            except OSError:
                found.append((0, 0, 0))
        return found if found else self._now()

    def _read(self, now: float) -> None:
        if self._files and not self._files[0].exists():
            return
        if self._journal is None:
            self._journal = read_journal(self._where)
            self._told = ""
        if not self._feed.job or now - self._listed >= ASK_S:
            self._listed = now
            newest = max(self._journal.work(), key=lambda row: row.last.utc_ms, default=None)
            if newest is not None and newest.id != self._feed.job:
                self._rows = self._journal.kept(newest.id)
                self._feed.begin(self._journal.read(newest.id))
                return
        if self._feed.job:
            rows = self._journal.kept(self._feed.job)
            fresh: list[Event] = [decode(one.type, one.version, one.body) for one in rows[len(self._rows) :]]
            self._rows = rows
            if fresh:
                self._feed.take(fresh)
