"""A digest over the states that journals come to: `python -m tests.journal.fold_hash FILE...` prints them.

Another Python runs it with the libraries of this one: only what is written in Python alone may be imported.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path

from assistant.job.events import Event
from assistant.job.state import State, fold
from assistant.journal import read_journal

EVERY = 30
"""States on the way are in the digest, too, one behind every so many events."""


def mark(state: State) -> str:
    """Return a digest over all of a state."""
    return hashlib.sha256(json.dumps(_plain(state), sort_keys=True).encode()).hexdigest()


def _plain(value: object) -> object:
    """Return a value as JSON has it: the order of a mapping or a set says nothing."""
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {repr(key): _plain(held) for key, held in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(map(repr, value))
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return repr(value)


def over(history: Sequence[Event]) -> str:
    """Return a digest over the states of a job, from its beginning to its end."""
    lengths = [*range(1, len(history), EVERY), len(history)]
    return hashlib.sha256("".join(mark(fold(history[:one])) for one in lengths).encode()).hexdigest()


def hashes(journals: Sequence[Path]) -> dict[str, str]:
    """Return the digest of each job of journals in SQLite."""
    found = {}
    for path in journals:
        with read_journal(path) as journal:
            for row in journal.jobs():
                found[f"{path.name}: {row.id}"] = over(journal.read(row.id))
    return found


if __name__ == "__main__":
    json.dump(hashes([Path(name) for name in sys.argv[1:]]), sys.stdout)
