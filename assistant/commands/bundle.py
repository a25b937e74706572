"""`assistant bundle FILE`: what somebody needs who is asked for help, in one file, without sound.

Versions, places, devices, settings without names and passwords, and the last jobs without words: what
was noted, heard and named is blotted out, kinds, figures and times stay.
"""

from __future__ import annotations

import argparse
import importlib.metadata
import json
import platform
import re
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from assistant.commands import house
from assistant.errors import AssistantError
from assistant.journal.archive import write_archive
from assistant.journal.export import line_of
from assistant.journal.open import read_journal
from assistant.journal.store import Kept
from assistant.shelf.places import all_places
from assistant.timekeeping.clock import SystemClock

JOBS = 3
"""How many of the newest jobs go in."""
BLOTTED = frozenset({"who", "to", "words", "clip", "microphone", "server", "journal", "model"})
"""Fields whose text is about persons, sound or places of this computer."""
BLOT = "***"
PERSONAL_KINDS = ("plate",)
"""Readings that tell whose vehicle it is."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("bundle", help="gather what a helper needs, without sound and words")
    parser.add_argument("file", type=Path, help="a new file")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.add_argument("--with-log", metavar="FILE", type=Path, help="a log that --log wrote")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Gather, write, and say what is inside."""
    to = arguments.file.expanduser().absolute()
    with tempfile.TemporaryDirectory(prefix="bundle") as folder:
        place = Path(folder)
        (place / "about.json").write_text(json.dumps(_about(), indent=2, default=str) + "\n", "utf-8")
        (place / "jobs.jsonl").write_text("".join(f"{line}\n" for line in _jobs(arguments.journal)), "utf-8")
        files = [(name, place / name) for name in ("about.json", "jobs.jsonl")]
        if arguments.with_log is not None:
            files.append(("log.jsonl", arguments.with_log))
        now = datetime.fromtimestamp(SystemClock().now().utc_ms / 1000, UTC)
        archive = write_archive(to, files, {"made": now.isoformat(timespec="seconds"), **house.VERSIONS})
    print(f"{to}: {', '.join(archive.entries)}; no sound, no names, no words of notes")
    return 0


def _about() -> dict[str, object]:
    """Return versions, places, devices and settings; a part that cannot be asked says why."""
    about: dict[str, object] = {
        "versions": house.VERSIONS,
        "python": platform.python_version(),
        "system": platform.platform(),
        "parts": dict(_parts()),
        "places": {name: _kind(path) for name, path in all_places().items()},
    }
    try:
        about["settings"] = {
            key: BLOT if key in BLOTTED and text else text
            for key, text in house.settings().as_texts().items()
        }
    except AssistantError as trouble:
        about["settings"] = f"cannot be read: {type(trouble).__name__}"
    about["devices"] = _devices()
    return about


def _parts() -> Iterator[tuple[str, str]]:
    """Yield the parts this program needs, with the versions that are installed."""
    try:
        requirements = importlib.metadata.requires("assistant") or []
    except importlib.metadata.PackageNotFoundError:  # run from its sources
        requirements = ["vosk", "sounddevice", "soundfile", "numpy", "sqlalchemy", "pyttsx3"]
    for wanted in requirements:
        name = re.split(r"[\[<>=;~! ]", wanted)[0]
        try:
            yield name, importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            yield name, "absent"


def _kind(path: Path) -> str:
    """Return what lies at a place, without its name."""
    try:
        if path.is_dir():
            return f"folder, {sum(1 for _ in path.iterdir())} entries"
        return f"file, {path.stat().st_size} bytes" if path.exists() else "absent"
    except OSError as trouble:
        return str(trouble.strerror)


def _devices() -> object:
    """Return the sound devices by their numbers of channels and rates."""
    try:
        import sounddevice

        return [
            {key: one[key] for key in ("max_input_channels", "max_output_channels", "default_samplerate")}
            for one in sounddevice.query_devices()
        ]
    except Exception as trouble:  # no library, no sound server: whatever it is, it is what helps
        return f"{type(trouble).__name__}: {trouble}"


def _jobs(given: str | None) -> Iterator[str]:
    """Yield the events of the newest jobs as export lines, blotted; one line where they cannot be read."""
    try:
        with read_journal(house.journal_place(given, house.settings())) as journal:
            for job in journal.work()[-JOBS:]:
                yield from (line_of(blotted(row)) for row in journal.kept(job.id))
    except AssistantError as trouble:
        yield json.dumps({"unreadable": type(trouble).__name__})


def blotted(row: Kept) -> Kept:
    """Return an event in which words, names and sound are blotted out."""
    tree = _blot(json.loads(row.body))
    if isinstance(tree, dict) and tree.get("kind") in PERSONAL_KINDS:
        tree |= {"value": BLOT, "slots": BLOT}
    return row._replace(body=json.dumps(tree, sort_keys=True))


def _blot(value: object) -> object:
    if isinstance(value, dict):
        return {
            key: BLOT if key in BLOTTED and isinstance(held, str) and held else _blot(held)
            for key, held in value.items()
        }
    return [_blot(one) for one in value] if isinstance(value, list) else value
