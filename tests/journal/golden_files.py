"""Makes the golden journal of the present version: one event of every kind, in SQLite and as JSON lines.

Run as `python -m tests.journal.golden_files` once for each version of the tables or of an event, before
its first release; golden files of earlier versions stay as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import get_type_hints

from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.journal import open_journal
from assistant.journal.codec import event_classes
from assistant.journal.export import to_lines
from assistant.journal.sql import STORE_SCHEMA
from tests.journal.facts import AT

FOLDER = Path(__file__).parent / "golden"
JOB = "01K9HF1Q000000000000000000"


def example(cls: type[Event], place: int) -> Event:
    """Return an event with a telling value in every field, made from the types of the fields."""
    plain: Mapping[str, object] = {
        "list": ["2.5", None, True, 7],
        "table": {"unit": "litre"},
        "text": 'é " \n',
    }
    values: dict[str, object] = {}
    for number, (name, hint) in enumerate(get_type_hints(cls).items()):
        written = str(hint)
        if hint is Instant:
            values[name] = AT.later(1000 * place)
        elif hint == Mapping[str, object]:
            values[name] = plain
        elif "Mapping" in written:
            values[name] = {"key": name}
        elif "tuple[tuple[str, str]" in written:
            values[name] = (("form", "part"), ("where", name))
        elif "tuple" in written:
            values[name] = (name, "second")
        elif "bool" in written:
            values[name] = True
        elif "int" in written:
            values[name] = 10 * place + number
        else:
            values[name] = f"{number}.{place}" if name.endswith("value") else f"{name} of {cls.__name__}"
    return cls(**values)  # type: ignore[arg-type]


def make() -> None:
    """Write both files; an existing one is not overwritten."""
    path = FOLDER / f"schema-{STORE_SCHEMA}.sqlite"
    if path.exists():
        raise SystemExit(f"{path} exists; a released golden file is never made anew")
    with open_journal(path, AT) as journal:
        journal.append(JOB, [example(cls, place) for place, cls in enumerate(event_classes().values(), 1)])
        lines = list(to_lines(journal))
    path.with_suffix(".jsonl").write_text("".join(f"{line}\n" for line in lines), encoding="ascii")
    path.with_name(path.name + ".lock").unlink()


if __name__ == "__main__":
    make()
