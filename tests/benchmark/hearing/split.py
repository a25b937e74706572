"""What may be used for fitting and what is kept for the report, as `split.toml` says."""

from __future__ import annotations

import tomllib
import zlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

SPLITS = ("fitting", "reporting")
_FILE = Path(__file__).parent / "split.toml"


@dataclass(frozen=True, slots=True)
class Split:
    """One side of the division."""

    name: str
    voices: dict[str, tuple[str, str]]
    """Voice -> (program, its name there)."""
    noises: dict[str, tuple[str, ...]]
    """Kind -> noises."""
    fsdd: tuple[str, ...]

    def has(self, person: str) -> bool:
        """Say whether a speaker of a human collection belongs here; FSDD speakers go by name."""
        other = next(one for one in SPLITS if one != self.name)
        if person in self.fsdd or person in split(other).fsdd:
            return person in self.fsdd
        return zlib.crc32(person.encode()) % 2 == SPLITS.index(self.name)


@cache
def split(name: str) -> Split:
    """Return the side called `name`."""
    table = tomllib.loads(_FILE.read_text("utf-8"))[name]
    return Split(
        name=name,
        voices={voice: (one[0], one[1]) for voice, one in table["voices"].items()},
        noises={kind: tuple(files) for kind, files in table["noises"].items()},
        fsdd=tuple(table["people"]["fsdd"]),
    )


@cache
def every_voice() -> dict[str, tuple[str, str]]:
    """Return all voices of both sides."""
    return {**split("fitting").voices, **split("reporting").voices}
