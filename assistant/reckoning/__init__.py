"""Reckoning: what the readings mean, one module per computation, each with formula, range and source.

Takes measures as they were spoken, gives a `Figure` (value, doubt, inputs, formula, range, source, notes)
or a `Verdict`; inside, quantities of the one registry whose magnitudes carry their uncertainty. Pure:
no clock, no file, no wording. `catalogue` lists every computation with its keys.
"""

from assistant.reckoning.figure import NOTES, Figure, Formula, Verdict

__all__ = ["NOTES", "Figure", "Formula", "Verdict"]
