"""Writes the report of a job into files: CSV, HTML, PDF."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from assistant.commands.progress import working
from assistant.display.document.content import content
from assistant.display.document.html import as_html
from assistant.display.document.paper import paper_of
from assistant.display.document.pdf import as_pdf
from assistant.display.document.tables import as_csv
from assistant.display.record import record
from assistant.errors import AssistantError, NotSaved
from assistant.job.events import Event, JobStarted
from assistant.journal.store import Journal


def write_files(arguments: argparse.Namespace, journal: Journal, history: Sequence[Event]) -> None:
    """Write the files asked for and name each; raises `NotSaved` where one cannot be written."""
    paper = paper_of(arguments.paper)
    if arguments.csv:
        _write(arguments.csv, as_csv(record(history)).encode())
    if arguments.html or arguments.pdf:
        with working("Drawing the report"):
            whole = content(history, past(journal, history))
            html = as_html(whole, paper).encode() if arguments.html else b""
            pdf = as_pdf(whole, paper) if arguments.pdf else b""
        if arguments.html:
            _write(arguments.html, html)
        if arguments.pdf:
            _write(arguments.pdf, pdf)


def past(journal: Journal, history: Sequence[Event]) -> list[list[Event]]:
    """Return the earlier jobs of the same vehicle, as far as they can be read; of one without a name none."""
    begun = history[0]
    assert isinstance(begun, JobStarted), "a job begins with its start"
    vehicle = begun.sheet.get("vehicle")
    if not vehicle:
        return []
    found = []
    for row in journal.work():
        if row.id == begun.job or row.first.utc_ms >= begun.at.utc_ms:
            continue
        try:
            events = journal.read(row.id)
        except AssistantError:
            continue  # one damaged record is no reason to withhold another
        start = events[0]
        if isinstance(start, JobStarted) and start.sheet.get("vehicle") == vehicle:
            found.append(events)
    return found


def _write(name: str, data: bytes) -> None:
    try:
        Path(name).write_bytes(data)
    except OSError as error:
        raise NotSaved(f"{name}: {error.strerror or error}") from error
    print(f"written: {name}")
