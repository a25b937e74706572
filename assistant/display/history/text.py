"""The history on a terminal or in a file: plain aligned columns, no lines drawn.

Where a table does not fit, each row is told by itself, a line for each cell.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from assistant.phrasing.en.history import NOTHING, Part

GAP = "  "
LEAST = 6
"""No column is squeezed below this."""


def as_text(parts: Sequence[Part], width: int) -> str:
    """Return parts as text of at most `width` signs a line, as far as single words allow."""
    lines: list[str] = []
    for _, heading, columns, rows in parts:
        lines += [heading, *(_table(columns, rows, width) if rows else [f"  {NOTHING}"]), ""]
    return "\n".join(line.rstrip() for line in lines)


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    cells = [columns, *rows] if any(columns) else list(rows)
    wide = _widths(cells, width - 2)
    if wide is None:
        return [line for row in rows for line in [*_alone(columns, row, width), ""]][:-1]
    return [f"  {line}" for row in cells for line in _lines(row, wide)]


def _widths(cells: Sequence[Sequence[str]], whole: int) -> list[int] | None:
    """Return the width of each column; the widest give way until a row fits, None where it cannot."""
    columns = list(zip(*cells, strict=True))
    wide = [max(map(len, column)) for column in columns]
    least = [max([LEAST, *(len(word) for cell in column for word in cell.split())]) for column in columns]
    while sum(wide) + len(GAP) * (len(wide) - 1) > whole:
        spare = [have - need for have, need in zip(wide, least, strict=True)]
        most = max(range(len(wide)), key=lambda at: (spare[at] > 0) * wide[at])
        if spare[most] <= 0:
            return None
        wide[most] -= 1
    return wide


def _alone(columns: Sequence[str], row: Sequence[str], width: int) -> list[str]:
    """Return a row by itself."""
    head = max(map(len, columns))
    lines = []
    for column, cell in zip(columns, row, strict=True):
        pieces = textwrap.wrap(cell, max(width - head - 5, LEAST), break_long_words=False) or [""]
        lines += [f"  {column.ljust(head)}  {pieces[0]}", *(" " * (head + 4) + piece for piece in pieces[1:])]
    return lines


def _lines(row: Sequence[str], wide: Sequence[int]) -> list[str]:
    broken = [textwrap.wrap(cell, size) or [""] for cell, size in zip(row, wide, strict=True)]
    return [
        GAP.join((piece or "").ljust(size) for piece, size in zip(pieces, wide, strict=True))
        for pieces in zip_longest(*broken)
    ]
