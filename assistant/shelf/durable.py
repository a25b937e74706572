"""Writing a small file so that at no moment there is half of it under its name."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path


def write_text(path: Path, text: str) -> None:
    """Put a text in the place of what stands at `path`: beside it, synced, renamed; `OSError` if it fails.

    The folder is made where it is not there yet.
    """
    _write(path, text, os.replace)


def write_new(path: Path, text: str) -> None:
    """Put a text where nothing stands yet, as durably; `FileExistsError` where something does."""
    _write(path, text, _link)


def _link(beside: str, path: Path) -> None:
    os.link(beside, path)
    os.unlink(beside)


def _write(path: Path, text: str, into_place: Callable[[str, Path], None]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        into_place(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise
