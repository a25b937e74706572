"""SQLite below the journal: opened with care, one writer, never overwritten when bad."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
from contextlib import closing
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import Connection

from assistant.errors import BadFile, NotSaved, WrongInput
from assistant.job.events import Event
from assistant.journal import (
    DurableFirst,
    InUse,
    Saved,
    Unsaved,
    disk,
    open_journal,
    open_or_wait,
    read_journal,
)
from assistant.journal.backup import check_journal
from assistant.journal.sqlite import APPLICATION_ID
from tests.journal.facts import AT, reading, started

JOB = "J"
EVENTS: list[Event] = [started(JOB), *(reading(number) for number in range(1, 200))]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give a journal of one job of many events, closed."""
    place = tmp_path / "odd name ?#%.sqlite"
    with open_journal(place, AT) as journal:
        journal.append(JOB, EVENTS)
    return place


def pragma(connection: Connection, name: str) -> object:
    """Return the value of a pragma."""
    return connection.exec_driver_sql(f"PRAGMA {name}").scalar()


def change(path: Path, statement: str) -> None:
    """Change the closed journal behind its back."""
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute(statement)


def test_a_commit_is_synced_in_full(path: Path) -> None:
    """Write-ahead log, full sync, a short wait for locks; read back from the very connection that writes."""
    with open_journal(path, AT) as journal, journal._engine.connect() as connection:  # type: ignore[attr-defined]
        assert pragma(connection, "journal_mode") == "wal"
        assert pragma(connection, "synchronous") == 2
        assert 0 < int(str(pragma(connection, "busy_timeout"))) <= 500
        assert pragma(connection, "application_id") == APPLICATION_ID
        assert journal.notices == ()


@pytest.mark.parametrize("kind", ["nfs4", "cifs", "fuse.sshfs", "9p"])
def test_a_network_folder_is_written_without_shared_memory(
    kind: str, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On such a mount the rollback journal is used, synced even at its removal, and the user is told."""
    table = tmp_path / "mounts"
    table.write_text(f"/dev/sda / ext4 rw 0 0\nserver:/bay {tmp_path} {kind} rw 0 0\n")
    monkeypatch.setattr(disk, "MOUNTS", table)
    with open_journal(path, AT) as journal:
        with journal._engine.connect() as connection:  # type: ignore[attr-defined]
            assert pragma(connection, "journal_mode") == "delete"
            assert pragma(connection, "synchronous") == 3
        assert [notice.what for notice in journal.notices] == ["without-wal"]
        assert journal.read(JOB) == EVENTS


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/bay/x.sqlite", "ext4"), ("/srv/shop/x.sqlite", "nfs"), ("/srv/shopping/x.sqlite", "ext4"),
        ("/mnt/my disk/a/x.sqlite", "fuse.gvfsd"), ("/srv/shop/local/x.sqlite", "tmpfs"),
    ],
)  # fmt: skip
def test_the_mount_that_holds_a_file_is_found(path: str, kind: str) -> None:
    """The longest mount point that leads to the file counts; a space is \\040 there (proc(5), fstab(5))."""
    table = (
        "/dev/sda / ext4 rw 0 0\nshop:/ /srv/shop nfs rw 0 0\nnone /srv/shop/local tmpfs rw 0 0\n"
        "gvfs /mnt/my\\040disk fuse.gvfsd rw 0 0\nbroken\n"
    )

    assert disk.type_of_file_system(Path(path), table) == kind


def test_a_second_writer_is_refused_in_plain_words(path: Path) -> None:
    """The text names the process that holds it; a reader is let in; after closing the next one may write."""
    first = open_journal(path, AT)
    with pytest.raises(InUse, match=f"process {os.getpid()}.*end that one first"):
        open_journal(path, AT)
    with pytest.raises(InUse):
        open_or_wait(path, AT)
    with read_journal(path) as reader:
        first.append(JOB, [reading(900)])
        assert reader.read(JOB) == [*EVENTS, reading(900)]
        with pytest.raises(NotSaved, match="reading only"):
            reader.append(JOB, [reading(901)])
    first.close()
    open_journal(path, AT).close()


@pytest.mark.parametrize("content", [b"a shopping list\n", b"\x89PNG" + bytes(200), b"RIFF"])
def test_a_foreign_file_is_left_alone(content: bytes, tmp_path: Path) -> None:
    """Neither renamed nor written to, and nothing appears beside it."""
    place = tmp_path / "list.txt"
    place.write_bytes(content)
    for opening in (partial(open_journal, at=AT), partial(open_or_wait, at=AT), read_journal):
        with pytest.raises(BadFile, match="no journal of this program"):
            opening(place)

    assert list(tmp_path.iterdir()) == [place]
    assert place.read_bytes() == content


def test_a_foreign_database_is_left_alone(tmp_path: Path) -> None:
    """An SQLite file of another program is no journal."""
    place = tmp_path / "other.sqlite"
    change(place, "CREATE TABLE fluids (name TEXT)")
    before = place.read_bytes()
    with pytest.raises(BadFile, match="no journal of this program"):
        open_journal(place, AT)

    assert place.read_bytes() == before


@pytest.mark.parametrize("empty", [b"", None])
def test_a_file_begun_and_left_empty_is_used(empty: bytes | None, tmp_path: Path) -> None:
    """Power went while the file was being made: no content, or a header without tables."""
    place = tmp_path / "journal.sqlite"
    if empty is None:
        with closing(sqlite3.connect(place)) as raw:
            raw.execute("PRAGMA journal_mode = WAL")
            raw.execute("PRAGMA user_version = 0")
    else:
        place.write_bytes(empty)
    with open_journal(place, AT) as journal:
        journal.append(JOB, EVENTS)
        assert journal.read(JOB) == EVENTS


@pytest.mark.parametrize("start", [0, 16, 4096, 3 * 4096])
def test_a_damaged_file_is_set_aside(start: int, path: Path) -> None:
    """Overwritten pages: the file is renamed as it is, a new journal begun, and the user told both names."""
    damaged = bytearray(path.read_bytes())
    damaged[start : start + 3000] = os.urandom(50) * 60
    path.write_bytes(damaged)
    with open_journal(path, AT) as journal:
        (notice,) = journal.notices
        assert notice.what == "set-aside"
        assert Path(notice.path).read_bytes() == damaged
        assert Path(notice.path).name in notice.text
        found = journal.read(JOB)
        assert found == EVENTS[: len(found)]
        journal.append(JOB, EVENTS[len(found) :])
    with open_journal(path, AT) as journal:
        assert (journal.notices, journal.read(JOB)) == ((), EVENTS)


def test_what_is_whole_in_a_damaged_file_is_taken_over(path: Path) -> None:
    """A page of the second job is lost: the first is there in full, the second up to the gap."""
    with open_journal(path, AT) as journal:
        journal.append("K", EVENTS)
    damaged = bytearray(path.read_bytes())
    middle = damaged.index(b'"value":"150.5"', damaged.index(b'"value":"199.5"'))
    page = middle // 4096 * 4096
    damaged[page : page + 8] = bytes(8)
    path.write_bytes(damaged)
    with open_journal(path, AT) as journal:
        assert journal.read(JOB) == EVENTS
        second = journal.read("K")
        assert second == EVENTS[: len(second)]
        assert 130 < len(second) <= 150
        assert f"{len(EVENTS) + len(second)} events could be taken over" in journal.notices[0].text


def test_a_bad_file_is_not_even_tidied_up(path: Path, tmp_path: Path) -> None:
    """Its write-ahead log holds a reading that is not in the main file yet: both are kept byte by byte."""
    ruin = tmp_path / "ruin" / path.name
    ruin.parent.mkdir()
    with open_journal(path, AT) as journal:
        journal.append("K", EVENTS[:2])
        for side in ("", "-wal"):
            shutil.copy(f"{path}{side}", f"{ruin}{side}")
    damaged = bytearray(ruin.read_bytes())
    page = damaged.index(b'"value":"100.5"') // 4096 * 4096
    damaged[page : page + 8] = bytes(8)
    ruin.write_bytes(damaged)
    log = Path(f"{ruin}-wal").read_bytes()
    with open_journal(ruin, AT) as journal:
        aside = Path(journal.notices[0].path)
        assert aside.read_bytes() == damaged
        assert Path(f"{aside}-wal").read_bytes() == log
        assert journal.read("K") == EVENTS[:2]


def test_a_cut_file_is_set_aside(path: Path) -> None:
    """The second half is missing, as after a copy that was broken off."""
    half = path.read_bytes()[: path.stat().st_size // 2 + 100]
    path.write_bytes(half)
    with open_journal(path, AT) as journal:
        assert [notice.what for notice in journal.notices] == ["set-aside"]
        assert Path(journal.notices[0].path).read_bytes() == half


def test_what_was_set_aside_is_never_overwritten(path: Path) -> None:
    """Three bad files in the same second get three names."""
    for content in (b"\0" * 5000, b"\0" * 6000, b"\0" * 7000):
        path.write_bytes(content)
        open_journal(path, AT).close()

    kept = sorted(file.stat().st_size for file in path.parent.glob("*.bad-*"))
    assert kept == [5000, 6000, 7000]


def test_a_log_without_its_main_file_is_kept(path: Path) -> None:
    """SQLite would delete a write-ahead log that lies there alone; it may hold the last readings."""
    path.unlink()
    Path(f"{path}-wal").write_bytes(b"the last readings")
    with open_journal(path, AT) as journal:
        assert [notice.what for notice in journal.notices] == ["set-aside"]
        assert Path(f"{journal.notices[0].path}-wal").read_bytes() == b"the last readings"


def test_a_journal_of_a_newer_program_is_left_as_it_is(path: Path) -> None:
    """Its tables have a higher version: refused with the cure, not set aside."""
    change(path, "UPDATE journal_about SET value = '2' WHERE key = 'schema'")
    for opening in (lambda: open_journal(path, AT), lambda: read_journal(path)):
        with pytest.raises(BadFile, match="newer program"):
            opening()

    assert list(path.parent.glob("*.bad-*")) == []


@pytest.mark.parametrize(
    ("statement", "why"),
    [
        (
            "UPDATE journal_events SET body = replace(body, '4.5', '5.4') WHERE seq = 5",
            "event 5 of job J is damaged",
        ),
        ("DELETE FROM journal_events WHERE seq = 7", "event 7 of job J is missing"),
        ("UPDATE journal_events SET seq = 999 WHERE seq = 9", "event 999 of job J is damaged"),
        ("UPDATE journal_events SET seq = 'x' WHERE seq = 9", "event x of job J is damaged"),
    ],
)
def test_a_changed_or_missing_row_is_noticed(statement: str, why: str, path: Path) -> None:
    """A quick check does not see a changed figure; the digest of the row does."""
    change(path, statement)
    with open_journal(path, AT) as journal, pytest.raises(BadFile, match=why):
        journal.read(JOB)


def test_a_file_moved_away_takes_nothing(path: Path) -> None:
    """Writes to a removed file would be lost without a word; they wait until it is back."""
    away = path.with_name("elsewhere.sqlite")
    with open_journal(path, AT) as journal:
        outbox = DurableFirst(journal)
        path.rename(away)
        outcome = outbox.append(JOB, [reading(900)])
        assert isinstance(outcome, Unsaved)
        assert "moved away" in outcome.reason
        assert not path.exists()

        away.rename(path)
        assert outbox.append(JOB, [reading(901)]) == Saved(caught_up=1)
        assert journal.read(JOB) == [*EVENTS, reading(900), reading(901)]


def test_a_strangers_lock_holds_up_the_talk_less_than_half_a_second(path: Path) -> None:
    """Another tool holds the file: not saved, and saved when it has gone."""
    with open_journal(path, AT) as journal, closing(sqlite3.connect(path, isolation_level=None)) as raw:
        outbox = DurableFirst(journal)
        raw.execute("BEGIN IMMEDIATE")
        outcome = outbox.append(JOB, [reading(900)])
        assert isinstance(outcome, Unsaved)
        assert "locked" in outcome.reason
        raw.execute("ROLLBACK")
        assert outbox.retry() == Saved(caught_up=1)
        assert journal.read(JOB) == [*EVENTS, reading(900)]


def test_a_place_that_cannot_be_written_is_tried_again(tmp_path: Path) -> None:
    """Where the folder should be lies a file: the job goes on in memory until that is put right."""
    blocked = tmp_path / "records"
    blocked.write_text("in the way")
    with open_or_wait(blocked / "journal.sqlite", AT) as journal:
        assert [notice.what for notice in journal.notices] == ["not-open"]
        outbox = DurableFirst(journal)
        assert isinstance(outbox.append(JOB, EVENTS[:2]), Unsaved)
        assert (journal.read(JOB), journal.jobs()) == ([], [])

        blocked.unlink()
        assert outbox.append(JOB, EVENTS[2:]) == Saved(caught_up=2)
        assert (journal.read(JOB), journal.notices) == (EVENTS, ())


@pytest.mark.skipif(sys.platform != "linux", reason="names of open files are looked up in /proc")
def test_the_name_of_a_new_journal_is_durable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A synced file can vanish with its name; the folder, and those made above it, are synced too."""
    synced: list[Path] = []
    sync = os.fsync

    def watch(handle: int) -> None:
        synced.append(Path(os.readlink(f"/proc/self/fd/{handle}")))
        sync(handle)

    monkeypatch.setattr(os, "fsync", watch)
    open_journal(tmp_path / "a" / "b" / "journal.sqlite", AT).close()

    assert {tmp_path, tmp_path / "a", tmp_path / "a" / "b"} <= set(synced)


@pytest.mark.parametrize("where", ["sqlite://", "sqlite:///:memory:", "oddbase://here", "http://x", "://"])
def test_a_url_that_names_no_journal_is_refused(where: str) -> None:
    """One plain sentence, whatever stands in the setting."""
    with pytest.raises(WrongInput):
        open_journal(where, AT)


def test_a_url_may_name_a_file(path: Path) -> None:
    """The form with three slashes leads to the same file."""
    plain = path.rename(path.with_name("plain.sqlite"))
    with open_journal(f"sqlite:///{plain}", AT) as journal:
        assert journal.read(JOB) == EVENTS


def test_no_journal_to_read_is_said(tmp_path: Path) -> None:
    """Reading never makes a file."""
    with pytest.raises(BadFile, match="no such journal"):
        read_journal(tmp_path / "journal.sqlite")
    assert list(tmp_path.iterdir()) == []


def test_a_schema_with_a_garbled_name_is_damage(path: Path) -> None:
    """SQLite quotes the name in its error, and the driver cannot decode that: no error of its own comes."""
    content, name = path.read_bytes(), b"sqlite_autoindex_journal_about_1"
    assert name in content
    path.write_bytes(content.replace(name, b"\x80" + name[1:-1] + b"\xff"))

    with pytest.raises(BadFile):
        read_journal(path)
    with pytest.raises(BadFile):
        check_journal(path)
    with open_journal(path, AT) as journal:
        assert [one.what for one in journal.notices] == ["set-aside"]
