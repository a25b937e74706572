"""Settings, folders and journal: can they be read, written, trusted, and is there room."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from assistant.commands.computer.finding import Finding
from assistant.errors import AssistantError, BadFile
from assistant.journal.backup import check_journal
from assistant.journal.disk import is_networked
from assistant.journal.open import read_journal
from assistant.shelf.places import cache_folder, records_folder, settings_file
from assistant.shelf.settings import Settings, read_settings, without_password

LEAST_FREE = 200_000_000
"""Bytes: the sound of a month of jobs, and room for a backup beside it."""


def check_settings() -> tuple[Settings, Finding]:
    """Return the settings (the defaults where they cannot be read) and what was found of their file."""
    path = settings_file()
    try:
        chosen = read_settings(path)
    except BadFile as trouble:
        place = f"{path}, line {trouble.line}" if trouble.line else str(path)
        cure = trouble.cure or "put it right, or move the file away"
        return Settings(), Finding("settings", f"{place}: {trouble.why}", cure, {"file": str(path)})
    told = f"read from {path}" if path.exists() else f"the defaults hold; there is no {path}"
    return chosen, Finding("settings", told, figures={"file": str(path), "own": path.exists()})


def check_folders() -> Iterator[Finding]:
    """Yield what was found of each folder the program writes into."""
    for name, folder in {
        "records": records_folder(),
        "cache": cache_folder(),
        "settings": settings_file().parent,
    }.items():
        yield _folder(name, folder)


def _folder(name: str, folder: Path) -> Finding:
    standing = next(place for place in (folder, *folder.parents) if place.exists())
    figures = {"name": name, "folder": str(folder)}
    try:
        if not standing.is_dir():
            raise NotADirectoryError(20, "it is no folder")
        with tempfile.TemporaryFile(dir=standing) as trial:
            trial.write(b"written")
            trial.flush()
        free = shutil.disk_usage(standing).free
    except OSError as trouble:
        why = f"{name}: nothing can be written into {standing} ({trouble.strerror or trouble})"
        return Finding(
            "folders", why, f"let this user write there, or name another place ({folder})", figures
        )
    told = f"{name}: {folder} can be written, {free / 1e9:.1f} GB free"
    if is_networked(standing):
        told += "; it lies on a network folder, where writing is slower"
    cure = "" if free >= LEAST_FREE else f"make room: at least {LEAST_FREE // 1_000_000} MB are wanted"
    return Finding("folders", told, cure, {**figures, "free_bytes": free})


def check_records(where: str) -> Finding:
    """Return what was found of the journal `where`: a file whose every event is proved, or a database."""
    shown = without_password(where)
    try:
        if "://" in where:
            with read_journal(where) as journal:
                jobs = len(journal.work())
            return Finding("journal", f"{shown}: {jobs} jobs", figures={"journal": shown, "jobs": jobs})
        path = Path(where).expanduser()
        if not path.exists():
            return Finding("journal", f"none yet; the first job begins {path}", figures={"journal": shown})
        events = check_journal(path)
    except AssistantError as trouble:
        return Finding("journal", str(trouble), _cure(where), {"journal": shown})
    told = f"{shown} is sound, {events} events, each proved by its digest"
    return Finding("journal", told, figures={"journal": shown, "events": events})


def _cure(where: str) -> str:
    if "://" in where:
        return "see that the database runs and may be reached"
    return "the next job sets it aside and saves what can be read; or restore a backup (assistant restore)"
