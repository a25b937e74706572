"""English read-backs: each reading repeated, number and unit, with the sum it makes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.job.reading import Reading
from assistant.phrasing.en.numbers import measure_words, number_words
from assistant.phrasing.en.words import number_of, said, sentence, spelled
from assistant.units import Measure

ORDINALS: Mapping[str, str] = {
    "1": "first", "2": "second", "3": "third", "4": "fourth", "5": "fifth", "6": "sixth",
}  # fmt: skip
BANDS: Mapping[str, str] = {"cold": "cold to the hand", "warm": "warm to the hand", "hot": "too hot to touch"}
DRIPS: Mapping[str, str] = {
    "stopped": "the drip has stopped",
    "drops": "it is still dripping",
    "thin-stream": "a thin stream",
    "stream": "it is still a stream",
}
FINDS: Mapping[str, str] = {
    "clean": "the magnet is clean",
    "fuzz": "fine fuzz on the magnet",
    "flakes": "metal flakes on the magnet",
    "chips": "metal chips on the magnet",
    "brass": "brass flakes in it",
    "none-fitted": "the magnet is missing",
}
WASHERS: Mapping[str, str] = {
    "on-plug": "old washer on the plug",
    "on-pan": "old washer on the pan",
    "missing": "the old washer is missing",
    "new-on": "new washer is on",
}
GASKETS: Mapping[str, str] = {
    "off": "the old gasket is off",
    "stuck": "the gasket is stuck on",
    "missing": "the old gasket is missing",
}
SMELLS: Mapping[str, str] = {"none": "smells normal", "burnt": "smells burnt", "fuel": "smells of fuel"}
SHARES: Mapping[str, str] = {
    "quarter": "a quarter of the way up",
    "half": "half way between the marks",
    "three-quarters": "three quarters of the way up",
}
EDGES: Mapping[str, str] = {"hole": "the edge", "overflow": "the edge"}
"""What a level at an open hole is held against."""
OFF_STICK: Mapping[str, str] = {
    "off-low": "off the bottom of the stick",
    "off-high": "off the top of the stick",
}


def read_back(reading: Reading) -> str:
    """Return a reading in words, without capital and full stop."""
    worder = _BY_KIND.get(reading.kind)
    if worder is not None:
        return worder(reading)
    return _amount(reading)


def sentences_of(reading: Reading, total: Measure | None = None) -> tuple[str, ...]:
    """Return the sentences of a read-back: the reading, marked as a change where it is one, and the sum."""
    words = read_back(reading)
    if total is not None and reading.slots.get("form") == "another":
        words = words.removesuffix(" out").removesuffix(" in")
    spoken = sentence(f"changed, {words}" if reading.replaces is not None else words)
    measure = reading.measure
    if total is None or (measure is not None and total == measure):
        return (spoken,)
    return (spoken, sum_so_far(reading.kind, total, measure))


def sum_so_far(kind: str, total: Measure, like: Measure | None = None) -> str:
    """Return the sentence that says a sum; the unit is left out where it is that of `like`."""
    where = "out" if kind == "drained" else "in"
    return sentence(f"{where} so far, {number_of(total, like)}")


def _quantity(reading: Reading) -> str:
    """Return number and unit as said; a number whose unit is still open stands alone."""
    measure = reading.measure
    if measure is not None:
        return said(measure)
    return number_words(reading.value) if reading.value is not None else ""


def _amount(reading: Reading) -> str:
    slots = reading.slots
    amount = _quantity(reading)
    about = "about " if slots.get("about") == "yes" else ""
    where = {"drained": " out", "poured": " in"}.get(reading.kind, "")
    form = slots.get("form", "")
    if form == "total":
        return f"{about}{amount}{where}, the total"
    if slots.get("can") in ORDINALS:
        return f"{ORDINALS[slots['can']]} can, {about}{amount}{where}"
    return f"{about}{amount} more{where}" if form == "another" else f"{about}{amount}{where}"


def _can_left(reading: Reading) -> str:
    return f"can at {_quantity(reading)}"


def _spilled(reading: Reading) -> str:
    about = "about " if reading.slots.get("about") == "yes" else ""
    return f"spilled {about}{_quantity(reading)}"


def _temperature(reading: Reading) -> str:
    return _quantity(reading)


def _band(reading: Reading) -> str:
    return BANDS.get(reading.slots.get("band", ""), "warmth noted")


def _level(reading: Reading) -> str:
    place, mark = reading.slots.get("place", ""), reading.slots.get("mark", "")
    line = EDGES.get(mark) or (f"the {mark} mark" if mark else "the mark")
    if place in OFF_STICK:
        return OFF_STICK[place]
    if reading.slots.get("share") in SHARES:
        return SHARES[reading.slots["share"]]
    if place == "between":
        return "between the marks"
    side = {"at": "on", "above": "above", "below": "below"}.get(place, "at")
    amount = _quantity(reading)
    return f"{amount} {side} {line}" if amount else f"level {side} {line}"


def _torque(reading: Reading) -> str:
    plug = reading.slots.get("plug", "")
    return f"torque {_quantity(reading)}" + (f", {plug} plug" if plug else "")


def _drip(reading: Reading) -> str:
    return f"a drop every {_quantity(reading)}"


def _look(reading: Reading) -> str:
    slots = reading.slots
    parts = (slots.get("colour", ""), slots.get("state", ""), SMELLS.get(slots.get("smell", ""), ""))
    return " and ".join(part for part in parts if part) or "look noted"


def _plate(reading: Reading) -> str:
    return f"plate reads {spelled(reading.slots.get('code', ''))}"


def _distance(reading: Reading) -> str:
    """A clock is read digit by digit, and so it is repeated."""
    measure = reading.measure
    return (
        measure_words(measure, digits=len(measure.value) > 3) if measure is not None else _quantity(reading)
    )


def _chosen(slot: str, among: Mapping[str, str]) -> Callable[[Reading], str]:
    return lambda reading: among.get(reading.slots.get(slot, ""), "noted")


_BY_KIND: Mapping[str, Callable[[Reading], str]] = {
    "can-left": _can_left,
    "spilled": _spilled,
    "temperature": _temperature,
    "temperature-band": _band,
    "level": _level,
    "torque": _torque,
    "drip": _drip,
    "drip-state": _chosen("state", DRIPS),
    "look": _look,
    "magnet": _chosen("find", FINDS),
    "washer": _chosen("state", WASHERS),
    "gasket": _chosen("state", GASKETS),
    "distance": _distance,
    "plate": _plate,
}
