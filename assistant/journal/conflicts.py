"""Events the server has otherwise: both versions, as JSON lines, in a file beside the journal."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path

from assistant.journal.disk import sync_folder
from assistant.journal.store import Kept


class Conflicts:
    """What was set aside; read again at each start, so that each conflict is told once."""

    def __init__(self, journal: Path) -> None:
        self.path = journal.with_name(f"{journal.name}.conflicts.jsonl")
        self._first: dict[str, int] = {}
        with suppress(OSError):
            for line in self.path.read_text("utf-8", "replace").splitlines():
                with suppress(ValueError, LookupError, TypeError):
                    ours = json.loads(line)["ours"]
                    self._bar(str(ours["job"]), int(ours["seq"]))

    def bar(self, row: Kept) -> bool:
        """Return whether an event is one of those, or follows one in its job."""
        return row.seq >= self._first.get(row.job, row.seq + 1)

    def set_aside(self, ours: Kept, theirs: Kept) -> bool:
        """Keep both durably; return false for one that is kept already. The job goes on if that fails."""
        if self.bar(ours):
            return False
        self._bar(ours.job, ours.seq)
        line = json.dumps({"ours": ours._asdict(), "theirs": theirs._asdict()}, sort_keys=True)
        with suppress(OSError), self.path.open("a", encoding="utf-8") as file:
            file.write(f"{line}\n")
            file.flush()
            os.fsync(file.fileno())
            sync_folder(self.path.parent)
        return True

    def _bar(self, job: str, seq: int) -> None:
        self._first[job] = min(seq, self._first.get(job, seq))
