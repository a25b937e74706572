"""A level reading as a signed volume: what the unit holds above (+) or below (-) the full mark."""

from __future__ import annotations

from assistant.job.reading import Reading
from assistant.job.sheet import Sheet
from assistant.reckoning import level
from assistant.units import Measure, kind_of, measured

LOW_PLACES, HIGH_PLACES = ("below", "off-low"), ("above", "off-high")


def offset(reading: Reading, sheet: Sheet) -> Measure | None:
    """Return the signed volume a level reading means, or None where the sheet lacks the marks' span.

    "On the mark" is right as it is; between the marks without a share of the way is taken as right, too;
    a share is measured down from the full mark; off the stick has no figure.
    """
    place = reading.slots.get("place", "")
    measure, share = reading.measure, reading.slots.get("share")
    if measure is not None and kind_of(measure.unit) == "volume":
        sign = -1 if place in LOW_PLACES else 1
        return measured(sign * measure.exact, measure.unit)
    if measure is None and not share:
        return measured(0, "litre") if place in ("at", "between") else None
    span, length = sheet.figure("span"), sheet.figure("span-length")
    if span is None or (measure is not None and length is None):
        return None
    figure = level.offset(
        place=place,
        span_litres=span,
        amount=measure,
        mark=reading.slots.get("mark", "full"),
        share=share,
        span_mm=length,
    )
    return figure.value
