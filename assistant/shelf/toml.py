"""Reads a TOML file with exact numbers, and tells the line of a key for the sentence about a fault."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

from assistant.errors import BadFile

LARGEST_BYTES = 250_000
"""A file people write by hand is far below this; a larger one is a mistake or an attack."""

LONGEST_LINE = 2_000
"""A key with thousands of dots takes the reader minutes; no line that people write is as long."""


def read_toml(path: Path) -> tuple[dict[str, object], str]:
    """Return the tables of a TOML file, fractions as `Decimal`, and its text.

    Raises `BadFile` with the line where known: no such file, not text, too large, not TOML.
    """
    try:
        size = path.stat().st_size
        raw = b"" if size > LARGEST_BYTES else path.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a path with a NUL in it
        raise BadFile(str(path), getattr(error, "strerror", None) or str(error)) from error
    if size > LARGEST_BYTES:
        raise BadFile(str(path), f"larger than {LARGEST_BYTES} bytes", cure="give a file written by hand")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(str(path), "not text in UTF-8", cure="save it as UTF-8") from error
    return tables_of(text, str(path)), text


def tables_of(text: str, where: str) -> dict[str, object]:
    """Return the tables of a TOML text, fractions as `Decimal`; `BadFile` names `where` it stands."""
    for place, line in enumerate(text.splitlines(), start=1):
        if len(line) > LONGEST_LINE:
            raise BadFile(where, f"not TOML by hand: a line of {len(line)} signs", line=place)
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError, ArithmeticError) as error:
        found = re.search(r"at line (\d+)", str(error))
        why = f"not TOML: {error or 'nested too deep'}"
        raise BadFile(where, why, line=int(found[1]) if found else None) from error


def line_of(text: str, key: str) -> int | None:
    """Return the line (from 1) of the first assignment or table named `key`, quoted or not."""
    name = rf"[\"']?{re.escape(key)}[\"']?"
    start = re.compile(rf"\s*(?:{name}\s*[=.]|\[+\s*{name}\s*[\].])")
    lines = enumerate(_lines(text), start=1)
    return next((place for place, line in lines if key in line and start.match(line)), None)


def line_in(text: str, *needles: str) -> int | None:
    """Return the line (from 1) of the last of `needles`, each looked for after the one before it.

    The first chooses a table by its id or name, or a key, or any word; the others are looked for in that
    table only. A needle that is not there leaves the line where it was; None where the first is absent.
    """
    lines = _lines(text)
    place, end, found = 0, len(lines), None
    for needle in needles:
        here = _first(lines, place, end, needle, names=found is None)
        if here is None and found is None:
            return None
        if here is None:
            continue
        if found is None:
            end = next((at for at in range(here + 1, len(lines)) if _TABLE.match(lines[at])), len(lines))
        place, found = here, here + 1
    return found


def _patterns(needle: str, *, names: bool) -> list[re.Pattern[str]]:
    """Return what a needle may stand in, the surest first."""
    exact = re.escape(needle)
    tries = [rf"(?<![\w-]){exact}(?![\w-])"]
    if names:
        tries = [rf"\s*(?:id|name)\s*=\s*[\"']{exact}[\"']", rf"\s*[\"']?{exact}[\"']?\s*=", *tries]
    return [re.compile(one) for one in tries]


def _first(lines: Sequence[str], start: int, end: int, needle: str, *, names: bool) -> int | None:
    holding = [at for at in range(start, end) if needle in lines[at]]  # few: patterns are tried on these only
    patterns = _patterns(needle, names=names) if holding else []
    for place, pattern in enumerate(patterns):
        look = pattern.match if place < len(patterns) - 1 else pattern.search
        for at in holding:
            if look(lines[at]):
                return at
    return None


@lru_cache(maxsize=8)
def _lines(text: str) -> tuple[str, ...]:
    """Return the lines of a text, those that are comments empty; many places are looked up in one text."""
    return tuple("" if _COMMENT.match(line) else line for line in text.splitlines())


_COMMENT = re.compile(r"\s*#")
_TABLE = re.compile(r"\s*\[{1,2}[^.\[\]]+\]{1,2}\s*(?:#.*)?$")
"""A table that is not part of another."""
