"""Real faults: killed processes, full disks, read-only places. What was confirmed is there afterwards."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from assistant.errors import NotSaved
from assistant.job.events import Event
from assistant.journal import (
    ClipStore,
    DurableFirst,
    InUse,
    Saved,
    Unsaved,
    open_journal,
    open_or_wait,
    read_journal,
)
from tests.journal.facts import AT, reading, started

JOB = "J"
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked")


def in_a_child(work: Callable[[int], None]) -> tuple[int, int]:
    """Run `work` in a forked process with a pipe to report to; return its id and the reading end."""
    reading_end, writing_end = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reading_end)
            work(writing_end)
        finally:
            os._exit(1)
    os.close(writing_end)
    return child, reading_end


def everything(handle: int) -> bytes:
    """Return all that a pipe still holds, and close it."""
    with os.fdopen(handle, "rb") as pipe:
        return pipe.read()


def keep_appending(path: Path, confirmed: int) -> None:
    """Append one reading after the other to the job, and report each when its append has returned."""
    with open_journal(path, AT) as journal:
        number = len(journal.kept(JOB))
        os.write(confirmed, b"o")
        while True:
            number += 1
            journal.append(JOB, [reading(number)])
            os.write(confirmed, b"a")


@needs_fork
@pytest.mark.parametrize("kills", [15, pytest.param(100, marks=pytest.mark.full)])
def test_a_killed_process_loses_nothing_it_confirmed(kills: int, tmp_path: Path) -> None:
    """SIGKILL at seeded moments, also while the journal is opened; one job grows from life to life."""
    path = tmp_path / "journal.sqlite"
    chance = random.Random(20_251)
    confirmed = kept = 0
    hit_at_work = 0
    for _ in range(kills):
        child, pipe = in_a_child(lambda handle: keep_appending(path, handle))
        heard = b""
        if chance.random() < 0.8:  # it is open, and at work; else the kill falls into the opening
            heard = b"".join(os.read(pipe, 1) for _ in range(chance.randint(1, 6)))
        for _ in range(chance.randrange(60_000)):
            pass
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        appended = (heard + everything(pipe)).count(b"a")
        hit_at_work += appended > 0
        if not path.exists():
            assert appended == 0
            continue
        with open_journal(path, AT) as journal:
            found = journal.read(JOB)
            assert journal.notices == ()
        assert found == [reading(number) for number in range(1, len(found) + 1)]
        assert kept + appended <= len(found) <= kept + appended + 1
        confirmed, kept = confirmed + appended, len(found)

    assert confirmed <= kept
    assert hit_at_work > kills // 3, "the kills fell beside the appends"


@needs_fork
def test_the_lock_of_a_killed_process_is_free(tmp_path: Path) -> None:
    """A second process is refused while the first lives, and not a moment longer."""
    path = tmp_path / "journal.sqlite"
    child, pipe = in_a_child(lambda handle: keep_appending(path, handle))
    os.read(pipe, 1)
    with pytest.raises(InUse, match=f"process {child}"):
        open_journal(path, AT)
    with read_journal(path) as reader:
        assert isinstance(reader.read(JOB), list)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(pipe)

    open_journal(path, AT).close()


@pytest.fixture(params=["in memory", pytest.param("on a block device", marks=pytest.mark.full)])
def small_disk(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Path]:
    """Mount a file system of one megabyte, or ext4 on four, or skip where that is not allowed."""
    place, image = tmp_path / "disk", tmp_path / "image"
    place.mkdir()
    commands = [["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)]]
    if request.param != "in memory":
        image.write_bytes(bytes(4_000_000))
        make = ["mkfs.ext4", "-q", "-m", "0", str(image)]
        commands = [make, ["mount", "-o", "loop", str(image), str(place)]]
    for command in commands:
        if shutil.which(command[0]) is None or subprocess.run(command, capture_output=True).returncode:
            pytest.skip("mounting a small file system is not allowed here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def fill(disk: Path) -> Path:
    """Write a file until nothing more fits."""
    filler = disk / "filler"
    with suppress(OSError), filler.open("wb", buffering=0) as file:
        while True:
            file.write(bytes(512))
    return filler


def test_a_full_disk_loses_nothing(small_disk: Path) -> None:
    """Appends fail and say so, reading goes on; with room again what waited is written first, in order."""
    with open_journal(small_disk / "journal.sqlite", AT) as journal:
        outbox = DurableFirst(journal)
        said: list[Event] = [started(JOB)]
        assert outbox.append(JOB, said) == Saved()
        filler = fill(small_disk)
        outcome: Saved | Unsaved = Saved()
        while isinstance(outcome, Saved):
            said.append(reading(len(said)))
            outcome = outbox.append(JOB, said[-1:])
        said.append(reading(len(said)))
        assert isinstance(outbox.append(JOB, said[-1:]), Unsaved)
        assert "full" in outcome.reason
        assert journal.read(JOB) + outbox.pending() == said
        assert len(outbox.pending()) == 2

        filler.unlink()
        said.append(reading(len(said)))
        assert outbox.append(JOB, said[-1:]) == Saved(caught_up=2)
    with open_journal(small_disk / "journal.sqlite", AT) as journal:
        assert journal.read(JOB) == said


def test_a_disk_that_is_full_from_the_start(small_disk: Path) -> None:
    """The journal cannot even be made: the job begins all the same, and is written when there is room."""
    filler = fill(small_disk)
    with open_or_wait(small_disk / "journal.sqlite", AT) as journal:
        assert [notice.what for notice in journal.notices] == ["not-open"]
        outbox = DurableFirst(journal)
        assert isinstance(outbox.append(JOB, [started(JOB)]), Unsaved)
        filler.unlink()
        assert outbox.append(JOB, [reading(1)]) == Saved(caught_up=1)
        assert journal.read(JOB) == [started(JOB), reading(1)]


def test_a_clip_that_does_not_fit_leaves_nothing(small_disk: Path) -> None:
    """No clip, the reason as a value, no half file under its name or beside it."""
    clips = ClipStore(small_disk)
    clip = clips.keep(JOB, b"RIFF" + bytes(5_000_000))

    assert clip.name is None
    assert "space" in clip.reason
    assert [file for file in small_disk.rglob("*") if file.is_file()] == []


def test_a_disk_that_becomes_read_only(small_disk: Path) -> None:
    """As after an error of the medium: not saved, still readable, written first when it is writable again."""
    path = small_disk / "journal.sqlite"
    with open_journal(path, AT) as journal:
        journal.append(JOB, [started(JOB)])
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(NotSaved):
        open_journal(path, AT)
    with read_journal(path) as reader:
        assert reader.read(JOB) == [started(JOB)]
    with open_or_wait(path, AT) as journal:
        outbox = DurableFirst(journal)
        assert isinstance(outbox.append(JOB, [reading(1)]), Unsaved)
        subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
        assert outbox.retry() == Saved(caught_up=1)
        assert journal.read(JOB) == [started(JOB), reading(1)]


@pytest.fixture
def bound_by_permissions() -> Iterator[None]:
    """Be nobody for a while: nothing is read-only to root."""
    if not hasattr(os, "geteuid"):
        pytest.skip("no users as Unix has them")
    root = os.geteuid() == 0
    if root:
        os.seteuid(65_534)
    yield
    if root:
        os.seteuid(0)


def test_a_folder_that_may_not_be_written(bound_by_permissions: None) -> None:
    """Permissions only: the same as a medium that cannot be written."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o555)
        with pytest.raises(NotSaved, match="denied"):
            open_journal(folder / "journal.sqlite", AT)
        folder.chmod(0o755)
        open_journal(folder / "journal.sqlite", AT).close()
