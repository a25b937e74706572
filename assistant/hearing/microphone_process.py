"""The process that holds the microphone: `python -m assistant.hearing.microphone_process NAME`.

It is on its own because the sound library knows only the devices there were when it was loaded, and can
hang on one that was pulled out: ending the process and starting another is the one sure way to begin
again. It ends by itself with whoever started it, and when the device gives no more sound.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Sequence

from assistant.errors import MissingPart
from assistant.hearing import blocks
from assistant.hearing.microphone import Microphone

SILENT_S = 1.0
"""A device that gives no block for so long is lost: even in a silent room blocks keep coming."""


def main(argv: Sequence[str]) -> int:
    """Write the sound of the microphone named by the first argument to standard output."""
    threading.Thread(target=_end_with_the_starter, daemon=True).start()
    out = sys.stdout.buffer
    try:
        microphone = Microphone(argv[0] if argv else "")
        while (block := microphone.read(SILENT_S)) is not None:
            blocks.write(out, block)
        blocks.write(out, blocks.Trouble("the microphone gives no more sound"))
    except MissingPart as trouble:
        blocks.write(out, blocks.Trouble(str(trouble)))
    except OSError:
        pass  # nobody listens any more
    # Not by way of the sound library's own clearing up, which can hang on a device that is gone.
    os._exit(0)


def _end_with_the_starter() -> None:
    """Leave when standard input ends, which is when the starter does."""
    sys.stdin.buffer.read()
    os._exit(0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
