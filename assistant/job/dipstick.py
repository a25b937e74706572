"""A level reading as a signed volume: what the unit holds above (+) or below (-) the full mark."""

from __future__ import annotations

from assistant.job.reading import Reading
from assistant.job.sheet import Sheet
from assistant.reckoning import level
from assistant.units import Measure, kind_of, measured

LOW_PLACES, HIGH_PLACES = ("below", "off-low"), ("above", "off-high")


def offset(reading: Reading, sheet: Sheet) -> Measure | None:
    """Return the signed volume a level reading means, or None where the sheet lacks the marks' span.

    "On the mark" and "between the marks" are right as they are; a share of the way up is measured
    down from the full mark; off the stick has no figure.
    """
    place = reading.slots.get("place", "")
    share = reading.slots.get("share", "")
    sign = -1 if place in LOW_PLACES else 1
    measure = reading.measure
    if measure is not None and kind_of(measure.unit) == "volume":
        return measured(sign * measure.exact, measure.unit)
    span = sheet.figure("span")
    if measure is not None:
        length = sheet.figure("span-length")
        if span is None or length is None:
            return None
        return level.offset(
            reading=measured(sign * measure.exact, measure.unit), span_volume=span, span_length=length
        ).value
    if share and span is not None:
        return level.offset(share=share, span_volume=span).value
    return measured(0, "litre") if place in ("at", "between") else None
