"""Linux: the boot clock counts suspended time; the kernel names each boot."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from assistant.timekeeping.other import boot_id as unnamed_boot_id

BOOT_ID_FILE = Path("/proc/sys/kernel/random/boot_id")

if sys.platform == "linux":

    def up_ms() -> int:
        """Return the milliseconds since boot, suspended time counted."""
        return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000

    def boot_id() -> str:
        """Return the kernel's id of this boot; where it is hidden, an id of this process only."""
        try:
            return BOOT_ID_FILE.read_text(encoding="ascii").strip() or unnamed_boot_id()
        except (OSError, ValueError):
            return unnamed_boot_id()
