"""The clock edge: suspended time counts, waits end on time, the recorded clock moves only when told."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.job.instant import Instant, elapsed
from assistant.timekeeping import clock as edge
from assistant.timekeeping import linux, other
from assistant.timekeeping.clock import Clock, RecordedClock, SystemClock, ms_until

START = Instant(1_793_600_000_000, "boot-one", 60_000)
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="the kernel's figures are in /proc")


class CountedWait(threading.Event):
    """An event that does not wait but moves a counter on, as the computer's clock would go on."""

    def __init__(self, factor: float = 1.0, set_after: int | None = None) -> None:
        super().__init__()
        self.up, self.factor, self.set_after = 60_000.0, factor, set_after
        self.slices: list[float] = []

    def wait(self, timeout: float | None = None) -> bool:
        """Note how long was asked for; let `factor` times as much pass."""
        assert timeout is not None
        self.slices.append(timeout)
        self.up += timeout * 1000 * self.factor
        if self.set_after == len(self.slices):
            self.set()
        return self.is_set()


def at_boot_time(monkeypatch: pytest.MonkeyPatch, wake: CountedWait) -> SystemClock:
    """Give a system clock whose time since boot is the counter of `wake`."""
    monkeypatch.setattr(edge, "up_ms", lambda: int(wake.up))
    return SystemClock()


@linux_only
def test_time_since_boot_is_the_kernels_and_counts_suspend() -> None:
    """/proc/uptime gives the time since boot including suspend (proc(5)); one asks before and one after."""
    before = float(Path("/proc/uptime").read_text().split()[0])
    now = SystemClock().now()
    after = float(Path("/proc/uptime").read_text().split()[0])

    assert before - 0.011 <= now.up_ms / 1000 <= after + 0.011
    assert now.boot == Path("/proc/sys/kernel/random/boot_id").read_text().strip()


def test_the_system_clock_goes_on_within_one_boot() -> None:
    """Two clocks of one computer agree on the boot, and the second instant is not before the first."""
    first, second = SystemClock().now(), SystemClock().now()

    if sys.platform in ("linux", "darwin", "win32"):
        assert first.boot == second.boot
    assert first.up_ms <= second.up_ms
    assert not elapsed(first, second).doubtful


def test_where_no_boot_has_a_name_a_process_gets_one(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Then a restart reckons by UTC: no two such names are alike."""
    monkeypatch.setattr(linux, "BOOT_ID_FILE", tmp_path / "absent")
    hidden = linux.boot_id()

    assert hidden.startswith("process-")
    assert len({hidden, linux.boot_id(), other.boot_id()}) == 3
    assert other.up_ms() <= other.up_ms()


def test_a_wait_is_cut_into_slices(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two seconds and a bit are waited in slices, the last one only as long as what is left."""
    wake = CountedWait()
    system = at_boot_time(monkeypatch, wake)

    assert system.sleep_until(system.now().later(2200), wake) is False
    assert sum(wake.slices) == pytest.approx(2.2)
    assert max(wake.slices) <= 0.5


def test_a_suspend_in_a_wait_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lid is shut for long in a wait of ten minutes: it ends within half a second of the waking."""
    wake = CountedWait(factor=3600)
    system = at_boot_time(monkeypatch, wake)

    assert system.sleep_until(system.now().later(600_000), wake) is False
    assert len(wake.slices) == 1


def test_a_wait_ends_when_there_is_something_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """A set event ends it and is told apart from the time."""
    wake = CountedWait(set_after=2)
    system = at_boot_time(monkeypatch, wake)

    assert system.sleep_until(system.now().later(600_000), wake) is True
    assert len(wake.slices) == 2


def test_what_is_past_is_not_waited_for() -> None:
    """Nor what is now; a set event goes first."""
    system, wake = SystemClock(), CountedWait()
    assert system.sleep_until(system.now(), wake) is False
    assert system.sleep_until(system.now().later(-5), wake) is False
    wake.set()
    assert system.sleep_until(system.now(), wake) is True
    assert wake.slices == []


def test_a_real_wait_is_ended_by_another_thread() -> None:
    """A real event, set by a real thread, ends a wait of an hour."""
    system, wake = SystemClock(), threading.Event()
    other_thread = threading.Thread(target=wake.set)
    other_thread.start()

    assert system.sleep_until(system.now().later(3_600_000), wake) is True
    other_thread.join()


def test_across_boots_the_wall_clock_counts() -> None:
    """A due instant of an earlier boot has no meaning on this boot's counter."""
    earlier = Instant(START.utc_ms - 1000, "boot-zero", 9_000_000)

    assert ms_until(earlier, START) == -1000
    assert ms_until(START.later(70), START) == 70


@given(steps=st.lists(st.integers(0, 10**9)))
def test_the_recorded_clock_moves_by_what_it_is_told(steps: list[int]) -> None:
    """Both of its figures move together."""
    recorded = RecordedClock(START)
    for ms in steps:
        assert recorded.advance(ms) == recorded.now()

    assert recorded.now() == START.later(sum(steps))


def test_the_recorded_clock_waits_at_once() -> None:
    """A wait moves it to the due instant, not back from a past one, and not at all when it is woken."""
    recorded, wake = RecordedClock(START), threading.Event()
    assert recorded.sleep_until(START.later(600_000), wake) is False
    assert recorded.now() == START.later(600_000)
    assert recorded.sleep_until(START, wake) is False
    assert recorded.now() == START.later(600_000)
    wake.set()
    assert recorded.sleep_until(START.later(900_000), wake) is True
    assert recorded.now() == START.later(600_000)


def test_the_recorded_clock_can_be_put_anywhere_but_not_run_backwards() -> None:
    """A power cut is another boot; within one boot nothing runs backwards."""
    recorded = RecordedClock(START)
    with pytest.raises(WrongInput):
        recorded.advance(-1)
    recorded.set(Instant(5, "boot-two", 0))

    assert recorded.now() == Instant(5, "boot-two", 0)


def test_both_are_clocks() -> None:
    """The loop takes either."""
    clocks: list[Clock] = [SystemClock(), RecordedClock(START)]

    assert all(isinstance(clock.now(), Instant) for clock in clocks)
