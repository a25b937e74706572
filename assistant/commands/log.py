"""The log: one JSON object a line, written by a thread of its own, so that no reply waits for it.

It holds what happened (kinds of events, durations, notices, faults), never sound and never the words of a
note. Only with the level `debug` does it hold what was heard and said, notes still left out.
"""

from __future__ import annotations

import contextlib
import json
import logging
import logging.handlers
import queue
import time
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from assistant.dialogue.reply import Heard
from assistant.errors import BadFile
from assistant.grammar.meaning import Meaning
from assistant.job.events import Event
from assistant.job.state import State
from assistant.journal.outbox import DurableFirst, Saved, Unsaved

LEVELS = ("debug", "info", "warning", "error")
LARGEST_BYTES, FILES = 5_000_000, 3
LOG = logging.getLogger("assistant")
LOG.addHandler(logging.NullHandler())
LOG.propagate = False


class _Line(logging.Formatter):
    """One record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line: time in UTC, level, what happened, and its particulars."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        line: dict[str, object] = {"at": at, "level": record.levelname.lower(), "what": record.getMessage()}
        line |= getattr(record, "facts", {})
        if record.exc_text:
            line["trace"] = record.exc_text
        return json.dumps(line, ensure_ascii=True, default=str)


class _Queued(logging.handlers.QueueHandler):
    """Hands records over as they are, with the trace of a fault as text."""

    def prepare(self, record: logging.LogRecord) -> logging.LogRecord:
        """Write the trace down; a frame must not be kept alive by the queue."""
        if record.exc_info:
            record.exc_text = logging.Formatter().formatException(record.exc_info)
            record.exc_info = None
        return record


def note(level: int, what: str, **facts: object) -> None:
    """Log that something happened, with its particulars; returns at once."""
    LOG.log(level, "%s", what, extra={"facts": facts})


@contextlib.contextmanager
def logging_to(path: Path | None, level: str = "info") -> Iterator[None]:
    """Write the log to a file while the block runs, beginning a new one at five megabytes; None: nowhere.

    Raises `BadFile` when it cannot be opened; a disk that fails later costs lines, nothing else.
    """
    if path is None:
        yield
        return
    try:
        file = logging.handlers.RotatingFileHandler(
            path, maxBytes=LARGEST_BYTES, backupCount=FILES - 1, encoding="utf-8"
        )
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise BadFile(str(path), f"the log cannot be written there: {why}") from error
    file.setFormatter(_Line())
    file.handleError = lambda record: None  # type: ignore[method-assign]  # never a word on the screen
    waiting: queue.SimpleQueue[logging.LogRecord] = queue.SimpleQueue()
    queued, listener = _Queued(waiting), logging.handlers.QueueListener(waiting, file)
    LOG.setLevel(level.upper())
    LOG.addHandler(queued)
    listener.start()
    try:
        yield
    finally:
        LOG.removeHandler(queued)
        LOG.setLevel(logging.NOTSET)
        listener.stop()
        file.close()


def heard(item: Heard, state: State) -> None:
    """Log that something was heard, and with `debug` its words, unless they are a note."""
    kind = (
        item.meaning.kind if isinstance(item.meaning, Meaning) else f"not understood ({item.meaning.reason})"
    )
    note(logging.INFO, "heard", kind=kind, sure=item.sure, step=state.step_id)
    if kind != "note" and not (state.question is not None and state.question.name == "note"):
        note(logging.DEBUG, "heard words", words=item.words)


class LoggedOutbox(DurableFirst):
    """An outbox that tells the log what kinds of events became durable, and how long that took."""

    def append(self, job: str, events: Sequence[Event]) -> Saved | Unsaved:
        """Append, then log."""
        begun = time.perf_counter()
        result = super().append(job, events)
        kinds = [type(event).__name__ for event in events]
        ms = round(1000 * (time.perf_counter() - begun), 1)
        if isinstance(result, Unsaved):
            why, pending = result.reason, result.pending
            note(logging.ERROR, "not saved", job=job, events=kinds, ms=ms, why=why, pending=pending)
        elif events:
            note(logging.INFO, "saved", job=job, events=kinds, ms=ms, caught_up=result.caught_up)
        return result
