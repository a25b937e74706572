"""Sound clips beside the journal: durable before the event that names them, never in a job's way."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from assistant.journal.disk import make_folder, sync_folder

JOB_NAME = re.compile(r"[0-9A-Za-z][0-9A-Za-z_-]{0,63}")
CLIP_NAME = re.compile(r"[0-9a-f]{64}")
SUFFIXES = {b"RIFF": ".wav", b"fLaC": ".flac"}


@dataclass(frozen=True, slots=True)
class Clip:
    """What became of a clip: its name (SHA-256 of its bytes, in hexadecimal), or why there is none."""

    name: str | None
    reason: str = ""


class ClipStore:
    """Sound files of jobs, `FOLDER/JOB/NAME.wav` or `.flac`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, job: str, sound: bytes) -> Clip:
        """Write the bytes of a WAV or FLAC file durably; never raises for a disk that fails."""
        suffix = SUFFIXES.get(sound[:4])
        if suffix is None:
            return Clip(None, "neither WAV nor FLAC")
        if not JOB_NAME.fullmatch(job):
            return Clip(None, f"{job!r} cannot be the name of a folder")
        name = hashlib.sha256(sound).hexdigest()
        try:
            make_folder(self.folder / job)
            _write(self.folder / job / (name + suffix), sound)
        except OSError as error:
            return Clip(None, error.strerror or str(error))
        return Clip(name)

    def find(self, job: str, name: str) -> Path | None:
        """Return the file of a clip, or None when it was forgotten, never kept, or is no longer whole."""
        if not (JOB_NAME.fullmatch(job) and CLIP_NAME.fullmatch(name)):
            return None
        for suffix in SUFFIXES.values():
            path = self.folder / job / (name + suffix)
            with suppress(OSError):
                if hashlib.sha256(path.read_bytes()).hexdigest() == name:
                    return path
        return None

    def holds(self, job: str, sound: bytes) -> bool:
        """Return whether these very bytes are kept for `job`."""
        return self.find(job, hashlib.sha256(sound).hexdigest()) is not None

    def remove(self, job: str, name: str) -> None:
        """Remove one clip durably; raises `OSError` when it stays."""
        path = self.find(job, name)
        if path is not None:
            path.unlink(missing_ok=True)
            sync_folder(path.parent)

    def of(self, job: str) -> list[Path]:
        """Return the files of a job's clips, by name; empty when none was kept."""
        place = self.folder / job
        if not JOB_NAME.fullmatch(job) or not place.is_dir():
            return []
        return sorted(file for file in place.iterdir() if _is_clip(file))

    def sweep(self, before_ms: int) -> int:
        """Remove the clips last written before an instant (UTC, milliseconds) and return how many.

        Also halves left by a power cut, and folders that became empty. Links are not followed. Raises
        `OSError` when one stays; what else lies in the folder is left alone.
        """
        if not self.folder.is_dir():
            return 0
        count = 0
        for place in self.folder.iterdir():
            if place.is_symlink() or not place.is_dir() or not JOB_NAME.fullmatch(place.name):
                continue
            for file in [*place.iterdir()]:
                if not (_is_clip(file) or file.suffix == ".part"):
                    continue
                if file.lstat().st_mtime_ns < before_ms * 1_000_000:
                    file.unlink(missing_ok=True)
                    count += file.suffix != ".part"
            with suppress(OSError):  # not empty
                place.rmdir()
        sync_folder(self.folder)
        return count

    def forget(self, job: str) -> int:
        """Remove every clip of `job` and return how many there were; raises `OSError` when one stays."""
        place = self.folder / job
        if not JOB_NAME.fullmatch(job) or not place.is_dir():
            return 0
        files = list(place.iterdir())
        for file in files:
            file.unlink(missing_ok=True)
        sync_folder(place)
        place.rmdir()
        sync_folder(self.folder)
        return sum(file.suffix in SUFFIXES.values() for file in files)


def _is_clip(file: Path) -> bool:
    """Return whether a file has the name of a clip."""
    return file.suffix in SUFFIXES.values() and CLIP_NAME.fullmatch(file.stem) is not None


def _write(path: Path, sound: bytes) -> None:
    """Write beside, sync, rename, sync: at no moment is there half a clip under its name."""
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(sound)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise
    sync_folder(path.parent)
