"""The clock edge: the only place that asks the computer what time it is.

`SystemClock` counts suspended time, so that a drain timer goes on while the lid is shut.
`RecordedClock` stands still until it is told to move: the clock of a recording and of the tests.
"""

from __future__ import annotations

import sys
import threading
import time
from typing import Protocol

from assistant.errors import WrongInput
from assistant.job.instant import Instant

if sys.platform == "linux":
    from assistant.timekeeping.linux import boot_id, up_ms
elif sys.platform == "darwin":
    from assistant.timekeeping.macos import boot_id, up_ms
elif sys.platform == "win32":
    from assistant.timekeeping.windows import boot_id, up_ms
else:
    from assistant.timekeeping.other import boot_id, up_ms

LONGEST_WAIT_S = 0.5
"""A wait is cut into slices: the clock that waits stands still in suspend, the one that is read does not."""


class Clock(Protocol):
    """Something that can be asked for the present."""

    def now(self) -> Instant:
        """Return the present instant."""


def ms_until(then: Instant, now: Instant) -> int:
    """Return the milliseconds from `now` to `then`, negative when it is past; UTC only across boots."""
    return then.up_ms - now.up_ms if then.boot == now.boot else then.utc_ms - now.utc_ms


class SystemClock:
    """The clock of this computer; `boot` names the present boot, asked for once."""

    def __init__(self) -> None:
        self.boot = boot_id()

    def now(self) -> Instant:
        """Return UTC and the time since boot, suspended time counted."""
        return Instant(time.time_ns() // 1_000_000, self.boot, up_ms())

    def sleep_until(self, then: Instant, wake: threading.Event) -> bool:
        """Wait until `then` or until `wake` is set; return whether it was. A past instant does not wait."""
        while not wake.is_set():
            left = ms_until(then, self.now())
            if left <= 0:
                return False
            wake.wait(min(left / 1000, LONGEST_WAIT_S))
        return True


class RecordedClock:
    """A clock that moves only when it is told to."""

    def __init__(self, start: Instant) -> None:
        self._now = start

    def now(self) -> Instant:
        """Return the instant it was moved to last."""
        return self._now

    def advance(self, ms: int) -> Instant:
        """Move on by `ms` milliseconds (not negative) and return the new present."""
        if ms < 0:
            raise WrongInput(f"a clock that counts since boot does not run backwards ({ms} ms)")
        self._now = self._now.later(ms)
        return self._now

    def set(self, now: Instant) -> None:
        """Stand at `now`, whatever it was before: another boot, a wall clock that was put back."""
        self._now = now

    def sleep_until(self, then: Instant, wake: threading.Event) -> bool:
        """Move on to `then` at once, unless `wake` is set; return whether it is set."""
        if wake.is_set():
            return True
        self.advance(max(ms_until(then, self._now), 0))
        return False
