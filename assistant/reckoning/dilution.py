"""Dilution: how much old fluid is left after changes that each replace only part of it.

Old share after drains d1, d2, ... from a unit of capacity C: product of (1 - d_i / C), the REMAINING
share each time. Cycles to a wanted old share s: ceil(ln s / ln(1 - d / C)). Exchange through the lines
lies between perfect mixing exp(-V / C) and plug flow 1 - V / C. All need the fluid fully mixed (engine
run, every range) between changes.

Capacities up to 200 L, drains above 0 and under the capacity, shares between 0 and 100 %. Raises
WrongInput naming the key. Source: exponential dilution; public worked questions, recomputed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log

from uncertainties import nominal_value, umath

from assistant.reckoning.figure import Also, Figure, Formula, figure_of, told, value_of
from assistant.reckoning.given import checked, exact, lacking, plain_quantity, read, refuse, speaking_unit
from assistant.units import UNITS, Measure, Quantity, compare, pint_unit

BATCH = Formula(
    "old share = product of (1 - drained / capacity)",
    "fully mixed between changes; each drain above 0 and under the capacity",
    "exponential dilution; public worked questions, recomputed",
)
CYCLES = Formula(
    "n = ceil(ln(old share wanted) / ln(1 - drained / capacity))",
    "fully mixed between changes; a wanted old share between 0 and 100 %",
    "exponential dilution; public worked questions, recomputed",
)
LINES = Formula(
    "old share = exp(-V / C) fully mixed, 1 - V / C in plug flow; the truth lies between",
    "capacity up to 200 L",
    "stirred tank and plug flow, general handbooks",
)
_SLACK = 1e-12


def _percent(share: float | Quantity) -> Quantity:
    """Return a pure number as a quantity in percent."""
    return UNITS.Quantity(100 * share, pint_unit("percent"))


def _drain(key: str, drain: Measure, capacity: Measure) -> Quantity:
    """Return a drain in litres with its doubt, refused unless it is above 0 and under the capacity."""
    if compare(drain, capacity) >= 0:
        raise refuse(key, drain, f"must be under capacity={capacity}")
    return read(key, drain, "litre", "0", "200", above=True)


def old_left(*, capacity: Measure, drains: Sequence[Measure]) -> Figure:
    """Return the share of old fluid left after the `drains`, each refilled with new.

    `also`: 'new' share, 'old' volume left, and 'after-1', 'after-2', ... the old share each time.
    """
    full = exact("capacity", capacity, "litre", "0", "200", above=True)
    if not drains:
        raise lacking("drained", "at least one drain is needed, such as drained=4 L")
    share = plain_quantity(1.0, "one").magnitude
    after: list[tuple[str, Measure]] = []
    for number, drain in enumerate(drains, start=1):
        share = share * (1 - (_drain("drained", drain, capacity) / full).m_as("dimensionless"))
        after.append((f"after-{number}", value_of(_percent(share), "percent")))
    also: Also = (
        ("new", value_of(_percent(1 - share), "percent")),
        ("old", value_of(full * share, speaking_unit(capacity))),
        *after,
    )
    inputs = (*told(capacity=capacity), *(("drained", str(drain)) for drain in drains))
    return figure_of(
        "old-left", _percent(share), "percent", inputs=inputs, by=BATCH, notes=("perfect-mixing",), also=also
    )


def _wanted_old(old: Measure | None, new: Measure | None) -> float:
    """Return the wanted old share as a number between 0 and 1, from either way of saying it."""
    if old is None and new is None:
        raise lacking("new", "give either new (such as 90 %) or old (such as 10 %)")
    if old is not None and new is not None:
        raise refuse("new", new, f"give new or old, not both; old={old} is given already")
    if old is not None:
        share = checked("old", old, "percent").exact / 100
    else:
        assert new is not None
        share = 1 - checked("new", new, "percent").exact / 100
    if not 0 < share < 1:
        raise refuse("old" if old else "new", old or new, "allowed is more than 0 % and less than 100 %")
    return float(share)


def cycles(
    *, capacity: Measure, drain: Measure, old: Measure | None = None, new: Measure | None = None
) -> Figure:
    """Return how many changes of `drain` each bring at most `old` (or at least `new`) share.

    `also`: 'fluid' to have for all of them, 'old-left' the share then reached.
    """
    wanted = _wanted_old(old, new)
    kept = _kept(drain, capacity)
    count = max(1, ceil(log(wanted) / log(kept) - _SLACK))
    amount = exact("drain", drain, "litre", "0", "200", above=True)
    also: Also = (
        ("fluid", value_of(amount * count, speaking_unit(drain))),
        ("old-left", value_of(_percent(kept**count), "percent")),
    )
    return figure_of(
        "cycles",
        plain_quantity(float(count), "one"),
        "one",
        inputs=told(capacity=capacity, drain=drain, old=old, new=new),
        by=CYCLES,
        notes=("perfect-mixing",),
        also=also,
    )


def _kept(drain: Measure, capacity: Measure) -> float:
    """Return the share that stays in at one drain."""
    checked("capacity", capacity, "litre", "0", "200", above=True)
    taken = (_drain("drain", drain, capacity) / exact("capacity", capacity, "litre")).m_as("dimensionless")
    return 1.0 - float(nominal_value(taken))


def drum(
    *,
    stock: Measure,
    capacity: Measure,
    drain: Measure,
    old: Measure | None = None,
    new: Measure | None = None,
) -> Figure:
    """Return how many whole changes the `stock` of new fluid is good for.

    `also`: 'old-left' share and 'old' volume then, 'over' what remains of the stock; with a wanted share
    also 'wanted-cycles' and, where the stock does not reach (note 'not-reachable'), 'short' by how much.
    """
    kept = _kept(drain, capacity)
    have = checked("stock", stock, "litre", "0", "1000").exact
    each = checked("drain", drain, "litre").exact
    count = floor(have / each)
    unit = speaking_unit(drain)
    full = exact("capacity", capacity, "litre")
    also: Also = (
        ("old-left", value_of(_percent(kept**count), "percent")),
        ("old", value_of(full * kept**count, unit)),
        ("over", value_of(plain_quantity(float(have - count * each), "litre"), unit)),
    )
    notes: tuple[str, ...] = ("perfect-mixing",)
    if old is not None or new is not None:
        wanted = cycles(capacity=capacity, drain=drain, old=old, new=new)
        also = (*also, ("wanted-cycles", wanted.value))
        short = wanted.value.exact * each - have
        if short > 0:
            notes = (*notes, "not-reachable")
            also = (*also, ("short", value_of(plain_quantity(float(short), "litre"), unit)))
    return figure_of(
        "drum",
        plain_quantity(float(count), "one"),
        "one",
        inputs=told(stock=stock, capacity=capacity, drain=drain, old=old, new=new),
        by=CYCLES,
        notes=notes,
        also=also,
    )


def line_exchange(*, capacity: Measure, volume: Measure) -> Figure:
    """Return the old share left when `volume` of new fluid is pumped through the lines, fully mixed.

    `also`: 'plug-flow', the share if nothing mixed; the truth lies between.
    """
    full = exact("capacity", capacity, "litre", "0", "1000", above=True)
    ratio = (read("volume", volume, "litre", "0", "10000") / full).m_as("dimensionless")
    plug = max(0.0, 1 - nominal_value(ratio))
    return figure_of(
        "line-exchange",
        _percent(umath.exp(-ratio)),
        "percent",
        inputs=told(capacity=capacity, volume=volume),
        by=LINES,
        notes=("line-exchange-differs",),
        also=(("plug-flow", value_of(_percent(plug), "percent")),),
    )


def exchange_volume(*, capacity: Measure, old: Measure, flow: Measure | None = None) -> Figure:
    """Return the new fluid a fully mixed exchange takes to reach the `old` share: C ln(1 / old).

    `also`: 'time', with `flow`.
    """
    full = exact("capacity", capacity, "litre", "0", "10000", above=True)
    result = full * -log(_wanted_old(old, None))
    also: Also = ()
    if flow is not None:
        rate = exact("flow", flow, "litre_per_minute", "0", "1000", above=True)
        also = (("time", value_of(result / rate, "minute")),)
    return figure_of(
        "exchange-volume",
        result,
        speaking_unit(capacity),
        inputs=told(capacity=capacity, old=old, flow=flow),
        by=LINES,
        notes=("line-exchange-differs",),
        also=also,
    )
