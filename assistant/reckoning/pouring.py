"""Pouring: which containers, how much from each, what to buy and what is left over.

Plan: containers in the order given, each emptied until the need is met. To buy: ceil(missing / size).
First pour: 85 % of the need, wait, check, then small steps (80 to 90 % is common practice, no source).
Needs up to 200 L. Exact sums; raises WrongInput naming the key.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from assistant.reckoning.figure import Also, Figure, Formula, exact_figure, told
from assistant.reckoning.given import checked, speaking_unit
from assistant.units import Measure, convert, measured

PLAN = Formula(
    "each container in turn until the need is met; to buy ceil(missing / size)",
    "needs up to 200 L",
    "arithmetic",
)
FIRST = Formula(
    "first pour = 85 % of the need", "needs up to 200 L", "80 to 90 %: common practice, no source"
)
_FIRST_SHARE = Fraction(85, 100)


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


def buy(*, need: Measure, size: Measure, at_hand: Sequence[Measure] = ()) -> Figure:
    """Return how many containers of `size` to buy for `need`, beyond what is at hand.

    `also`: 'missing', 'bought' in all, 'leftover'.
    """
    each = checked("size", size, "litre", "0", "1000", above=True).exact
    short = plan(need=need, at_hand=at_hand)
    missing = convert(short.value, "litre").exact
    count = ceil(missing / each)
    unit = speaking_unit(need)
    also: Also = (
        ("missing", short.value),
        ("bought", _volume(count * each, unit)),
        ("leftover", _volume(count * each - missing, unit)),
    )
    inputs = (*short.inputs, *told(size=size))
    return exact_figure("buy", measured(count, "one"), inputs=inputs, by=PLAN, notes=short.notes, also=also)


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
