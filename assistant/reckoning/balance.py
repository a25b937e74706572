"""Balance: how in and out of a unit stand, what is still to pour, and when pouring must stop.

Owed = drained - (poured - new fluid spilled), each drained part brought to the pouring temperature; even
within the larger of 0.2 L and 5 %. Still to pour = refill - poured + spilled new. Stop beyond 120 % of
the refill or beyond the capacity, or when it takes no more. Every unit has its own balance: a plug taken
for another leaves a surplus in one and a debt in the other. Volumes 0 to 200 L; raises WrongInput naming
the key. Limits are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from uncertainties import nominal_value

from assistant.reckoning.expansion import density_or_assumed, litres, oil_factor, workshop
from assistant.reckoning.figure import Figure, Formula, Verdict, figure_of, told, value_of, verdict_of
from assistant.reckoning.given import checked, read, telling_unit
from assistant.reckoning.parts import Part, Spill, at_pour, parts_told, spilled_total, spills_told
from assistant.units import Measure

BALANCE = Formula(
    "drained - (poured - spilled new), each part brought to the pouring temperature",
    "even within the larger of 0.2 L and 5 % of what was drained",
    "common practice, no source",
)
TO_GO = Formula("refill - poured + spilled new", "0 to 200 L", "common practice, no source")
STOP = Formula(
    "stop when poured > 120 % of the refill or > the capacity given, or when it takes no more",
    "0 to 200 L",
    "common practice, no source",
)

_MOST_IN = 0.2  # of the refill left: small steps from here


def balance(
    *,
    drained: Sequence[Part],
    poured: Sequence[Part],
    spilled_new: Sequence[Spill] = (),
    density15: Measure | None = None,
    pour_at: Measure | None = None,
    unit: str | None = None,
) -> Figure:
    """Return what this unit is still owed: drained less what stayed in; negative is a surplus.

    Poured parts without a temperature count as measured; new fluid spilled is taken off them. Notes:
    'even' within the larger of 0.2 L and 5 % of the drained, else 'still-short' or 'still-over'. `also`:
    'drained', 'poured'.
    """
    density, notes = density_or_assumed(density15)
    pour, pour_notes = workshop(pour_at)
    out, known = at_pour("drained", drained, density, pour)
    stayed = litres(0.0)
    for amount, temperature in poured:
        volume = read("poured", amount, "litre", "0", "200")
        if temperature is not None:
            hot = read("at", temperature, "celsius", "-18", "150")
            volume = volume * oil_factor(density, hot, "at") / oil_factor(density, pour, "pour-at")
        stayed = stayed + volume
    owed = out - (stayed - spilled_total("spilled-new", spilled_new))
    number = nominal_value(owed.magnitude)
    allowed = max(0.2, 0.05 * nominal_value(out.magnitude))
    state = "even" if abs(number) <= allowed else "still-short" if number > 0 else "still-over"
    warm = any(temperature is not None for _, temperature in (*drained, *poured))
    first = (*drained, *poured)
    told_unit = telling_unit(unit, first[0][0] if first else Measure("0", "litre"))
    return figure_of(
        "balance",
        owed,
        told_unit,
        inputs=(
            *parts_told("drained", drained),
            *parts_told("poured", poured),
            *spills_told("spilled-new", spilled_new),
            *told(density15=density15, pour_at=pour_at),
        ),
        by=BALANCE,
        estimate=bool(spilled_new),
        notes=(
            state,
            *(notes if warm else ()),
            *(pour_notes if warm else ()),
            *(() if known or not drained else ("temperature-unknown",)),
            *(("level-check-compulsory",) if spilled_new else ()),
        ),
        also=(("drained", value_of(out, told_unit)), ("poured", value_of(stayed, told_unit))),
    )


def still_to_pour(
    *,
    refill: Measure,
    poured: Sequence[Measure] = (),
    spilled_new: Sequence[Spill] = (),
    unit: str | None = None,
) -> Figure:
    """Return what is left to pour of `refill`; new fluid that missed the funnel is owed again.

    Negative when more is in than was wanted ('still-over'). 'small-steps' from a fifth left.
    """
    wanted = float(checked("refill", refill, "litre", "0", "200").exact)
    left = litres(wanted)
    for amount in poured:
        left = left - read("poured", amount, "litre", "0", "200", share=0.01)
    left = left + spilled_total("spilled-new", spilled_new)
    number = nominal_value(left.magnitude)
    notes: tuple[str, ...] = ()
    if number < -0.05:
        notes = ("still-over",)
    elif poured and number <= _MOST_IN * wanted:
        notes = ("small-steps",)
    if spilled_new:
        notes = (*notes, "level-check-compulsory")
    told_unit = telling_unit(unit, refill)
    return figure_of(
        "to-go",
        left,
        told_unit,
        inputs=(
            *told(refill=refill),
            *(("poured", str(amount)) for amount in poured),
            *spills_told("spilled-new", spilled_new),
        ),
        by=TO_GO,
        estimate=bool(spilled_new),
        notes=notes,
    )


def must_stop(
    *, refill: Measure, poured: Sequence[Measure], capacity: Measure | None = None, takes_it: bool = True
) -> Verdict:
    """Return 'go-on', 'stop-over' (beyond 120 % or the capacity) or 'stop-refuses' (it takes no more)."""
    wanted = checked("refill", refill, "litre", "0", "200", above=True).exact
    inside = sum(checked("poured", amount, "litre", "0", "200").exact for amount in poured)
    word = "go-on"
    found: tuple[str, ...] = ()
    beyond = capacity is not None and inside > checked("capacity", capacity, "litre", "0", "200").exact
    if inside > wanted * 6 / 5 or beyond:
        word, found = "stop-over", ("stop-pouring", "look-for-leak", "level-check-compulsory")
    elif not takes_it:
        word, found = "stop-refuses", ("stop-pouring", "level-check-compulsory")
    inputs = (
        *told(refill=refill, capacity=capacity, takes_it="yes" if takes_it else "no"),
        *(("poured", str(amount)) for amount in poured),
    )
    return verdict_of("must-stop", word, inputs=inputs, by=STOP, notes=found)


def mixed_up(
    *, drained: Mapping[str, Sequence[Measure]], poured: Mapping[str, Sequence[Measure]]
) -> tuple[tuple[str, Figure], ...]:
    """Return per unit (engine, gearbox, ...) what it is owed, after a plug was taken for another.

    Negative is a surplus to be drained. Each unit that is not even carries 'do-not-run'.
    """
    found = []
    for name in sorted({*drained, *poured}):
        figure = balance(
            drained=[(amount, None) for amount in drained.get(name, ())],
            poured=[(amount, None) for amount in poured.get(name, ())],
        )
        if "even" not in figure.notes:
            notes = (*figure.notes, "do-not-run", "level-check-compulsory")
            figure = replace(figure, notes=notes)
        found.append((name, figure))
    return tuple(found)
