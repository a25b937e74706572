"""macOS: its monotonic clock counts sleep; the kernel names each boot."""

from __future__ import annotations

import sys
import time

from assistant.timekeeping.other import boot_id as unnamed_boot_id

if sys.platform == "darwin":
    import ctypes

    def up_ms() -> int:
        """Return milliseconds of the clock that goes on in sleep."""
        return time.clock_gettime_ns(time.CLOCK_MONOTONIC) // 1_000_000

    def boot_id() -> str:
        """Return the kernel's id of this boot session; where it is hidden, an id of this process only."""
        text = ctypes.create_string_buffer(64)
        size = ctypes.c_size_t(ctypes.sizeof(text))
        libc = ctypes.CDLL(None)
        failed = libc.sysctlbyname(
            b"kern.bootsessionuuid", text, ctypes.byref(size), None, ctypes.c_size_t(0)
        )
        return unnamed_boot_id() if failed or not text.value else text.value.decode("ascii")
