"""Signals of every kind, really sent: exit code, journal closed, lock free, no process left behind."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
import termios
from collections.abc import Iterator
from fcntl import ioctl
from pathlib import Path
from typing import IO

import pytest

from assistant.journal import open_journal
from tests.bench import SHEET
from tests.journal.facts import AT

pytestmark = [
    pytest.mark.full,
    pytest.mark.skipif(sys.platform != "linux", reason="signals as Linux has them"),
]
LINES = b"plate reads hotel seven kilo two\ndone\ntimer ten minutes\n"


def command(folder: Path, voice: str) -> list[str]:
    """A job by keyboard."""
    return [
        sys.executable, "-m", "assistant", "--log", str(folder / "log.jsonl"), "start",
        "automatic-drain-refill", "--vehicle", str(SHEET), "--ear", "keyboard", "--voice", voice,
        "--journal", str(folder / "journal.sqlite"),
    ]  # fmt: skip


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """A home of its own."""
    return {**os.environ, "ASSISTANT_RECORDS": str(tmp_path), "ASSISTANT_SETTINGS": str(tmp_path / "s.toml")}


def until(stream: IO[bytes], words: bytes) -> bytes:
    """Read until words were said."""
    heard = b""
    while words not in heard:
        more = stream.readline()
        assert more, f"it ended after: {heard.decode()}"
        heard += more
    return heard


def offspring(group: int) -> list[int]:
    """The processes of a session that are still there, those that have ended and wait apart."""
    found = []
    for place in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = place.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[3]) == group and fields[0] != "Z":
            found.append(int(place.parent.name))
    return found


def closed_well(folder: Path) -> None:
    """The journal is whole and has one writer again; no side file of it is left; the timer is in it."""
    assert not (folder / "journal.sqlite-wal").exists()
    with open_journal(folder / "journal.sqlite", AT) as journal:
        (row,) = journal.jobs()
        kinds = [type(event).__name__ for event in journal.read(row.id)]
    assert journal.notices == ()
    assert "TimerStarted" in kinds


@pytest.mark.parametrize(
    ("number", "voice"),
    [
        (signal.SIGINT, "print"), (signal.SIGHUP, "print"), (signal.SIGTERM, "talk.wav"),
    ],
)  # fmt: skip
def test_a_signal_closes_everything(
    number: signal.Signals, voice: str, tmp_path: Path, environment: dict[str, str]
) -> None:
    """In the middle of a job, sent to the whole group as a terminal does."""
    place = voice if voice == "print" else str(tmp_path / voice)
    with subprocess.Popen(
        command(tmp_path, place),
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env=environment, start_new_session=True,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(LINES)
        process.stdin.flush()
        until(process.stdout, b"minutes")
        os.killpg(process.pid, number)
        _, complaint = process.communicate(timeout=60)
        left = offspring(process.pid)

    assert process.returncode == 128 + number
    assert b"Traceback" not in complaint
    assert left == []
    closed_well(tmp_path)
    log = (tmp_path / "log.jsonl").read_text()
    assert f'"by": "{number.name}"' in log


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    """Both ends of a terminal."""
    ours, theirs = pty.openpty()
    yield ours, theirs
    for handle in (ours, theirs):
        try:
            os.close(handle)
        except OSError:
            continue


def test_a_closed_terminal_ends_it_well(
    tmp_path: Path, environment: dict[str, str], terminal: tuple[int, int]
) -> None:
    """The window is gone: no screen, no keyboard, and the signal that says so."""
    ours, theirs = terminal

    def own_terminal() -> None:
        os.setsid()
        ioctl(0, termios.TIOCSCTTY, 0)

    (tmp_path / "s.toml").write_text('clips = "off"\n')
    process = subprocess.Popen(
        command(tmp_path, "print"),
        stdin=theirs, stdout=theirs, stderr=theirs, env=environment, preexec_fn=own_terminal,
    )  # fmt: skip
    os.close(theirs)
    os.write(ours, LINES)
    heard = b""
    while b"inutes" not in heard.split(b"timer ten minutes")[-1] or b"timer" not in heard.lower():
        heard += os.read(ours, 4096)
    while (
        not (tmp_path / "log.jsonl").exists() or '"TimerStarted"' not in (tmp_path / "log.jsonl").read_text()
    ):
        heard += os.read(ours, 4096)
    os.close(ours)
    code = process.wait(60)

    assert code in (128 + signal.SIGHUP, 0), "the end of the keyboard may be noticed first"
    assert offspring(process.pid) == []
    closed_well(tmp_path)


def test_a_reader_that_goes_away_ends_it_well(tmp_path: Path, environment: dict[str, str]) -> None:
    """What is printed goes into a pipe nobody reads any more."""
    with subprocess.Popen(
        command(tmp_path, "print"),
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(LINES)
        process.stdin.flush()
        until(process.stdout, b"minutes")
        process.stdout.close()
        process.stdin.write(b"where am i\n")
        process.stdin.close()
        assert process.stderr is not None
        complaint = process.stderr.read()
        code = process.wait(60)

    assert code == 1
    assert b"Traceback" not in complaint
    closed_well(tmp_path)
