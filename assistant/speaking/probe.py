"""Whether the sound library can be loaded at all, found out in another process.

Where the sound system's own files are missing, loading it does not fail: it ends the process, and with it a
job. It has hung, too.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence

LOADING = (sys.executable, "-c", "import sounddevice")
LOADING_S = 10.0
"""Loading takes a tenth of a second; on a busy computer a second."""


def broken(command: Sequence[str] = LOADING) -> str:
    """Return why the library must not be loaded here and what to do about it; empty where it may be."""
    try:
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, capture_output=True, timeout=LOADING_S, check=False
        )
    except subprocess.TimeoutExpired:
        return "the sound library hangs; start the sound system or the computer anew"
    if done.returncode >= 0:  # an error while importing is told by the import itself
        return ""
    return (
        "the sound library breaks off when it is loaded: the sound system's own files are missing or empty; "
        "put them back (apt install --reinstall libasound2-data), or clear ALSA_CONFIG_PATH and _DIR"
    )
