"""Parts and spills: amounts with what is known about them, brought to one temperature and summed.

A part counts at the temperature it had when measured: its volume times F(t) / F(pour), F the oil factor
of `expansion`; a part of unknown temperature is taken as it is, to 2.5 % (0.00078 per °C over some
30 °C). Volumes 0 to 200 L, temperatures -18 to 150 °C; raises WrongInput naming the key.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from uncertainties import ufloat

from assistant.reckoning.expansion import litres, oil_factor
from assistant.reckoning.figure import Inputs
from assistant.reckoning.given import read
from assistant.units import Measure, Quantity

Part = tuple[Measure, Measure | None]
"""An amount and the temperature it had when it was measured (None: not known)."""
Spill = tuple[Measure, bool]
"""An amount and whether it was only 'about'."""

_UNCORRECTED = ufloat(1.0, 0.025)


def spilled_total(key: str, amounts: Sequence[Spill]) -> Quantity:
    """Return the sum of spilled amounts in litres with their doubt."""
    total = litres(0.0)
    for amount, about in amounts:
        total = total + read(key, amount, "litre", "0", "200", about=about, share=None if about else 0.10)
    return total


def at_pour(key: str, parts: Sequence[Part], density: Quantity, pour: Quantity) -> tuple[Quantity, bool]:
    """Return the sum of parts at the pouring temperature, and whether every temperature was known."""
    into: Any = oil_factor(density, pour, "pour-at")
    total, known = litres(0.0), True
    for amount, temperature in parts:
        volume = read(key, amount, "litre", "0", "200")
        if temperature is None:
            total, known = total + volume * _UNCORRECTED, False
            continue
        warm = read("at", temperature, "celsius", "-18", "150")
        total = total + volume * oil_factor(density, warm, "at") / into
    return total, known


def parts_told(key: str, parts: Sequence[Part]) -> Inputs:
    """Return the input lines of parts: each amount, followed by its temperature where known."""
    lines: list[tuple[str, str]] = []
    for amount, warm in parts:
        lines.append((key, str(amount)))
        if warm is not None:
            lines.append(("at", str(warm)))
    return tuple(lines)


def spills_told(key: str, spills: Sequence[Spill]) -> Inputs:
    """Return one input line per spill."""
    return tuple((key, f"about {amount}" if about else f"{amount}") for amount, about in spills)
