"""One kind of time: a point on the wall clock and on the clock that counts since boot.

Within one boot durations are taken from the since-boot clock (it counts suspend and does not jump);
across boots from UTC. A clock that ran backwards, or a gap of more than a day, is doubtful.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

DAY_MS = 86_400_000


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment: `utc_ms` since 1970-01-01 UTC, the id of this boot, `up_ms` since that boot."""

    utc_ms: int
    boot: str
    up_ms: int

    def later(self, ms: int) -> Instant:
        """Return the instant `ms` milliseconds after this one, in the same boot."""
        return Instant(self.utc_ms + ms, self.boot, self.up_ms + ms)


def day_of(utc_ms: int) -> str:
    """Return the ISO date, in UTC, of a time since 1970-01-01 UTC."""
    return datetime.fromtimestamp(utc_ms / 1000, UTC).date().isoformat()


@dataclass(frozen=True, slots=True)
class Elapsed:
    """Milliseconds between two instants, and whether the clocks make that figure doubtful."""

    ms: int
    doubtful: bool = False


def elapsed(since: Instant, now: Instant) -> Elapsed:
    """Return the time from `since` to `now`, never negative.

    Doubtful when the clock that had to be used ran backwards, or when the gap is over a day.
    """
    same_boot = since.boot == now.boot
    ms = now.up_ms - since.up_ms if same_boot else now.utc_ms - since.utc_ms
    return Elapsed(max(ms, 0), ms < 0 or ms > DAY_MS)
