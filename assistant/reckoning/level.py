"""Level: what a dipstick or an overflow plug says about the amount inside, and which way it errs.

Offset from the full mark = mm * span litres / span mm, or a share of the span; linear, so for vertical
walls. Warmth moves the level (`level_warmth`); so one judged too cold would end overfilled, one judged
too hot underfilled. Windows, spans and what counts as
too much come from the vehicle's data, never from here.

Spans 0.05 to 20 L and 1 to 200 mm, temperatures -18 to 150 °C. Raises WrongInput naming the key.
Directions and the plug's logic: service texts and public questions, recomputed; otherwise common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from uncertainties import ufloat

from assistant.reckoning.figure import Also, Figure, Formula, Verdict, figure_of, told, verdict_of
from assistant.reckoning.given import checked, exact, lacking, read, refuse, speaking_unit
from assistant.reckoning.level_warmth import shift, should_read
from assistant.units import Measure, Quantity, compare, convert, kind_of, subtract

__all__ = [
    "FLOWS",
    "PLACES",
    "SHARES",
    "add_or_drain",
    "believe",
    "of_pan",
    "offset",
    "overflow",
    "shift",
    "should_read",
    "window_verdict",
]

OFFSET = Formula(
    "litres = mm * span litres / span mm; between the marks -(1 - share) * span",
    "vertical walls; spans 0.05 to 20 L, 1 to 200 mm; off the stick it is only a bound",
    "geometry",
)
WINDOW = Formula(
    "low <= t <= high; colder: the fluid stands lower than it will, hotter: higher",
    "-18 to 150 °C, window from the vehicle's data",
    "service texts; the direction follows from expansion",
)
OVERFLOW = Formula(
    "inside the window, engine running: stream = too much, thin stream or drips = right, nothing = short",
    "window and the amount that is too much from the vehicle's data",
    "service texts and public questions; common practice",
)
SECOND = Formula(
    "believe 'off the stick' only twice, wiped in between", "any stick", "common practice, no source"
)

SHARES = {"quarter": Fraction(1, 4), "half": Fraction(1, 2), "three-quarters": Fraction(3, 4)}
PLACES = ("at", "above", "below", "between", "off-low", "off-high")
FLOWS = {
    "stream": "stream",
    "thin-stream": "right",
    "drip": "right",
    "drops": "right",
    "nothing": "nothing",
    "stopped": "nothing",
}


def offset(
    *,
    place: str,
    span_litres: Measure,
    amount: Measure | None = None,
    mark: str = "full",
    share: str | None = None,
    span_mm: Measure | None = None,
) -> Figure:
    """Return how far the level is from the full mark as a signed volume; negative is low.

    `place` is at, above, below, between, off-low or off-high; `amount` a length or a volume from `mark`
    (hot, cold and full are the upper mark of their window, low the lower one); `share` quarter, half or
    three-quarters of the way from the low to the full mark.
    """
    if place not in PLACES:
        raise refuse("place", place, f"allowed is {', '.join(PLACES)}")
    span = exact("span_litres", span_litres, "litre", "0.05", "20")
    mark_at = -span if mark == "low" else span * 0.0
    notes: tuple[str, ...] = ()
    if place == "at":
        found = mark_at
    elif place == "between":
        if share not in SHARES:
            raise refuse("share", share, f"allowed is {', '.join(SHARES)}")
        found = -span * float(1 - SHARES[share])
    elif place in ("off-low", "off-high"):
        found, notes = (-span if place == "off-low" else span), ("off-the-stick", "level-check-compulsory")
    else:
        away = _volume_of(amount, span, span_mm)
        found = mark_at + (away if place == "above" else -away)
    spread = 0.5 if notes else 0.1
    found = found + span * ufloat(0.0, spread)
    return figure_of(
        "level-offset",
        found,
        speaking_unit(span_litres),
        inputs=told(
            place=place, mark=mark, amount=amount, share=share, span_litres=span_litres, span_mm=span_mm
        ),
        by=OFFSET,
        estimate=bool(notes),
        notes=notes,
    )


def _volume_of(amount: Measure | None, span: Quantity, span_mm: Measure | None) -> Quantity:
    """Return a distance on the stick as litres, or the volume as it was said."""
    if amount is None:
        raise lacking("amount", "how far from the mark, such as amount=5 mm")
    if kind_of(amount.unit) == "volume":
        return exact("amount", amount, "litre", "0", "50")
    if span_mm is None:
        raise refuse("span-mm", "nothing", "the distance between the marks, for a level in millimetres")
    return span * (
        exact("amount", amount, "millimetre", "0", "200")
        / exact("span_mm", span_mm, "millimetre", "1", "200")
    ).m_as("dimensionless")


def of_pan(*, area: Measure, height: Measure) -> Figure:
    """Return the volume a height stands for in a pan of that plan area: A * h."""
    volume = exact("area", area, "square_metre", "0", "10", above=True) * exact(
        "height", height, "metre", "0", "2"
    )
    return figure_of("pan-volume", volume, "litre", inputs=told(area=area, height=height), by=OFFSET)


def add_or_drain(*, reading: Measure, target: Measure, span_litres: Measure, span_mm: Measure) -> Figure:
    """Return the volume that moves the level from `reading` to `target` on the stick; negative: drain."""
    here = read("reading", reading, "millimetre", "-200", "200")
    there = exact("target", target, "millimetre", "-200", "200")
    span = exact("span_litres", span_litres, "litre", "0.05", "20")
    per_mm = span / exact("span_mm", span_mm, "millimetre", "1", "200")
    return figure_of(
        "level-to-add",
        (there - here) * per_mm,
        speaking_unit(span_litres),
        inputs=told(reading=reading, target=target, span_litres=span_litres, span_mm=span_mm),
        by=OFFSET,
    )


def window_verdict(*, temperature: Measure, low: Measure, high: Measure) -> Verdict:
    """Return 'in', 'too-cold' (note 'would-overfill') or 'too-hot' (note 'would-underfill').

    The limits belong to the window. `also`: 'away', how far outside it is, as a temperature difference.
    """
    checked("temperature", temperature, "celsius")  # no bounds: a comparison holds at any
    checked("low", low, "celsius", "-18", "150")
    checked("high", high, "celsius", "-18", "150")
    if compare(low, high) >= 0:
        raise refuse("high", high, f"must be above low={low}")
    inputs = told(temperature=temperature, low=low, high=high)
    if compare(temperature, low) < 0:
        also: Also = (("away", subtract(low, convert(temperature, low.unit))),)
        return verdict_of(
            "window", "too-cold", inputs=inputs, by=WINDOW, notes=("would-overfill",), also=also
        )
    if compare(temperature, high) > 0:
        also = (("away", subtract(convert(temperature, high.unit), high)),)
        return verdict_of(
            "window", "too-hot", inputs=inputs, by=WINDOW, notes=("would-underfill",), also=also
        )
    return verdict_of("window", "in", inputs=inputs, by=WINDOW)


def overflow(
    *,
    temperature: Measure,
    low: Measure,
    high: Measure,
    engine: str,
    flow: str,
    caught: Measure | None = None,
    too_much: Measure | None = None,
) -> Verdict:
    """Return what an open level plug says.

    'engine-off' (no judgement, close it: hot fluid would run out), 'too-cold', 'too-hot', 'close' (level
    right), 'let-run' (too much in), 'add' (short). `engine` is running or off; `flow` stream,
    thin-stream, drip, drops, nothing or stopped; `caught` is what ran out so far and `too_much` the
    amount that, by the vehicle's data, means overfilled.
    """
    if engine not in ("running", "off"):
        raise refuse("engine", engine, "allowed is running, off")
    if flow not in FLOWS:
        raise refuse("flow", flow, f"allowed is {', '.join(FLOWS)}")
    window = window_verdict(temperature=temperature, low=low, high=high)
    inputs = (*window.inputs, *told(engine=engine, flow=flow, caught=caught, too_much=too_much))
    if engine == "off":
        return verdict_of("overflow", "engine-off", inputs=inputs, by=OVERFLOW)
    if window.verdict != "in":
        return verdict_of(
            "overflow", window.verdict, inputs=inputs, by=OVERFLOW, notes=window.notes, also=window.also
        )
    seen = FLOWS[flow]
    over = (
        caught is not None
        and too_much is not None
        and checked("caught", caught, "litre", "0", "50").exact
        > checked("too_much", too_much, "litre", "0", "50", above=True).exact
    )
    if seen == "nothing":
        return verdict_of("overflow", "add", inputs=inputs, by=OVERFLOW, notes=("still-short",))
    if over or seen == "stream":
        notes = ("still-over", "wait-for-trickle") if over else ("wait-for-trickle",)
        return verdict_of("overflow", "let-run", inputs=inputs, by=OVERFLOW, notes=notes)
    return verdict_of("overflow", "close", inputs=inputs, by=OVERFLOW)


def believe(*, places: Sequence[str]) -> Verdict:
    """Return whether stick readings can be believed: 'believed', 'wipe-and-dip-again' or 'disagree'.

    `places` are the readings in order, as in `offset`; a first 'off-low' or 'off-high' is never believed.
    """
    for place in places:
        if place not in PLACES:
            raise refuse("place", place, f"allowed is {', '.join(PLACES)}")
    if not places:
        raise lacking("place", "at least one reading")
    last = places[-1]
    off = last in ("off-low", "off-high")
    word = "believed"
    if off and len(places) < 2:
        word = "wipe-and-dip-again"
    elif off and places[-2] != last:
        word = "disagree"
    return verdict_of("believe", word, inputs=tuple(("place", place) for place in places), by=SECOND)
