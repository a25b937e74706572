"""What a journal has to know of the disk below it: network folders, durable names, files set aside."""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath

from assistant.job.instant import Instant

MOUNTS = Path("/proc/self/mounts")
NETWORK_TYPES = (
    "9p", "afs", "ceph", "cifs", "davfs", "drvfs", "glusterfs", "lustre", "ncpfs", "nfs", "nfs4",
    "prl_fs", "smb", "smb2", "smb3", "smbfs", "vboxsf", "virtiofs",
)  # fmt: skip
"""File systems where shared memory between processes cannot be relied on; so can none that begins `fuse`."""
SIDE_FILES = ("-wal", "-shm", "-journal")
"""What an SQLite file may have beside it."""


def type_of_file_system(path: Path, mounts: str) -> str:
    """Return the type of the file system `path` lies on, from a mount table in the form of Linux."""
    place, best, kind = PurePosixPath(path), -1, ""
    for line in mounts.splitlines():
        columns = line.split(" ")
        if len(columns) < 3:
            continue
        folder = PurePosixPath(columns[1].encode().decode("unicode_escape"))  # \040 stands for a space
        if place.is_relative_to(folder) and len(folder.parts) >= best:
            best, kind = len(folder.parts), columns[2]
    return kind


def is_networked(path: Path) -> bool:
    """Return whether `path` lies on a network or user-space file system, as far as that can be known."""
    full = path.resolve()
    if sys.platform == "win32":
        return str(full).startswith("\\\\")
    try:
        kind = type_of_file_system(full, MOUNTS.read_text(encoding="utf-8", errors="replace"))
    except OSError:  # no such table on this system: taken as local
        return False
    return kind in NETWORK_TYPES or kind.startswith("fuse")


def sync_folder(folder: Path) -> None:
    """Make the names in `folder` durable; a no-op where folders cannot be synced."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF):
            raise
    finally:
        os.close(handle)


def make_folder(folder: Path) -> None:
    """Make `folder` and what is missing above it, durably, for this user only."""
    missing = [place for place in (folder, *folder.parents) if not place.exists()]
    for place in reversed(missing):
        with suppress(FileExistsError):
            place.mkdir(mode=0o700)
        sync_folder(place.parent)


def set_aside(path: Path, at: Instant) -> Path:
    """Rename a bad file and its side files to a name with the time, durably; return that name.

    Nothing is deleted or overwritten. The main file goes first: side files left alone by a crash in
    between are recognised by their missing main file, while a main file without them would look whole.
    """
    stamp = datetime.fromtimestamp(max(at.utc_ms, 0) / 1000, UTC).strftime("%Y%m%dT%H%M%SZ")
    number = 1
    while True:
        tail = stamp if number == 1 else f"{stamp}-{number}"
        aside = path.with_name(f"{path.stem}.bad-{tail}{path.suffix}")
        if not any(os.path.lexists(f"{aside}{side}") for side in ("", *SIDE_FILES)):
            break
        number += 1
    for side in ("", *SIDE_FILES):
        if os.path.lexists(f"{path}{side}"):
            os.rename(f"{path}{side}", f"{aside}{side}")
    sync_folder(path.parent)
    return aside
