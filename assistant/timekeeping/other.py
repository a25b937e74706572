"""Any other system: its monotonic clock, and an id per process, so that a restart reckons by UTC."""

from __future__ import annotations

import time
import uuid


def up_ms() -> int:
    """Return milliseconds of the monotonic clock."""
    return time.monotonic_ns() // 1_000_000


def boot_id() -> str:
    """Return a new id; instants of another process then count as of another boot."""
    return f"process-{uuid.uuid4()}"
