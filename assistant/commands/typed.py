"""Lines of a keyboard or a pipe, bounded: what is too long is told at once, also when its end never comes."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator
from typing import TextIO

from assistant.commands.understanding import LONGEST_LINE

PIECE = 1 << 16
"""Letters read at a time of a line of which nothing is kept."""


def typed_lines(stream: TextIO) -> Iterator[str]:
    """Yield the lines of a stream; of one longer than anybody types only its beginning, and that at once.

    What is no text in the coding of the stream is replaced, and then not understood.
    """
    if isinstance(stream, io.TextIOWrapper):
        with contextlib.suppress(OSError, ValueError):
            stream.reconfigure(errors="replace")
    while line := stream.readline(LONGEST_LINE + 2):
        yield line
        rest = line if len(line) > LONGEST_LINE else "\n"
        while rest and not rest.endswith("\n"):
            rest = stream.readline(PIECE)
