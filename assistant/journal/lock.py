"""One writer per journal: a lock on a file beside it, held while the process lives, gone with it."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from assistant.journal.store import InUse

if sys.platform == "win32":
    import msvcrt

    def _seize(handle: int) -> None:
        """Lock a byte far behind the text, so that others can still read who holds it."""
        os.lseek(handle, 1 << 20, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        os.lseek(handle, 0, os.SEEK_SET)

else:
    import fcntl

    def _seize(handle: int) -> None:
        """Lock the whole file; the kernel lets go when the process ends, however it ends."""
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class WriterLock:
    """The lock of the journal `path`, in the file `path`.lock; raises `InUse` when another holds it."""

    def __init__(self, path: Path) -> None:
        place = lock_file(path)
        self._handle: int | None = os.open(place, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _seize(self._handle)
        except (BlockingIOError, PermissionError) as error:
            holder = os.read(self._handle, 20).decode("ascii", "replace").strip() or "unknown"
            self.release()
            raise InUse(
                f"{path}: another assistant (process {holder}) is writing to this journal; "
                "end that one first, or name another journal"
            ) from error
        except OSError:
            self.release()
            raise
        with suppress(OSError):  # on a full disk the lock holds all the same, only its holder has no name
            os.ftruncate(self._handle, 0)
            os.write(self._handle, f"{os.getpid()}\n".encode("ascii"))

    def release(self) -> None:
        """Let go; the file stays, so that the next one locks the same."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


def lock_file(path: Path) -> Path:
    """Return the lock file of the journal `path`; it tells that this program once owned the journal."""
    return path.with_name(path.name + ".lock")


def writer_alive(path: Path) -> bool:
    """Say whether the program that wrote last to the journal `path` still runs, without locking anything.

    Told by the process in the lock file; where that cannot be told the answer is yes.
    """
    try:
        process = int(lock_file(path).read_text("ascii"))
    except (OSError, ValueError):
        return True
    if sys.platform == "win32" or process <= 0:
        return True
    try:
        os.kill(process, 0)  # signal 0 only asks
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True  # another user's, or no number of a process
    with suppress(OSError):  # one that ended and was not yet collected by its parent
        state = Path(f"/proc/{process}/stat").read_text("ascii", "replace").rpartition(")")[2].split()
        return state[:1] not in (["Z"], ["X"])
    return True
