"""How the program ends when it is told to from outside: everything is closed, and the exit code says why.

Exit codes: 0 done; 1 not done (a part is missing, something could not be saved); 2 wrong input;
129 the terminal was closed; 130 Ctrl-C; 143 ended by the system (TERM).
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterator
from types import FrameType

NAMES = ("SIGHUP", "SIGINT", "SIGTERM")
CODE = 128
"""Added to the number of a signal, as shells do."""


class Ended(BaseException):
    """A signal asked the program to end; raised in the main thread, so that everything is closed."""

    def __init__(self, number: int) -> None:
        self.code = CODE + number
        super().__init__(signal.Signals(number).name)


@contextlib.contextmanager
def ended_by_signals() -> Iterator[None]:
    """Turn signals into `Ended` while the block runs: the first one; more of them change nothing.

    Does nothing outside the main thread, where signals cannot be handled.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    numbers = [getattr(signal, name) for name in NAMES if hasattr(signal, name)]
    before: dict[int, object] = {}

    def end(number: int, _: FrameType | None) -> None:
        for one in numbers:
            signal.signal(one, signal.SIG_IGN)
        if number == getattr(signal, "SIGHUP", None):
            mute()
        raise Ended(number)

    for number in numbers:
        before[number] = signal.signal(number, end)
    try:
        yield
    finally:
        for number, former in before.items():
            signal.signal(number, former if former is not None else signal.SIG_DFL)  # type: ignore[arg-type]


def mute() -> None:
    """Let what is still printed go nowhere: there is no screen any more."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(OSError, ValueError, AttributeError):
                os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
