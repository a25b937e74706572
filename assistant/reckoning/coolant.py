"""Coolant: concentrate and water that bring a partly drained system to a wanted share.

After draining d from a system of capacity C whose content has the share c0, what goes back is x of
supply (share s, 100 % for concentrate) and d - x of water, with x = (C t - (C - d) c0) / s for the
target t. It has to lie between 0 and d; else more has to come out first:
d = C (t - c0) / (s - c0) when too weak, C (1 - t / c0) when too strong. Shares are by volume.

Capacities up to 200 L, shares 0 to 100 %. Raises WrongInput naming the key. Source: balance of amounts;
public worked questions, recomputed. Check the mixture with a refractometer; never open it hot.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from assistant.reckoning.figure import Also, Figure, Formula, Verdict, exact_figure, told, verdict_of
from assistant.reckoning.given import checked, refuse, speaking_unit
from assistant.units import Measure, convert, measured

MIX = Formula(
    "x = (C t - (C - d) c0) / s, water d - x; reachable while 0 <= x <= d",
    "shares by volume, full mixing, capacity up to 200 L",
    "balance of amounts; public worked questions, recomputed",
)
TAKEN = Formula(
    "air is trapped when less than 4/5 of what came out goes back in",
    "systems drained in part or wholly",
    "public question (about half fits when air is trapped); limit chosen here",
)
BY_WEIGHT = Formula(
    "x = V w / (r - w (r - 1)), r the density of the concentrate over that of water",
    "no change of volume on mixing; 0 to 100 % by weight",
    "balance of amounts; public worked example",
)


def _share(key: str, given: Measure) -> Fraction:
    """Return a percentage as a fraction between 0 and 1."""
    return checked(key, given, "percent", "0", "100").exact / 100


def _volume(litres: Fraction, unit: str) -> Measure:
    """Return litres as a measure in `unit`."""
    return convert(measured(litres, "litre"), unit)


def concentrate(
    *,
    capacity: Measure,
    drained: Measure,
    target: Measure,
    left: Measure | None = None,
    supply: Measure | None = None,
) -> Figure:
    """Return the concentrate to pour; `also` 'water' to go with it.

    `left` is the share in the system (0 % after flushing with water, the default), `supply` the share of
    what is poured (100 %). Where the target cannot be reached it carries 'not-reachable' and
    'drain-more', and its value is no concentrate but the least to drain ('drain-at-least').
    """
    full = checked("capacity", capacity, "litre", "0", "200", above=True).exact
    out = checked("drained", drained, "litre", "0", "200").exact
    if out > full:
        raise refuse("drained", drained, f"must not be more than capacity={capacity}")
    goal, now = _share("target", target), Fraction(0) if left is None else _share("left", left)
    strong = Fraction(1) if supply is None else _share("supply", supply)
    if goal > max(strong, now) or (goal > now and strong <= now):
        raise refuse("target", target, f"allowed is up to what is poured, {float(strong * 100):g} %")
    inputs = told(capacity=capacity, drained=drained, target=target, left=left, supply=supply)
    unit = speaking_unit(drained)
    x = (full * goal - (full - out) * now) / strong if strong else Fraction(0)
    if 0 <= x <= out:
        also: Also = (("water", _volume(out - x, unit)),)
        return exact_figure(
            "concentrate",
            _volume(x, unit),
            inputs=inputs,
            by=MIX,
            also=also,
            notes=("check-with-refractometer",),
        )
    least = full * (goal - now) / (strong - now) if x > out else full * (1 - goal / now)
    drain = _volume(least, unit)
    return exact_figure(
        "concentrate",
        drain,
        inputs=inputs,
        by=MIX,
        also=(("drain-at-least", drain),),
        notes=("not-reachable", "drain-more"),
    )


def fresh(*, amount: Measure, target: Measure, supply: Measure | None = None) -> Figure:
    """Return the concentrate (or supply of that share) in `amount` of fresh mixture; `also` 'water'."""
    checked("amount", amount, "litre", "0", "200", above=True)
    figure = concentrate(capacity=amount, drained=amount, target=target, supply=supply)
    return replace(figure, name="fresh-coolant", inputs=told(amount=amount, target=target, supply=supply))


def exchange(*, amount: Measure, now: Measure, target: Measure, supply: Measure | None = None) -> Figure:
    """Return how much to drain and replace with `supply` (concentrate by default) for the target share.

    A `supply` of 0 % is water. x = V (target - now) / (supply - now).
    """
    full = checked("amount", amount, "litre", "0", "10000", above=True).exact
    here, goal = _share("now", now), _share("target", target)
    strong = Fraction(1) if supply is None else _share("supply", supply)
    if strong == here or not 0 <= (goal - here) / (strong - here) <= 1:
        raise refuse("target", target, f"must lie between now={now} and supply={float(strong * 100):g} %")
    x = full * (goal - here) / (strong - here)
    inputs = told(amount=amount, now=now, target=target, supply=supply)
    notes = ("check-with-refractometer",)
    return exact_figure(
        "coolant-exchange", _volume(x, speaking_unit(amount)), inputs=inputs, by=MIX, also=(), notes=notes
    )


def by_weight(*, amount: Measure, target: Measure, density_ratio: Measure) -> Figure:
    """Return the concentrate in `amount` of mixture for a share by weight; `also` 'water'."""
    full = checked("amount", amount, "litre", "0", "10000", above=True).exact
    w = _share("target", target)
    ratio = checked("density_ratio", density_ratio, "one", "0.9", "1.3").exact
    x = full * w / (ratio - w * (ratio - 1))
    unit = speaking_unit(amount)
    inputs = told(amount=amount, target=target, density_ratio=density_ratio)
    also: Also = (("water", _volume(full - x, unit)),)
    return exact_figure("by-weight", _volume(x, unit), inputs=inputs, by=BY_WEIGHT, also=also, notes=())


def taken(*, drained: Measure, poured: Measure) -> Verdict:
    """Return 'full' when the system took back at least four fifths of what came out, else 'air-trapped'.

    Air trapped: bleed it before the engine runs (common practice, no source).
    """
    out = checked("drained", drained, "litre", "0", "200", above=True).exact
    back = checked("poured", poured, "litre", "0", "200").exact
    word = "full" if back >= out * 4 / 5 else "air-trapped"
    return verdict_of("coolant-taken", word, inputs=told(drained=drained, poured=poured), by=TAKEN)
