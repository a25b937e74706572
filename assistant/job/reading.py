"""A reading as the state holds it, and how grave a mistake in it would be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.job.instant import Instant
from assistant.units import Measure, settled

LOW, MEDIUM, HIGH = "low", "medium", "high"

CONSEQUENCE: Mapping[str, str] = {
    "drained": MEDIUM,
    "poured": MEDIUM,
    "can-left": MEDIUM,
    "spilled": MEDIUM,
    "temperature": MEDIUM,
    "temperature-band": MEDIUM,
    "level": MEDIUM,
    "torque": HIGH,
    "drip": LOW,
    "drip-state": LOW,
    "look": MEDIUM,
    "magnet": MEDIUM,
    "washer": MEDIUM,
    "gasket": MEDIUM,
    "share": MEDIUM,
    "distance": LOW,
    "plate": MEDIUM,
}
"""low: read back and it stands; medium: read back, can be corrected for the rest of the job; high: a yes."""


NEVER = Instant(0, "", 0)


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading: what was said, where, and whether it stands."""

    id: int
    kind: str
    value: str | None
    unit: str | None
    slots: Mapping[str, str] = field(default_factory=dict)
    step: str = ""
    at: Instant = NEVER
    consequence: str = MEDIUM
    standing: bool = False
    withdrawn: bool = False
    doubtful: bool = False
    replaces: int | None = None
    words: str = ""
    of: str = ""
    """The unit it is of, where a job has several."""
    round: int = 1
    """Which round of a repeated change it belongs to."""

    @property
    def measure(self) -> Measure | None:
        """Return value and unit together, or None where either is still open."""
        return Measure(self.value, self.unit) if self.value is not None and self.unit else None

    @property
    def counts(self) -> bool:
        """Say whether the balance may use it: not withdrawn, its unit and form settled."""
        return (
            not self.withdrawn
            and self.slots.get("form") != "open"
            and (self.unit is None or settled(self.unit))
        )
