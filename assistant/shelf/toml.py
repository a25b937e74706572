"""Reads a TOML file with exact numbers, and tells the line of a key for the sentence about a fault."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path

from assistant.errors import BadFile

LARGEST_BYTES = 1_000_000
"""A file people write by hand is far below a megabyte; a larger one is a mistake or an attack."""


def read_toml(path: Path) -> tuple[dict[str, object], str]:
    """Return the tables of a TOML file, fractions as `Decimal`, and its text.

    Raises `BadFile` with the line where known: no such file, not text, too large, not TOML.
    """
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadFile(str(path), f"larger than {LARGEST_BYTES} bytes", cure="give a file written by hand")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise BadFile(str(path), error.strerror or str(error)) from error
    except UnicodeDecodeError as error:
        raise BadFile(str(path), "not text in UTF-8", cure="save it as UTF-8") from error
    try:
        return tomllib.loads(text, parse_float=Decimal), text
    except (tomllib.TOMLDecodeError, RecursionError, ValueError, ArithmeticError) as error:
        found = re.search(r"at line (\d+)", str(error))
        why = f"not TOML: {error or 'nested too deep'}"
        raise BadFile(str(path), why, line=int(found[1]) if found else None) from error


def line_of(text: str, key: str) -> int | None:
    """Return the line (from 1) of the first assignment or table named `key`, quoted or not."""
    name = rf"[\"']?{re.escape(key)}[\"']?"
    start = re.compile(rf"\s*(?:{name}\s*[=.]|\[+\s*{name}\s*[\].])")
    return next((place for place, line in enumerate(text.splitlines(), start=1) if start.match(line)), None)


def line_in(text: str, *needles: str) -> int | None:
    """Return the line (from 1) of the last of `needles`, each looked for after the one before it.

    The first chooses a table (an id, a name); the others are looked for in that table only. A needle
    that is not there leaves the line where it was; None where not even the first is found.
    """
    lines = text.splitlines()
    place, end, found = 0, len(lines), None
    for needle in needles:
        word = re.compile(rf"(?<![\w-]){re.escape(needle)}(?![\w-])")
        inside = range(place, end)
        here = next((at for at in inside if word.search(lines[at]) and not _COMMENT.match(lines[at])), None)
        if here is None:
            continue
        if found is None:
            end = next((at for at in range(here + 1, len(lines)) if _TABLE.match(lines[at])), len(lines))
        place, found = here, here + 1
    return found


_COMMENT = re.compile(r"\s*#")
_TABLE = re.compile(r"\s*\[{1,2}[^.\[\]]+\]{1,2}\s*(?:#.*)?$")
"""A table that is not part of another."""
