"""The only module that knows folders: packaged data, and the user's cache, records and settings.

Nothing here creates, reads or checks a user folder; a home that is empty, absent or read-only is
found out by whoever writes there, and that part alone degrades.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal, get_args

import platformdirs

from assistant.errors import MissingPart, WrongInput

APP_NAME = "workshop-assistant"
CACHE_VARIABLE = "ASSISTANT_CACHE"
RECORDS_VARIABLE = "ASSISTANT_RECORDS"
SETTINGS_VARIABLE = "ASSISTANT_SETTINGS"

DataName = Literal["grammars", "recordings"]

PACKAGE = Path(__file__).resolve().parent.parent


def data_folder(name: DataName) -> Path:
    """Return the folder of shipped data `name`: inside the installed package, else in the checkout.

    Raises `WrongInput` for a name that is no shipped data, `MissingPart` when neither folder exists.
    """
    if name not in get_args(DataName):
        raise WrongInput(f"no shipped data is called {name!r}; there are {', '.join(get_args(DataName))}")
    for folder in _data_candidates(name):
        if folder.is_dir():
            return folder
    wanted = _data_candidates(name)[0]
    raise MissingPart(f"the folder {wanted} is missing: install the program again, from its whole source")


def _data_candidates(name: str) -> tuple[Path, Path]:
    """Return where data `name` may lie, the packaged place first."""
    return PACKAGE / "_data" / name, PACKAGE.parent / name


def procedures_folder() -> Path:
    """Return the folder of the shipped procedures, one TOML file each."""
    return PACKAGE / "procedures"


def cache_folder() -> Path:
    """Return the folder of what can be made or fetched again: the speech model, compiled grammars."""
    return _user_place(CACHE_VARIABLE, platformdirs.user_cache_path(APP_NAME, appauthor=False))


def records_folder() -> Path:
    """Return the folder of what must not be lost: the journal and its sound clips."""
    return _user_place(RECORDS_VARIABLE, platformdirs.user_data_path(APP_NAME, appauthor=False))


def journal_file() -> Path:
    """Return the journal used when none is named."""
    return records_folder() / "journal.sqlite"


def clips_folder() -> Path:
    """Return the folder of the sound clips of notes and readings."""
    return records_folder() / "clips"


def vehicles_folder() -> Path:
    """Return the folder of the user's vehicle sheets; those in it are offered by number."""
    return records_folder() / "vehicles"


def own_procedures_folder() -> Path:
    """Return the folder of the mechanic's own procedures; in `shared` beside them lie own pieces."""
    return records_folder() / "procedures"


def own_grammars_folder() -> Path:
    """Return the folder of the mechanic's own grammar files, LANGUAGE-ANYTHING.jsgf."""
    return records_folder() / "grammars"


def settings_file() -> Path:
    """Return the settings file; it need not exist."""
    folder = platformdirs.user_config_path(APP_NAME, appauthor=False)
    return _user_place(SETTINGS_VARIABLE, folder / "settings.toml")


def profiles_folder() -> Path:
    """Return the folder of the profiles of persons, beside the settings file."""
    return settings_file().parent / "profiles"


def _user_place(variable: str, default: Path) -> Path:
    """Return the absolute path that an environment variable names, or the default."""
    named = os.environ.get(variable, "").strip()
    if not named:
        return default.absolute()
    try:
        return Path(named).expanduser().absolute()
    except RuntimeError:  # "~name" of a user who does not exist: take it as it is written
        return Path(named).absolute()


def all_places() -> Mapping[str, Path]:
    """Return every folder and file the program uses, by name; one that does not exist is named, too."""
    shipped: dict[str, Path] = {}
    for name in get_args(DataName):
        packaged, checkout = _data_candidates(name)
        shipped[name] = checkout if checkout.is_dir() and not packaged.is_dir() else packaged
    return {
        "procedures": procedures_folder(),
        **shipped,
        "cache": cache_folder(),
        "records": records_folder(),
        "journal": journal_file(),
        "clips": clips_folder(),
        "vehicles": vehicles_folder(),
        "profiles": profiles_folder(),
        "own procedures": own_procedures_folder(),
        "own grammars": own_grammars_folder(),
        "settings": settings_file(),
    }
