"""Reckon an advice of the record again: would today's formula say the same?

An advice keeps its inputs by key, so the same computation can be fed them once more. Pure; an advice
whose name or keys are not known today is 'unknown', never an error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.errors import WrongInput
from assistant.reckoning.catalogue import CATALOGUE
from assistant.reckoning.figure import Figure
from assistant.units import Measure, convert, for_speech


@dataclass(frozen=True, slots=True)
class Recheck:
    """What became of it: 'same', 'differs', 'as-spoken' (only unspoken digits differ) or 'unknown'."""

    verdict: str
    now: Measure | None = None
    """Today's figure, in the unit of the old one."""
    formula_changed: bool = False


def recheck(name: str, inputs: Sequence[tuple[str, str]], figure: Measure, formula: str = "") -> Recheck:
    """Return whether the computation `name` gives `figure` for `inputs` today.

    Equal to six digits is the same; equal once rounded for speech is 'as-spoken'.
    """
    try:
        result = CATALOGUE[name].reckon(inputs) if name in CATALOGUE else None
        if not isinstance(result, Figure):
            return Recheck("unknown")
        now = convert(result.value, figure.unit)
    except WrongInput:
        return Recheck("unknown")
    changed = bool(formula) and formula != result.formula
    if abs(now.exact - figure.exact) <= abs(figure.exact) / 1_000_000:
        return Recheck("same", now, changed)
    spoken_alike = for_speech(now) == for_speech(figure)
    return Recheck("as-spoken" if spoken_alike else "differs", now, changed)
