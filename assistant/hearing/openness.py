"""How open the sentence said so far still is: decides how long a silence must be to end it."""

from __future__ import annotations

from enum import Enum

from assistant.grammar import KINDS, Meaning, NoMatch, Standing


class Openness(Enum):
    """From the sentence nothing can follow to the one that has hardly begun."""

    CLOSED = "closed"
    """Nothing may follow."""
    UNIT = "unit"
    """A number whose unit may follow; the unit is taken in as a late tail if it comes later still."""
    PHRASE = "phrase"
    """A whole sentence; what may follow is said in the same breath or not at all ("yes", "that is
    right"; "four litres", "in all")."""
    DECIMAL = "decimal"
    """A number with decimals; another digit would change it."""
    NUMBER = "number"
    """A whole number without its unit; what may follow, but seldom does, is taken in as a late tail
    ("drained forty", "five point two litres")."""
    GROWING = "growing"
    """A number said digit by digit that is hardly whole yet: "torque three", "clock reads eight four two
    one", a bare "six"."""
    INCOMPLETE = "incomplete"
    """No sentence yet."""
    UNKNOWN = "unknown"
    """Outside the grammar, or no word at all."""


def openness(standing: Standing, meaning: Meaning | NoMatch, awaiting: tuple[str, ...] = ()) -> Openness:
    """Return how open words are that stand so in the grammar and mean this, while kinds are awaited."""
    if standing is Standing.IMPOSSIBLE:
        return Openness.UNKNOWN
    if standing is Standing.INCOMPLETE:
        return Openness.INCOMPLETE
    if standing is Standing.CLOSED:
        return Openness.CLOSED
    if isinstance(meaning, NoMatch) or not _number_is_open(meaning):
        return Openness.PHRASE
    if standing is Standing.UNIT_MAY_FOLLOW:
        return Openness.UNIT
    if "." in (meaning.value or ""):
        return Openness.DECIMAL
    return Openness.GROWING if _in_digits(meaning, awaiting) else Openness.NUMBER


IN_DIGITS = frozenset({"torque", "temperature"})
"""Kinds said digit by digit, nearly always two."""
_LONG = "distance"
"""The kind that is a long string of digits, said in groups."""


def _in_digits(meaning: Meaning, awaiting: tuple[str, ...]) -> bool:
    if meaning.kind == "number":  # of whatever was asked for
        return not awaiting or any(kind in IN_DIGITS or kind == _LONG for kind in awaiting)
    return meaning.kind == _LONG or (meaning.kind in IN_DIGITS and len(meaning.value or "") == 1)


def _number_is_open(meaning: Meaning) -> bool:
    kind = KINDS[meaning.kind]
    return meaning.value is not None and meaning.unit is None and (bool(kind.units) or kind.count)
