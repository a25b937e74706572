"""Which unit a number has: as said, else the one this job settled before, else the sheet's."""

from __future__ import annotations

from assistant.dialogue.reply import Turn
from assistant.job.reading import Reading
from assistant.units import kind_of, settled
from assistant.units.table import UNIT_TABLE

VOLUMES = ("drained", "poured", "can-left", "spilled")
QUANTITY = {
    **dict.fromkeys(VOLUMES, "volume"),
    "temperature": "temperature",
    "torque": "torque",
    "drip": "duration",
    "distance": "distance",
    "share": "share",
}
"""The quantity of each kind of reading that carries a number with a unit."""


def default_unit(turn: Turn, quantity: str) -> str | None:
    """Return the unit this job uses for a kind of quantity: the last one said, else the sheet's."""
    if quantity == "duration":
        return "second"
    said = [
        one.unit
        for one in sorted(turn.state.readings.values(), key=lambda one: -one.id)
        if one.unit and settled(one.unit) and kind_of(one.unit) == quantity and not one.withdrawn
    ]
    in_sheet = [one.unit for one in turn.state.sheet.figures.values() if kind_of(one.unit) == quantity]
    return next(iter((*said, *in_sheet)), None)


def settled_unit(turn: Turn, kind: str, unit: str | None) -> str | None:
    """Return the unit to believe: as said; for a bare quart or degree the one this job settled before."""
    known = default_unit(turn, QUANTITY.get(kind, ""))
    if unit is None:
        return known
    if settled(unit):
        return unit
    if unit == "degree":
        return known or unit
    return known if known is not None and known.endswith(f"_{unit}") else _as_before(turn, unit)


def _as_before(turn: Turn, unit: str) -> str:
    """Return a bare quart, pint, gallon or ounce in the system (US or imperial) this job settled last."""
    for one in sorted(turn.state.readings.values(), key=lambda one: -one.id):
        system = (one.unit or "").partition("_")[0]
        if system in ("us", "imperial") and not one.withdrawn:
            return f"{system}_{unit}"
    return unit


def fits(reading: Reading, unit: str | None) -> bool:
    """Say whether a unit settles an open one: itself settled, and of the reading's kind of quantity."""
    quantity = QUANTITY.get(reading.kind)
    return unit is not None and unit in UNIT_TABLE and settled(unit) and kind_of(unit) == quantity
