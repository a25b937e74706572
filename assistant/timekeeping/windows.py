"""Windows: the tick count goes on in sleep; the registry counts the boots."""

from __future__ import annotations

import sys

from assistant.timekeeping.other import boot_id as unnamed_boot_id

BOOT_COUNT_KEY = r"SYSTEM\CurrentControlSet\Control\Session Manager\Memory Management\PrefetchParameters"

if sys.platform == "win32":
    import ctypes
    import winreg

    _ticks = ctypes.windll.kernel32.GetTickCount64
    _ticks.restype = ctypes.c_uint64

    def up_ms() -> int:
        """Return the milliseconds since boot, sleep counted, in steps of about 16."""
        return int(_ticks())

    def boot_id() -> str:
        """Return the number of this boot; where it is not kept, an id of this process only."""
        try:
            with winreg.OpenKey(winreg.HKEY_LOCAL_MACHINE, BOOT_COUNT_KEY) as key:
                return f"boot-{winreg.QueryValueEx(key, 'BootId')[0]}"
        except OSError:
            return unnamed_boot_id()
