"""Opens a journal by the one text a user gives: a file, or the URL of a database."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from assistant.errors import NotSaved, WrongInput
from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.journal.sqlite import open_sqlite, read_sqlite
from assistant.journal.store import JobRow, Journal, Kept, Notice


def open_journal(where: str | Path, at: Instant) -> Journal:
    """Open the journal `where` for writing, or make it; see `open_sqlite` and `open_postgres` for errors.

    `at` is the present, for the name of a bad file that has to be set aside.
    """
    if isinstance(where, Path) or "://" not in where:
        return open_sqlite(Path(where).expanduser(), at)
    return _open_url(where, lambda path: open_sqlite(path, at))


def read_journal(where: str | Path) -> Journal:
    """Open the journal `where` for reading only, also while a job writes to it."""
    if isinstance(where, Path) or "://" not in where:
        return read_sqlite(Path(where).expanduser())
    return _open_url(where, read_sqlite)


def _open_url(where: str, open_file: Callable[[Path], Journal]) -> Journal:
    """Open the journal a URL names."""
    try:
        url = make_url(where)
    except (ArgumentError, ValueError) as error:
        raise WrongInput(f"{where!r} is no URL of a database") from error
    if url.get_backend_name() != "sqlite":
        from assistant.journal.postgres import open_postgres  # its driver is an extra part

        return open_postgres(url)
    if not url.database or url.database == ":memory:":
        raise WrongInput("a journal in SQLite needs a file: sqlite:///FILE")
    return open_file(Path(url.database))


class LateJournal(Journal):
    """A journal that could not be opened yet: each append tries to, and says `NotSaved` until it can.

    Stands for a read-only folder, a full disk, a server that is down, at the start of a job.
    """

    def __init__(self, name: str, opening: Callable[[], Journal]) -> None:
        self.name = name
        self._opening = opening
        self._opened: Journal | None = None

    def append(self, job: str, events: Sequence[Event]) -> None:
        """Open the journal if that is possible now, then append to it."""
        if self._opened is None:
            try:
                self._opened = self._opening()
            except WrongInput as error:
                raise NotSaved(str(error)) from error
            self.notices = self._opened.notices
        self._opened.append(job, events)

    def kept(self, job: str) -> list[Kept]:
        """Return what the journal keeps of `job`, nothing until it is open."""
        return self._opened.kept(job) if self._opened else []

    def jobs(self) -> list[JobRow]:
        """Return the jobs of the journal, none until it is open."""
        return self._opened.jobs() if self._opened else []

    def close(self) -> None:
        """Close the journal if it was opened."""
        if self._opened:
            self._opened.close()


def open_or_wait(where: str | Path, at: Instant) -> Journal:
    """Open the journal `where`; one that cannot be written now becomes a `LateJournal` with a notice.

    What another program holds, or what is no journal, is still refused (`InUse`, `BadFile`).
    """
    try:
        return open_journal(where, at)
    except NotSaved as error:
        late = LateJournal(str(where), lambda: open_journal(where, at))
        late.notices = (Notice("not-open", f"nothing can be saved now: {error}", str(where)),)
        return late
