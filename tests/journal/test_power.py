"""Power cuts and faults of the disk at every operation: what was confirmed is there, in order, unchanged."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import apsw
import pytest

from assistant.errors import NotSaved
from assistant.job.events import Event
from assistant.journal import DurableFirst, Saved, Unsaved, open_journal, read_journal
from tests.journal.disk_below import Op, after_power_cut, noted
from tests.journal.facts import AT, reading, started

pytestmark = pytest.mark.full
JOB = "J"
SAID: list[Event] = [started(JOB), *(reading(number) for number in range(1, 400))]


def a_job(folder: Path, networked: bool, turns: int = 12) -> list[Op]:
    """Write a job in three sessions; return what happened to the files, with a mark for each confirmation."""
    with pytest.MonkeyPatch.context() as patch, noted(patch, networked) as disk:
        count = 0
        for _ in range(3):
            with open_journal(folder / "journal.sqlite", AT) as journal:
                for turn in range(turns):
                    more = 1 + turn % 3
                    journal.append(JOB, SAID[count : count + more])
                    count += more
                    disk.log.append(Op("confirmed", at=count))
    return disk.log


def cut_and_look(log: list[Op], chance: random.Random, folder: Path) -> str:
    """Cut the power at one place, open what is left, and check it; return what power was cut in."""
    place = chance.randrange(len(log) + 1)
    confirmed = max((op.at for op in log[:place] if op.kind == "confirmed"), default=0)
    following = next((op.at for op in log[place:] if op.kind == "confirmed"), confirmed)
    folder.mkdir()
    path = folder / "journal.sqlite"
    (folder / "journal.sqlite.lock").touch()
    after_power_cut(log[:place], chance, folder)
    with open_journal(path, AT) as journal:
        found = journal.read(JOB)
        assert found == SAID[: len(found)], "an event is another than the one that was said"
        assert confirmed <= len(found) <= following, f"{confirmed} confirmed, {len(found)} there"
        if confirmed:
            assert journal.notices == () or [one.what for one in journal.notices] == ["without-wal"]
        journal.append(JOB, SAID[len(found) : len(found) + 1])
        assert journal.read(JOB) == SAID[: len(found) + 1]
    if place == len(log):
        return "after everything"
    op = log[place]
    return f"{op.kind} {op.file.removeprefix('journal.sqlite') or 'file'}"


def cuts(folder: Path, count: int, seed: int) -> Counter[str]:
    """Cut the power `count` times, in both kinds of journal; return how often in what."""
    phases: Counter[str] = Counter()
    for networked in (False, True):
        work = folder / f"work-{networked}"
        work.mkdir()
        log = a_job(work, networked)
        chance = random.Random(seed)
        for number in range(count // 2):
            phases[cut_and_look(log, chance, folder / f"cut-{networked}-{number}")] += 1
    return phases


def test_a_power_cut_loses_nothing_that_was_confirmed(tmp_path: Path) -> None:
    """At seeded places of a job, with a write-ahead log and without; unsynced writes are lost or torn."""
    phases = cuts(tmp_path, 40, seed=7)

    assert sum(phases.values()) == 40
    assert {"write -wal", "write file", "write -journal"} <= set(phases)


def test_the_cut_tells_a_lazy_journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same cuts find losses when the journal does not sync: the test can fail."""
    sync = "PRAGMA synchronous = OFF"
    with noted(monkeypatch) as disk, open_journal(tmp_path / "journal.sqlite", AT) as journal:
        with journal._engine.connect() as connection:  # type: ignore[attr-defined]
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql(sync)
        for number in range(1, 40):
            journal.append(JOB, SAID[number - 1 : number])
            disk.log.append(Op("confirmed", at=number))
    chance, lost = random.Random(1), 0
    for number in range(20):
        try:
            cut_and_look(disk.log, chance, tmp_path / str(number))
        except AssertionError:
            lost += 1
    assert lost > 5


@pytest.mark.parametrize(("how", "networked"), [(apsw.IOError, False), (apsw.FullError, True)])
def test_a_fault_at_any_operation_is_told_and_made_good(
    how: type[apsw.Error], networked: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One write or sync fails: that append says so, or stands; afterwards all is there once, in order."""
    told = 0
    for place in range(1, 36, 5):
        path = tmp_path / f"{place}" / "journal.sqlite"
        open_journal(path, AT).close()
        with noted(monkeypatch, networked) as disk:
            disk.how, disk.fails_at = how, place
            try:
                journal = open_journal(path, AT)
            except NotSaved:
                told += 1
                continue
            outbox = DurableFirst(journal)
            for number in range(5):
                done = outbox.append(JOB, SAID[number : number + 1])
                told += isinstance(done, Unsaved)
                if isinstance(done, Saved):
                    assert journal.read(JOB) == SAID[: number + 1]
            assert isinstance(outbox.retry(), Saved)
            try:
                journal.close()
            except NotSaved:
                told += 1
        with read_journal(path) as reader:
            assert reader.read(JOB) == SAID[:5]
    assert told >= 3, "the faults fell beside the writes"
