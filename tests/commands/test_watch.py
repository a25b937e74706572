"""`assistant watch` as a process: on a terminal, into a pipe, and ended by an interrupt."""

from __future__ import annotations

import os
import pty
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.journal.open import open_journal
from assistant.phrasing.en.page import LABELS
from tests.bench import START, Bench

pytestmark = pytest.mark.full
INTERRUPTED = 130
LEFT = b"\x1b[?1049l"
"""Leaves the screen of its own (xterm, from memory)."""
ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def begun(folder: Path) -> str:
    """A journal with a job at its second step."""
    place = folder / "journal.sqlite"
    with open_journal(place, START) as journal:
        Bench(journal=journal).hear("plate reads quebec four tango eight")
    return str(place)


def watching(journal: str, **given: object) -> subprocess.Popen[bytes]:
    """The command, following a journal."""
    command = [sys.executable, "-m", "assistant", "watch", "--journal", journal]
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "100", "LINES": "40"}
    return subprocess.Popen(command, env=environment, **given)  # type: ignore[call-overload,no-any-return]


def read_until(source: int, wanted: str) -> str:
    """Read what is shown until a text is in it."""
    shown = ""
    while wanted not in shown:
        shown += ESCAPES.sub("", os.read(source, 65536).decode(errors="replace"))
    return shown


def test_into_a_pipe_it_prints_plain_lines(tmp_path: Path) -> None:
    """With the time, without a control sign; an interrupt ends it."""
    running = watching(begun(tmp_path), stdout=subprocess.PIPE)
    assert running.stdout is not None
    lines = [running.stdout.readline().decode()]
    while "Step 2 of" not in lines[-1]:
        lines.append(running.stdout.readline().decode())
    running.send_signal(signal.SIGINT)
    running.stdout.close()

    assert running.wait(10) == INTERRUPTED
    assert LABELS["waiting"] in lines[0]
    assert all(re.match(r"\d\d:\d\d:\d\d \S", line) for line in lines)
    assert "\x1b" not in "".join(lines)


def test_on_a_terminal_it_shows_the_job_live(tmp_path: Path) -> None:
    """On a screen of its own, which is left at the end."""
    ours, theirs = pty.openpty()
    running = watching(begun(tmp_path), stdout=theirs)
    os.close(theirs)
    shown = read_until(ours, "build plate")
    running.send_signal(signal.SIGINT)

    assert running.wait(10) == INTERRUPTED
    assert ": Lay out" in shown
    assert LEFT in os.read(ours, 65536)
    os.close(ours)
