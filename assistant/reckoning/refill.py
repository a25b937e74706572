"""Refill: how much new fluid goes in for what came out.

Refill = sum of (part * F(t_part) / F(t_pour)) - level before + old fluid spilled + residue, with F the
oil factor of `expansion`. Each part counts at the temperature it had when measured. The level before
is signed: -0.2 L is low by 0.2 L and adds 0.2 L. Any spill makes the figure an estimate and the level
check compulsory. It restores a level; the check at the stated temperature rules.

Volumes 0 to 200 L, temperatures -18 to 150 °C, densities 800 to 1164 kg/m³ at 15 °C. Raises WrongInput
naming the key outside them. Tolerances are common practice,
no source. The running balance is in `balance`.
"""

from __future__ import annotations

from collections.abc import Sequence

from uncertainties import nominal_value

from assistant.reckoning.balance import balance, mixed_up, must_stop, still_to_pour
from assistant.reckoning.expansion import density_or_assumed, litres, workshop
from assistant.reckoning.figure import Also, Figure, Formula, Verdict, figure_of, told, value_of, verdict_of
from assistant.reckoning.given import checked, lacking, read, telling_unit
from assistant.reckoning.parts import Part, Spill, at_pour, parts_told, spilled_total, spills_told
from assistant.units import Measure, convert

__all__ = [
    "Part",
    "Spill",
    "balance",
    "mixed_up",
    "must_stop",
    "plausible_amount",
    "refill",
    "still_to_pour",
]

REFILL = Formula(
    "sum(part * F(t) / F(pour)) - level before + spilled + residue; F as for oil expansion",
    "0 to 200 L, -18 to 150 °C; restores the level, the check at its temperature rules",
    "petroleum measurement table 54D form; the sum is common practice, no source",
)
PLAUSIBLE = Formula(
    "|amount - expected| <= tolerance",
    "tolerance as given, else 30 % of what is expected",
    "common practice, no source",
)
_UNSPOKEN = 0.05  # L: a thermal correction below this is not worth a word


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
        raise lacking("drained", "a part that came out, such as drained=4.2 L")
    density, notes = density_or_assumed(density15)
    pour, pour_notes = workshop(pour_at)
    drained, known = at_pour("drained", parts, density, pour)
    measured = litres(float(sum(convert(amount, "litre").exact for amount, _ in parts)))
    thermal = drained - measured
    result = drained + spilled_total("spilled", spills)
    for left in residue:
        result = result + read("residue", left, "litre", "0", "20", share=0.25)
    if level_before is not None:
        result = result - read("level_before", level_before, "litre", "-20", "20", share=0.25)
    warm = any(temperature is not None for _, temperature in parts)
    small = abs(nominal_value(thermal.magnitude)) < _UNSPOKEN
    notes = (
        *(notes if warm else ()),
        *(pour_notes if warm else ()),
        *(() if known else ("temperature-unknown",)),
        "thermal-correction-small" if small else "thermal-correction",
        *(("level-before-unknown",) if level_before is None else ()),
        *(("spill-estimated",) if any(about or m.unit == "cup" for m, about in spills) else ()),
        *(("level-check-compulsory",) if spills else ()),
    )
    told_unit = telling_unit(unit, parts[0][0])
    also: Also = (
        ("measured", value_of(measured, told_unit)),
        ("thermal-correction", value_of(thermal, told_unit)),
    )
    over = -nominal_value(result.magnitude)
    if over > 0:
        also = (*also, ("surplus", value_of(litres(over), told_unit)))
        result, notes = result + litres(over), (*notes, "nothing-to-pour", "still-over")
    inputs = (
        *parts_told("drained", parts),
        *spills_told("spilled", spills),
        *(("residue", str(left)) for left in residue),
        *told(level_before=level_before, density15=density15, pour_at=pour_at),
    )
    return figure_of(
        "refill", result, told_unit, inputs=inputs, by=REFILL, estimate=bool(spills), notes=notes, also=also
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
