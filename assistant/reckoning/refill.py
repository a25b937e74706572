"""Refill: how much new fluid goes in for what came out, and how in and out stand.

Refill = sum of (part * F(t_part) / F(t_pour)) - level before + old fluid spilled + residue, with F the
oil factor of `expansion`. Each part counts at the temperature it had when measured. The level before
is signed: -0.2 L is low by 0.2 L and adds 0.2 L. Any spill makes the figure an estimate and the level
check compulsory. It restores a level; the check at the stated temperature rules.

Volumes 0 to 200 L, temperatures -18 to 150 °C, densities 800 to 1164 kg/m³ at 15 °C. Raises WrongInput
naming the key outside them. Tolerances for balance and stop are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from uncertainties import nominal_value, ufloat

from assistant.reckoning.expansion import density_or_assumed, litres, oil_factor, workshop
from assistant.reckoning.figure import (
    Also,
    Figure,
    Formula,
    Inputs,
    Verdict,
    figure_of,
    told,
    value_of,
    verdict_of,
)
from assistant.reckoning.given import checked, read, refuse, speaking_unit
from assistant.units import Measure, Quantity, convert

Part = tuple[Measure, Measure | None]
"""An amount and the temperature it had when it was measured (None: not known)."""
Spill = tuple[Measure, bool]
"""An amount and whether it was only 'about'."""

REFILL = Formula(
    "sum(part * F(t) / F(pour)) - level before + spilled + residue; F as for oil expansion",
    "0 to 200 L, -18 to 150 °C; restores the level, the check at its temperature rules",
    "petroleum measurement table 54D form; the sum is common practice, no source",
)
BALANCE = Formula(
    "drained - (poured - spilled new), each part brought to the pouring temperature",
    "even within the larger of 0.2 L and 5 % of what was drained",
    "common practice, no source",
)
TO_GO = Formula("refill - poured + spilled new", "0 to 200 L", "common practice, no source")
PLAUSIBLE = Formula(
    "|amount - expected| <= tolerance",
    "tolerance as given, else 30 % of what is expected",
    "common practice, no source",
)
STOP = Formula(
    "stop when poured > 120 % of the refill or > the capacity given, or when it takes no more",
    "0 to 200 L",
    "common practice, no source",
)

_UNSPOKEN = 0.05  # L: a thermal correction below this is not worth a word
_UNCORRECTED = ufloat(1.0, 0.025)  # a part of unknown temperature: 0.00078 per °C over some 30 °C
_MOST_IN = 0.2  # of the refill left: small steps from here


def _total(key: str, amounts: Sequence[Spill]) -> Quantity:
    """Return the sum of spilled amounts in litres with their doubt."""
    total = litres(0.0)
    for amount, about in amounts:
        total = total + read(key, amount, "litre", "0", "200", about=about, share=None if about else 0.10)
    return total


def _at_pour(key: str, parts: Sequence[Part], density: Quantity, pour: Quantity) -> tuple[Quantity, bool]:
    """Return the sum of parts at the pouring temperature, and whether every temperature was known."""
    into: Any = oil_factor(density, pour, "pour-at")
    total, known = litres(0.0), True
    for amount, temperature in parts:
        volume = read(key, amount, "litre", "0", "200")
        if temperature is None:
            total, known = total + volume * _UNCORRECTED, False
            continue
        warm = read(f"{key} at", temperature, "celsius", "-18", "150")
        total = total + volume * oil_factor(density, warm, f"{key} at") / into
    return total, known


def _parts_told(key: str, parts: Sequence[Part]) -> Inputs:
    """Return one input line per part."""
    return tuple((key, f"{amount}" if warm is None else f"{amount} at {warm}") for amount, warm in parts)


def _spills_told(key: str, spills: Sequence[Spill]) -> Inputs:
    """Return one input line per spill."""
    return tuple((key, f"about {amount}" if about else f"{amount}") for amount, about in spills)


def refill(
    *,
    parts: Sequence[Part],
    level_before: Measure | None = None,
    spills: Sequence[Spill] = (),
    residue: Sequence[Measure] = (),
    density15: Measure | None = None,
    pour_at: Measure | None = None,
    unit: str | None = None,
) -> Figure:
    """Return how much new fluid goes in, at the temperature `pour_at` (20 °C when not given).

    `also`: 'measured' (plain sum of the parts), 'thermal-correction' (what temperature changes),
    'surplus' (only when the level stays over full, and nothing is to be poured).
    """
    if not parts:
        raise refuse("drained", "nothing", "at least one drained part is needed, such as drained=4.2 L")
    density, notes = density_or_assumed(density15)
    pour, pour_notes = workshop(pour_at)
    drained, known = _at_pour("drained", parts, density, pour)
    measured = litres(float(sum(convert(amount, "litre").exact for amount, _ in parts)))
    thermal = drained - measured
    result = drained + _total("spilled", spills)
    for left in residue:
        result = result + read("residue", left, "litre", "0", "20", share=0.25)
    if level_before is not None:
        result = result - read("level_before", level_before, "litre", "-20", "20", share=0.25)
    small = abs(nominal_value(thermal.magnitude)) < _UNSPOKEN
    notes = (
        *notes,
        *pour_notes,
        *(() if known else ("temperature-unknown",)),
        "thermal-correction-small" if small else "thermal-correction",
        *(("level-before-unknown",) if level_before is None else ()),
        *(("spill-estimated",) if any(about or m.unit == "cup" for m, about in spills) else ()),
        *(("level-check-compulsory",) if spills else ()),
    )
    told_unit = unit or speaking_unit(parts[0][0])
    also: Also = (
        ("measured", value_of(measured, told_unit)),
        ("thermal-correction", value_of(thermal, told_unit)),
    )
    over = -nominal_value(result.magnitude)
    if over > 0:
        also = (*also, ("surplus", value_of(litres(over), told_unit)))
        result, notes = result + litres(over), (*notes, "nothing-to-pour", "still-over")
    inputs = (
        *_parts_told("drained", parts),
        *_spills_told("spilled", spills),
        *(("residue", str(left)) for left in residue),
        *told(level_before=level_before, density15=density15, pour_at=pour_at),
    )
    return figure_of(
        "refill", result, told_unit, inputs=inputs, by=REFILL, estimate=bool(spills), notes=notes, also=also
    )


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

    Poured parts count as measured, new fluid spilled is taken off them. Notes: 'even' within the larger
    of 0.2 L and 5 % of the drained, else 'still-short' or 'still-over'. `also`: 'drained', 'poured'.
    """
    density, notes = density_or_assumed(density15)
    pour, pour_notes = workshop(pour_at)
    out, known = _at_pour("drained", drained, density, pour)
    stayed = litres(0.0)
    for amount, _ in poured:
        stayed = stayed + read("poured", amount, "litre", "0", "200")
    owed = out - (stayed - _total("spilled", spilled_new))
    number = nominal_value(owed.magnitude)
    allowed = max(0.2, 0.05 * nominal_value(out.magnitude))
    state = "even" if abs(number) <= allowed else "still-short" if number > 0 else "still-over"
    first = (*drained, *poured)
    told_unit = unit or (speaking_unit(first[0][0]) if first else "litre")
    return figure_of(
        "balance",
        owed,
        told_unit,
        inputs=(
            *_parts_told("drained", drained),
            *_parts_told("poured", poured),
            *_spills_told("spilled-new", spilled_new),
            *told(density15=density15, pour_at=pour_at),
        ),
        by=BALANCE,
        estimate=bool(spilled_new),
        notes=(
            state,
            *notes,
            *pour_notes,
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
    left = left + _total("spilled", spilled_new)
    number = nominal_value(left.magnitude)
    notes: tuple[str, ...] = ()
    if number < -0.05:
        notes = ("still-over",)
    elif poured and number <= _MOST_IN * wanted:
        notes = ("small-steps",)
    if spilled_new:
        notes = (*notes, "level-check-compulsory")
    told_unit = unit or speaking_unit(refill)
    return figure_of(
        "to-go",
        left,
        told_unit,
        inputs=(
            *told(refill=refill),
            *(("poured", str(amount)) for amount in poured),
            *_spills_told("spilled-new", spilled_new),
        ),
        by=TO_GO,
        estimate=bool(spilled_new),
        notes=notes,
    )


def plausible_amount(*, amount: Measure, expected: Measure, tolerance: Measure | None = None) -> Verdict:
    """Return 'plausible', 'far-less' or 'far-more' for an amount against what is expected.

    `tolerance` is a share (percent) or a volume; 30 % of the expected when not given.
    """
    said = checked("amount", amount, "litre", "0", "1000").exact
    wanted = checked("expected", expected, "litre", "0", "1000", above=True).exact
    if tolerance is None:
        allowed = wanted * 3 / 10
    elif tolerance.unit == "percent":
        allowed = wanted * checked("tolerance", tolerance, "percent", "0", "100").exact / 100
    else:
        allowed = checked("tolerance", tolerance, "litre", "0", "1000").exact
    word = "plausible" if abs(said - wanted) <= allowed else "far-more" if said > wanted else "far-less"
    return verdict_of(
        "plausible-amount",
        word,
        inputs=told(amount=amount, expected=expected, tolerance=tolerance),
        by=PLAUSIBLE,
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
