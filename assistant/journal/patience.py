"""Bounds how long a server may leave an answer out, when the line itself looks alive."""

from __future__ import annotations

import os
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from sqlalchemy import Connection

LONGEST_S = 15.0
"""Longer than the server's own limit for a statement: what is silent after that is frozen, or not there."""


@contextmanager
def answered_within(server: Connection, longest_s: float = LONGEST_S) -> Iterator[None]:
    """Hang up when the block takes longer; whoever waits in it for an answer gets an error of the driver."""
    raw = server.connection.driver_connection
    if raw is None:
        raise OSError("there is no connection")
    timer = threading.Timer(longest_s, _hang_up, [raw.fileno()])
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _hang_up(handle: int) -> None:
    """End a connection under the hands of its driver, which keeps its own handle and closes that."""
    with suppress(OSError), socket.socket(fileno=os.dup(handle)) as line:
        line.shutdown(socket.SHUT_RDWR)
