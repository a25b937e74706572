"""One file that holds others with their digests: written beside, read back whole, and only then named.

A ZIP file; its last entry, `manifest.json`, has the size and SHA-256 of each other entry.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from assistant.errors import BadFile, NotSaved
from assistant.journal.disk import sync_folder

MANIFEST = "manifest.json"
FORMAT = "workshop-backup-1"
NAME = re.compile(r"(?!.*\.\.)\w[\w.-]{0,99}(/\w[\w.-]{0,99}){0,2}")
"""What an entry may be called: no way out of a folder, nothing a system would take for a device path."""
MOST_ENTRIES = 1_000_000
LARGEST_MANIFEST = 200_000_000
MOST_PACKED = 200
"""What unpacks to more than so many times its size is a trap; a journal comes to about ten."""
CHUNK = 1 << 20
_BROKEN = (
    zipfile.BadZipFile, zlib.error, EOFError, ValueError, AttributeError, LookupError, TypeError,
    RuntimeError,
)  # fmt: skip
"""What reading a file of any content can raise on the way."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What a manifest says of one entry."""

    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Archive:
    """A verified archive: what it holds, and what was said about it."""

    path: Path
    entries: Mapping[str, Entry]
    about: Mapping[str, str]

    def extract(self, name: str, to: Path) -> None:
        """Write one entry durably as the file `to`, checked once more; raises `BadFile`, `OSError`."""
        handle, beside = tempfile.mkstemp(dir=to.parent, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                with zipfile.ZipFile(self.path) as archive, archive.open(name) as held:
                    entry = _copy(held, file, self.entries[name].size)
                file.flush()
                os.fsync(file.fileno())
            if entry != self.entries[name]:
                raise BadFile(str(self.path), f"{name} changed while it was read")
            os.replace(beside, to)
        except BaseException as error:
            with suppress(OSError):
                os.unlink(beside)
            if isinstance(error, _BROKEN) and not isinstance(error, BadFile):
                raise BadFile(str(self.path), f"{name} is damaged") from error
            raise
        sync_folder(to.parent)


def write_archive(to: Path, files: Iterable[tuple[str, Path]], about: Mapping[str, str]) -> Archive:
    """Write `files` (entry name, path) into the new file `to`; it has its name only once it was verified.

    Raises `BadFile` when `to` exists, `NotSaved` when it cannot be written or does not read back. A file
    that is removed meanwhile is left out.
    """
    if os.path.lexists(to):
        raise BadFile(str(to), "it exists and is not overwritten", cure="name a new file")
    beside = ""
    try:
        handle, beside = tempfile.mkstemp(dir=to.parent, prefix=".", suffix=".part")
        with os.fdopen(handle, "w+b") as file:
            with zipfile.ZipFile(file, "w") as archive:
                _fill(archive, files, about)
            file.flush()
            os.fsync(file.fileno())
        read_archive(Path(beside))
        _name(Path(beside), to)
        sync_folder(to.parent)
    except BadFile as error:
        raise NotSaved(f"{to}: what was written does not read back: {error}") from error
    except OSError as error:
        raise NotSaved(f"{to}: {error.strerror or error}") from error
    finally:
        with suppress(OSError):
            os.unlink(beside)
    return read_archive(to)


def read_archive(path: Path) -> Archive:
    """Return an archive whose every entry has the size and digest its manifest says; else `BadFile`."""
    try:
        with zipfile.ZipFile(path) as archive:
            entries, about = _manifest(archive)
            for name, entry in entries.items():
                with archive.open(name) as held:
                    if _copy(held, None, entry.size) != entry:
                        raise ValueError(f"{name} is damaged")
    except BadFile:
        raise
    except OSError as error:
        raise BadFile(str(path), error.strerror or str(error)) from error
    except _BROKEN as error:
        raise BadFile(str(path), f"it is no whole backup: {error}") from error
    return Archive(path, entries, about)


def _name(beside: Path, to: Path) -> None:
    """Give a file its name without replacing what may have come to be there."""
    try:
        os.link(beside, to)
    except FileExistsError:
        raise
    except OSError:  # a stick without such links
        if os.path.lexists(to):
            raise
        os.rename(beside, to)


def _manifest(archive: zipfile.ZipFile) -> tuple[dict[str, Entry], dict[str, str]]:
    """Return what the manifest says; raises `ValueError` for anything out of the ordinary."""
    names = archive.namelist()
    if len(names) > MOST_ENTRIES or len(set(names)) != len(names) or MANIFEST not in names:
        raise ValueError("its list of files is not sound")
    if any(one.file_size > MOST_PACKED * one.compress_size + CHUNK for one in archive.infolist()):
        raise ValueError("it would unpack to far more than it can hold")
    with archive.open(MANIFEST) as held:
        text = held.read(LARGEST_MANIFEST + 1)
    tree = json.loads(text if len(text) <= LARGEST_MANIFEST else b"")
    if tree["format"] != FORMAT:
        raise ValueError(f"its format is {tree['format']!r}")
    entries = {name: Entry(int(one["size"]), str(one["sha256"])) for name, one in tree["entries"].items()}
    for name in entries:
        if not NAME.fullmatch(name) or name == MANIFEST:
            raise ValueError(f"{name!r} is no name of a file in it")
    if set(entries) != set(names) - {MANIFEST}:
        raise ValueError("its files are not those of its manifest")
    return entries, {str(key): str(value) for key, value in tree["about"].items()}


def _fill(archive: zipfile.ZipFile, files: Iterable[tuple[str, Path]], about: Mapping[str, str]) -> None:
    entries: dict[str, dict[str, object]] = {}
    for name, path in files:
        if not NAME.fullmatch(name):
            continue
        try:
            source = path.open("rb")
        except FileNotFoundError:
            continue
        packed = zipfile.ZIP_STORED if path.suffix in (".flac", ".wav") else zipfile.ZIP_DEFLATED
        info = zipfile.ZipInfo(name)
        info.compress_type, info.external_attr = packed, 0o600 << 16
        with source, archive.open(info, "w", force_zip64=True) as held:
            entry = _copy(source, held)
        entries[name] = {"size": entry.size, "sha256": entry.sha256}
    tree = {"format": FORMAT, "about": dict(about), "entries": entries}
    archive.writestr(MANIFEST, json.dumps(tree, sort_keys=True), zipfile.ZIP_DEFLATED)


def _copy(source: IO[bytes], to: IO[bytes] | None, most: int | None = None) -> Entry:
    """Copy bytes, at most one chunk more than `most`, and return their size and digest."""
    size, proof = 0, hashlib.sha256()
    while chunk := source.read(CHUNK):
        size += len(chunk)
        proof.update(chunk)
        if to is not None:
            to.write(chunk)
        if most is not None and size > most:
            raise ValueError("an entry is larger than its manifest says")
    return Entry(size, proof.hexdigest())
