"""The profile of a person: a small TOML file for each, made by `assistant enrol`.

gain_db = 6.5        # gain of the microphone for this voice, 0 to 24
pause_factor = 1.25  # how much longer than usual a pause may be, 1 to 3
sure = 0.97          # what is taken at once must be at least so sure, 0 to 0.99
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass, fields
from decimal import Decimal
from pathlib import Path

from assistant.errors import BadFile, WrongInput
from assistant.shelf.durable import write_text
from assistant.shelf.toml import line_of, read_toml

LIMITS = {
    "gain_db": (Decimal(0), Decimal(24)),
    "pause_factor": (Decimal(1), Decimal(3)),
    "sure": (Decimal(0), Decimal("0.99")),
}
"""Key -> least and greatest value: a profile may only make the ear stricter, louder and more patient."""


@dataclass(frozen=True, slots=True)
class PersonProfile:
    """The figures of the file."""

    gain_db: Decimal = Decimal(0)
    pause_factor: Decimal = Decimal(1)
    sure: Decimal = Decimal(0)


def profile_path(folder: Path, who: str) -> Path:
    """Return the file of a person; raises `WrongInput` for a name without a letter or digit."""
    stem = re.sub(r"[^\w]+", "-", who.strip().casefold()).strip("-_")
    if not stem:
        raise WrongInput(f"{who!r} is no name: give letters or digits")
    return folder / f"{stem}.toml"


def read_profile(path: Path) -> PersonProfile:
    """Return the profile of a file; that of anybody where there is none.

    Raises `BadFile` with line and cure for an unknown key or a value outside its limits.
    """
    if not os.path.lexists(path):
        return PersonProfile()
    tables, text = read_toml(path)
    known = [one.name for one in fields(PersonProfile)]
    given: dict[str, Decimal] = {}
    for key, value in tables.items():
        if key not in known:
            cure = f"a profile has {', '.join(known)}"
            raise BadFile(str(path), f"unknown key {key!r}", line=line_of(text, key), cure=cure)
        low, high = LIMITS[key]
        number = Decimal(str(value)) if type(value) in (int, Decimal) else Decimal("NaN")
        if not (number.is_finite() and low <= number <= high):
            why = f"{key} = {value!r} is not allowed"
            raise BadFile(
                str(path), why, line=line_of(text, key), cure=f"{key} is a number from {low} to {high}"
            )
        given[key] = number
    return PersonProfile(**given)


def write_profile(path: Path, profile: PersonProfile) -> None:
    """Write a profile durably in the place of an older one; `OSError` when that cannot be done."""
    text = "".join(f"{one.name} = {getattr(profile, one.name)}\n" for one in fields(profile))
    write_text(path, text)
