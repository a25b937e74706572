"""How far a longer piece of work has come: a bar on a terminal, a line now and then elsewhere."""

from __future__ import annotations

import io
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.commands.progress import EVERY_S, counted, megabytes, percent, working


class Clock:
    """Seconds that pass when told."""

    def __init__(self) -> None:
        self.at = 0.0

    def __call__(self) -> float:
        """The time."""
        return self.at


def test_where_there_is_no_terminal_a_line_comes_now_and_then() -> None:
    """None for what is over at once; then one each few seconds, without a control sign."""
    out, clock = io.StringIO(), Clock()
    with working("speech model", megabytes, out=out, now=clock) as step:
        step(1_000_000, 41_000_000)
        assert out.getvalue() == ""
        for at in range(1, 5):
            clock.at += EVERY_S / 2
            step(at * 10_000_000, 41_000_000)

    assert out.getvalue() == "speech model: 20.0 of 41.0 MB\nspeech model: 40.0 of 41.0 MB\n"


def test_work_within_other_work_is_not_shown_by_itself() -> None:
    """One bar at a time: the outer one."""
    out, clock = io.StringIO(), Clock()
    with working("outer", out=out, now=clock) as outer, working("inner", out=out, now=clock) as inner:
        clock.at = 2 * EVERY_S
        inner(1, 2)
        outer(1, 2)

    assert out.getvalue() == "outer: 50 %\n"


def test_each_item_is_told_after_it_was_used() -> None:
    """And none is left out."""
    told: list[tuple[int, int]] = []
    used = []
    for item in counted("abc", 3, lambda done, total: told.append((done, total))):
        assert len(told) == len(used)
        used.append(item)

    assert used == ["a", "b", "c"]
    assert [percent(*one) for one in told] == ["33 %", "66 %", "100 %"]


@pytest.mark.full
def test_on_a_terminal_a_bar_moves_and_is_gone_at_the_end(tmp_path: Path) -> None:
    """A real pseudo-terminal: the work and its percent are on it, and the line is cleared after."""
    script = (
        "from assistant.commands.progress import working\n"
        "with working('Packing') as step:\n"
        "    for at in (1, 2, 3, 4): step(at, 4)\n"
    )
    ours, theirs = pty.openpty()
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "80"}
    done = subprocess.run(
        [sys.executable, "-c", script], stderr=theirs, stdout=subprocess.PIPE, env=environment, timeout=30
    )
    os.close(theirs)
    shown = os.read(ours, 65536).decode()
    os.close(ours)

    assert (done.returncode, done.stdout) == (0, b"")
    assert "Packing" in shown
    assert "100 %" in shown
    assert shown.rstrip().endswith("\x1b[2K")
