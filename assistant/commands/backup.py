"""`assistant backup FILE` and `assistant restore FILE`: the record and all that is one's own in one file."""

from __future__ import annotations

import argparse
import hashlib
import tempfile
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from assistant.commands import house
from assistant.commands.progress import Step, counted, working
from assistant.errors import BadFile, NotSaved, WrongInput
from assistant.journal.archive import Archive, read_archive, write_archive
from assistant.journal.backup import check_journal, copy_journal, put_back
from assistant.journal.disk import make_folder
from assistant.shelf.places import (
    own_grammars_folder,
    own_procedures_folder,
    profiles_folder,
    settings_file,
    vehicles_folder,
)
from assistant.shelf.procedure_file import SHARED
from assistant.timekeeping.clock import SystemClock

JOURNAL, SETTINGS, CLIPS = "journal.sqlite", "settings.toml", "clips"
OWN: Mapping[str, Callable[[], Path]] = {
    "vehicles": vehicles_folder,
    "profiles": profiles_folder,
    "grammars": own_grammars_folder,
    "procedures": own_procedures_folder,
    f"procedures/{SHARED}": lambda: own_procedures_folder() / SHARED,
}
"""Folders of files that people write or the program writes for them, by their name in a backup."""
SUFFIXES = (".toml", ".jsgf")


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register both commands."""
    backup = subparsers.add_parser("backup", help="put the whole record into one file")
    backup.add_argument("file", type=Path, help="a new file, best on another disk")
    backup.add_argument("--journal", metavar="FILE", help="where the record is")
    backup.set_defaults(run=run_backup)
    restore = subparsers.add_parser("restore", help="put a backup back")
    restore.add_argument("file", type=Path, help="the file that backup made")
    restore.add_argument("--journal", metavar="FILE", help="where the record is to be")
    restore.add_argument("--set-aside", action="store_true", help="rename a journal that is there already")
    restore.add_argument("--check", action="store_true", help="only verify the file")
    restore.set_defaults(run=run_restore)


def _journal_file(given: str | None) -> Path:
    where = house.journal_place(given, house.settings())
    if "://" in where:
        raise WrongInput("this journal is on a server, which has its own way of backing up; name a file")
    return Path(where).expanduser().absolute()


def _files(clips: Path) -> Iterator[tuple[str, Path]]:
    """Yield what lies beside the journal: sound, sheets, profiles, own procedures, settings."""
    for path in sorted(clips.glob("*/*")) if clips.is_dir() else ():
        if path.suffix in (".flac", ".wav") and path.is_file() and not path.is_symlink():
            yield f"{CLIPS}/{path.parent.name}/{path.name}", path
    for name, folder_of in OWN.items():
        folder = folder_of()
        for path in sorted(folder.glob("*.*")) if folder.is_dir() else ():
            if path.suffix in SUFFIXES:
                yield f"{name}/{path.name}", path
    if settings_file().is_file():
        yield SETTINGS, settings_file()


def run_backup(arguments: argparse.Namespace) -> int:
    """Copy the journal as it stands, pack it with the rest, verify the file, name it."""
    journal = _journal_file(arguments.journal)
    to = arguments.file.expanduser().absolute()
    now = datetime.fromtimestamp(SystemClock().now().utc_ms / 1000, UTC)
    with tempfile.TemporaryDirectory(prefix="backup") as folder, working("Packing and verifying") as step:
        copy = Path(folder) / JOURNAL
        count = copy_journal(journal, copy)
        about = {"made": now.isoformat(timespec="seconds"), "events": str(count), **house.VERSIONS}
        files = [(JOURNAL, copy), *_files(house.clips_place(str(journal)))]
        archive = write_archive(to, counted(files, len(files), step), about)
    sounds = sum(name.startswith(f"{CLIPS}/") for name in archive.entries)
    print(f"{to}: {count} events, {sounds} sound files, verified")
    print(f"sha256 {_digest(to)}")
    if (left := len(files) - len(archive.entries)) > 0:
        print(f"({left} files with unusual names, or removed meanwhile, are not in it)")
    return 0


def run_restore(arguments: argparse.Namespace) -> int:
    """Verify all of the file before anything is touched, then put it back; nothing is overwritten."""
    with working("Verifying"):
        archive = read_archive(arguments.file)
    if JOURNAL not in archive.entries:
        raise BadFile(str(arguments.file), "it holds no journal")
    if arguments.check:
        with tempfile.TemporaryDirectory(prefix="restore") as folder:
            archive.extract(JOURNAL, Path(folder) / JOURNAL)
            count = check_journal(Path(folder) / JOURNAL)
        print(f"{arguments.file}: {count} events, made {archive.about.get('made', '')}, verified")
        return 0
    journal = _journal_file(arguments.journal)
    try:
        with working("Putting back") as step:
            count, aside, left = _put_all_back(archive, journal, arguments.set_aside, step)
    except OSError as trouble:
        if isinstance(trouble, NotSaved):
            raise
        raise NotSaved(
            f"{journal}: {trouble.strerror or trouble}; the journal was left as it was"
        ) from trouble
    print(f"{journal}: {count} events are back")
    if aside is not None:
        print(f"(the former journal is kept as {aside})")
    for name in left:
        print(f"(left as it is, because another one is there: {name})")
    return 0


def _put_all_back(
    archive: Archive, journal: Path, aside: bool, step: Step
) -> tuple[int, Path | None, list[str]]:
    """Write the rest first and the journal last, so that a restore that was cut off can be done again."""
    make_folder(journal.parent)
    beside = journal.with_name(f".{journal.name}.restore")
    archive.extract(JOURNAL, beside)
    count = check_journal(beside)
    if journal.exists() and not aside:
        beside.unlink()
        raise BadFile(str(journal), "there is a journal, and it is not overwritten", cure="--set-aside")
    left = []
    for name, entry in counted(archive.entries.items(), len(archive.entries), step):
        to = _place(name, journal)
        if to is None:
            continue
        if not to.exists():
            make_folder(to.parent)
            archive.extract(name, to)
        elif _digest(to) != entry.sha256:
            left.append(str(to))
    return count, put_back(beside, journal, SystemClock().now(), aside), left


def _place(name: str, journal: Path) -> Path | None:
    """Return where an entry belongs, None for the journal itself and for what a later program added."""
    head, _, rest = name.partition("/")
    if head == CLIPS and rest.count("/") == 1 and rest.endswith((".flac", ".wav")):
        return house.clips_place(str(journal)) / rest
    folder, _, file = name.rpartition("/")
    if folder in OWN and file.endswith(SUFFIXES):
        return OWN[folder]() / file
    return settings_file() if name == SETTINGS else None


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
