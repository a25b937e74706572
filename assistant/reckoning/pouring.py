"""Pouring: which containers, how much from each, what to buy and what is left over.

Plan: containers in the order given, each emptied until the need is met. To buy: ceil(missing / size); of
several sizes those that leave the least over, then the fewest.
First pour: 85 % of the need, wait, check, then small steps (80 to 90 % is common practice, no source).
Needs up to 200 L. Exact sums; raises WrongInput naming the key.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import product
from math import ceil

from assistant.reckoning.figure import Also, Figure, Formula, exact_figure, told
from assistant.reckoning.given import checked, refuse, speaking_unit
from assistant.units import Measure, convert, measured

PLAN = Formula(
    "each container in turn until the need is met; to buy ceil(missing / size)",
    "needs up to 200 L",
    "arithmetic",
)
FIRST = Formula(
    "first pour = 85 % of the need", "needs up to 200 L", "80 to 90 %: common practice, no source"
)
BUY = Formula(
    "of each size so many that the sum is at least what is missing, least left over, then fewest",
    "needs up to 200 L, up to five sizes",
    "arithmetic",
)
_FIRST_SHARE = Fraction(85, 100)
MOST_SIZES, MOST_OF_A_LARGER_SIZE = 5, 60


def _volume(litres: Fraction, unit: str) -> Measure:
    """Return litres as a measure in `unit`."""
    return convert(measured(litres, "litre"), unit)


def plan(*, need: Measure, at_hand: Sequence[Measure]) -> Figure:
    """Return what the containers at hand lack for `need` (zero when they suffice).

    `also`: 'pour-1', 'pour-2', ... from each container in turn, 'leftover' in the last one used.
    """
    wanted = checked("need", need, "litre", "0", "200", above=True).exact
    unit = speaking_unit(need)
    rest, left = wanted, Fraction(0)
    pours: list[tuple[str, Measure]] = []
    for number, container in enumerate(at_hand, start=1):
        holds = checked("at_hand", container, "litre", "0", "1000").exact
        take = min(holds, rest)
        if take:
            pours.append((f"pour-{number}", _volume(take, unit)))
            left = holds - take
        rest -= take
    inputs = (*told(need=need), *(("at-hand", str(container)) for container in at_hand))
    also = (*pours, ("leftover", _volume(left, unit)))
    return exact_figure(
        "pour-plan",
        _volume(rest, unit),
        inputs=inputs,
        by=PLAN,
        notes=("buy",) if rest else (),
        also=tuple(also),
    )


def buy(*, need: Measure, size: Sequence[Measure], at_hand: Sequence[Measure] = ()) -> Figure:
    """Return how many containers to buy for `need`, of each `size` sold, beyond what is at hand.

    `also`: 'missing', 'bought' in all, 'leftover', and 'of-1', 'of-2', ... how many of each size.
    """
    each = [checked("size", one, "litre", "0", "1000", above=True).exact for one in size]
    if len(each) > MOST_SIZES:
        raise refuse("size", size[-1], f"at most {MOST_SIZES} sizes")
    short = plan(need=need, at_hand=at_hand)
    missing = convert(short.value, "litre").exact
    counts = _counts(missing, each)
    bought = sum((count * holds for count, holds in zip(counts, each, strict=True)), Fraction(0))
    unit = speaking_unit(need)
    also: Also = (
        ("missing", short.value),
        ("bought", _volume(bought, unit)),
        ("leftover", _volume(bought - missing, unit)),
        *((f"of-{number}", measured(count, "one")) for number, count in enumerate(counts, start=1)),
    )
    inputs = (*short.inputs, *(("size", str(one)) for one in size))
    count = measured(sum(counts), "one")
    return exact_figure("buy", count, inputs=inputs, by=BUY, notes=short.notes, also=also)


def _counts(missing: Fraction, each: Sequence[Fraction]) -> tuple[int, ...]:
    """Return how many of each size reach what is missing: least left over, then fewest, then largest."""
    smallest = min(each)
    others = [one for one in dict.fromkeys(each) if one != smallest]
    best: tuple[Fraction, int, dict[Fraction, int]] | None = None
    for taken in product(*(range(min(ceil(missing / one), MOST_OF_A_LARGER_SIZE) + 1) for one in others)):
        held = sum((count * one for count, one in zip(taken, others, strict=True)), Fraction(0))
        last = max(ceil((missing - held) / smallest), 0)
        over, number = held + last * smallest - missing, sum(taken) + last
        if best is None or (over, number) < best[:2]:
            best = over, number, {**dict(zip(others, taken, strict=True)), smallest: last}
    assert best is not None, "nothing of any other size is one of the ways"
    found = best[2]
    return tuple(found.pop(one, 0) for one in each)


def first_pour(*, need: Measure) -> Figure:
    """Return what to pour before the first check; `also` 'then', what is kept for the small steps."""
    wanted = checked("need", need, "litre", "0", "200", above=True).exact
    unit = speaking_unit(need)
    first = wanted * _FIRST_SHARE
    also: Also = (("then", _volume(wanted - first, unit)),)
    return exact_figure(
        "first-pour",
        _volume(first, unit),
        inputs=told(need=need),
        by=FIRST,
        notes=("small-steps",),
        also=also,
    )
