"""One thing found out about a part of this computer, with its cure where it is to be mended."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Figure = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found of a part; nothing is to be mended where there is no cure."""

    part: str
    """What was looked at: settings, folders, journal, model, voice, loudspeaker, microphone, echo."""
    found: str
    """What was found, in plain words."""
    cure: str = ""
    """What to do about it."""
    figures: Mapping[str, Figure] = field(default_factory=dict)
    """What was measured, for programs."""

    @property
    def sound(self) -> bool:
        """Whether nothing is to be mended."""
        return not self.cure

    def as_table(self) -> dict[str, object]:
        """Return it as plain values."""
        return {
            "part": self.part, "sound": self.sound, "found": self.found, "cure": self.cure,
            "figures": dict(self.figures),
        }  # fmt: skip
