"""Clocks that jump, stop and begin anew, on a journal that lasts: nothing of the record depends on them."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.job.instant import Instant
from assistant.job.state import fold
from assistant.journal import open_journal
from assistant.timekeeping.clock import RecordedClock
from tests.bench import Bench

HOUR_MS, DAY_MS = 3_600_000, 86_400_000
Fault = Callable[[Instant], Instant]
FAULTS: dict[str, Fault] = {
    "set forward": lambda now: Instant(now.utc_ms + HOUR_MS, now.boot, now.up_ms),
    "set back": lambda now: Instant(now.utc_ms - HOUR_MS, now.boot, now.up_ms),
    "set back for years": lambda now: Instant(0, now.boot, now.up_ms),
    "before 1970": lambda now: Instant(-DAY_MS, now.boot, now.up_ms),
    "suspended for five minutes": lambda now: now.later(300_000),
    "rebooted": lambda now: Instant(now.utc_ms + 60_000, "boot-2", 5_000),
    "rebooted with a flat battery": lambda now: Instant(946_684_800_000, "boot-2", 5_000),
    "rebooted after a week": lambda now: Instant(now.utc_ms + 7 * DAY_MS, "boot-2", 5_000),
    "far beyond any calendar": lambda now: Instant(2**61, "boot-2", 5_000),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_record_outlasts_a_clock(fault: str, tmp_path: Path) -> None:
    """Readings before and behind the jump stand in the order they were said; the state is the fold."""
    with open_journal(tmp_path / "journal.sqlite", Instant(0, "boot", 0)) as journal:
        bench = Bench(journal=journal)
        bench.hear("timer ten minutes", "note before")
        bench.clock.set(FAULTS[fault](bench.clock.now()))
        bench.hear("note behind")
        job, state = bench.session.state.job, bench.session.state
        assert fold(journal.read(job)) == state
        bench.restart(boot="boot-3")
        bench.hear("note at the end")
        state = bench.session.state
    with open_journal(tmp_path / "journal.sqlite", Instant(0, "boot", 0)) as journal:
        assert journal.notices == ()
        assert [row.id for row in journal.jobs()] == [job]
        history = journal.read(job)
    assert fold(history) == state
    words = [getattr(event, "words", "") for event in history if type(event).__name__ == "NoteTaken"]
    assert words == ["before", "behind", "at the end"]


@pytest.mark.parametrize(
    ("fault", "left_s"), [("set forward", 600), ("set back", 600), ("suspended for five minutes", 300)]
)
def test_a_timer_counts_what_really_passed(fault: str, left_s: int, tmp_path: Path) -> None:
    """Within a boot the wall clock has no say; suspended time has passed all the same. To the second."""
    bench = Bench()
    bench.hear("timer ten minutes", after_s=0)
    bench.clock.set(FAULTS[fault](bench.clock.now()))
    early = bench.wait(left_s - 1)
    late = bench.wait(2)

    assert "timer-over" not in early
    assert "timer-over" in late


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the time zone of a process cannot be set here")
@pytest.mark.parametrize(
    "switch", [datetime(2026, 3, 29, 1, tzinfo=UTC), datetime(2026, 10, 25, 1, tzinfo=UTC)]
)
def test_daylight_saving_begins_and_ends_in_a_timer(
    switch: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Five minutes before the clocks of central Europe are changed (the last Sundays of March and October, at
    one in the morning UTC): ten minutes are ten minutes, and the record is the same in another zone.
    """
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    time.tzset()
    try:
        before = Instant(int(switch.timestamp() * 1000) - 300_000, "boot", 1_000_000)
        summer = [time.localtime(one.utc_ms / 1000).tm_isdst for one in (before, before.later(600_000))]
        assert sorted(summer) == [0, 1]
        with open_journal(tmp_path / "journal.sqlite", before) as journal:
            bench = Bench(journal=journal, clock=RecordedClock(before))
            bench.hear("timer ten minutes", after_s=0)
            assert "timer-over" not in bench.wait(599)
            assert "timer-over" in bench.wait(2)
            monkeypatch.setenv("TZ", "UTC")
            time.tzset()
            assert fold(bench.history) == bench.session.state
    finally:
        monkeypatch.undo()
        time.tzset()
