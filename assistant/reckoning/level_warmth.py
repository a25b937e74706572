"""Level and warmth: how far the level moves between temperatures, and what it should read at one of them.

Movement = V (F(at) / F(to) - 1), F the oil factor of `expansion`; in mm times span mm / span litres.
Volumes up to 200 L, temperatures -18 to 150 °C, vertical walls. Raises WrongInput naming the key.
Source: the 54D form of `expansion` and geometry; spans and windows come from the vehicle's data.
"""

from __future__ import annotations

from assistant.reckoning.expansion import density_or_assumed, oil_factor
from assistant.reckoning.figure import Also, Figure, Formula, Inputs, figure_of, told
from assistant.reckoning.given import exact, read
from assistant.units import Measure

SHIFT = Formula(
    "V (F(at) / F(to) - 1), in mm * span mm / span litres",
    "oil, -18 to 150 °C, vertical walls",
    "petroleum measurement table 54D form, geometry",
)
_Warmth = tuple[str, Measure]
"""The key a temperature was given under, and the temperature."""


def shift(
    *,
    volume: Measure,
    at: Measure,
    to: Measure,
    span_litres: Measure | None = None,
    span_mm: Measure | None = None,
    density15: Measure | None = None,
) -> Figure:
    """Return how the level moves when `volume` goes from `at` to `to`: mm with both spans, else litres.

    So a stick that should read full at `to` should read this much lower at `at`. `also`: 'volume'.
    """
    inputs = told(volume=volume, at=at, to=to, span_litres=span_litres, span_mm=span_mm, density15=density15)
    return _moved("level-shift", volume, ("at", at), ("to", to), span_litres, span_mm, density15, inputs)


def should_read(
    *,
    temperature: Measure,
    full_at: Measure,
    volume: Measure,
    span_litres: Measure | None = None,
    span_mm: Measure | None = None,
    density15: Measure | None = None,
) -> Figure:
    """Return what the level should read at `temperature`, from the mark that is full at `full_at`.

    Negative is below that mark: mm with both spans, else litres. `volume` is what the unit holds when
    full at `full_at`. Between a COLD and a HOT mark this is the way from one to the other.
    """
    inputs = told(
        temperature=temperature,
        full_at=full_at,
        volume=volume,
        span_litres=span_litres,
        span_mm=span_mm,
        density15=density15,
    )
    warm, other = ("full_at", full_at), ("temperature", temperature)
    return _moved("level-should-read", volume, warm, other, span_litres, span_mm, density15, inputs)


def _moved(
    name: str,
    volume: Measure,
    at: _Warmth,
    to: _Warmth,
    span_litres: Measure | None,
    span_mm: Measure | None,
    density15: Measure | None,
    inputs: Inputs,
) -> Figure:
    """Return the movement of the level as the figure `name`."""
    density, notes = density_or_assumed(density15)
    amount = exact("volume", volume, "litre", "0", "200", above=True)
    before, after = (
        oil_factor(density, read(key, warm, "celsius", "-18", "150"), key.replace("_", "-"))
        for key, warm in (at, to)
    )
    change = amount * (before / after - 1)
    in_litres = figure_of(name, change, "litre", inputs=inputs, by=SHIFT, notes=notes)
    if span_litres is None or span_mm is None:
        return in_litres
    span = exact("span_litres", span_litres, "litre", "0.05", "20")
    rise = change / span * exact("span_mm", span_mm, "millimetre", "1", "200")
    also: Also = (("volume", in_litres.value),)
    return figure_of(name, rise, "millimetre", inputs=inputs, by=SHIFT, notes=notes, also=also)
