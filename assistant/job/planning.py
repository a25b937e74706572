"""What a job will need, from its procedure and the sheet alone: tools, parts, fluids, room for the old, time.

Every amount is a range from the least to the most, by the sheet; what the sheet lacks is named, for it will
be asked. Times are the timers of the procedure, what its steps say they take, and a hand's work on each
other step: estimates, told as a range (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from assistant.job.plan import Bought, Fluid, Lacking, Pan, Part, Plan, Purchase, Span, Waste
from assistant.job.procedure import Procedure, Step
from assistant.job.sheet import Sheet
from assistant.reckoning import dilution, pouring
from assistant.reckoning.torque import wrench_fits
from assistant.units import Measure, add, compare, convert, measured, system_of, total

EACH_STEP = (Fraction(1), Fraction(3))
"""Minutes a step takes that says nothing of its own."""
LONGER = {"drain": 2, "drip": 2, "cooling": 2}
"""Timers that may run once more, and how many times as long that is in all."""
TIME_OF = {"drain": "drain", "drip": "drain", "cooling": "cool-down", "warming": "warm-up"}
"""What a timer is waited for; any other is a wait."""
SOLD: Mapping[str, tuple[Measure, ...]] = {
    "metric": tuple(Measure(one, "litre") for one in ("1", "5", "20")),
    "us": (Measure("1", "us_quart"), Measure("1", "us_gallon"), Measure("5", "us_quart")),
    "imperial": tuple(Measure(one, "litre") for one in ("1", "5", "20")),
}
"""Sizes fluid is commonly sold in, where the sheet names no container (common practice, no source)."""
DRAINS = frozenset({"drain-plug=open", "cock=open"})
"""What a step makes true that lets the old fluid out."""
WASHED_BY = {"drain": "drain-washer", "fill": "fill-washer", "overflow": "overflow-washer"}


def plan(procedure: Procedure, sheets: Mapping[str, Sheet], sold: Sequence[Measure] = ()) -> Plan:
    """Return what a job needs; `sheets` by unit key, "" for the only one, `sold` the sizes to buy.

    Raises `WrongInput` where the figures of the sheet lie outside of what can be reckoned.
    """
    units = tuple(procedure.units) or ("",)
    rounds = {unit: _rounds(procedure, unit, _of(sheets, unit)) for unit in units}
    fluids = [one for unit in units for one in _fluids(procedure, unit, _of(sheets, unit), rounds[unit])]
    torques = _torques(procedure, sheets)
    times = _times(procedure, rounds)
    return Plan(
        title=procedure.title,
        vehicle=_of(sheets, "").vehicle,
        units=tuple(_of(sheets, unit).unit for unit in units),
        rounds={_of(sheets, unit).unit: count for unit, count in rounds.items() if count > 1},
        tools=_tools(procedure, sheets),
        torques=torques,
        wrench=_wrench(torques, sheets),
        parts=tuple(
            one for unit in units for one in _parts(procedure, unit, _of(sheets, unit), rounds[unit])
        ),
        fluids=tuple(fluids),
        purchases=_purchases(fluids, {_of(sheets, unit).unit: _of(sheets, unit) for unit in units}, sold),
        waste=_waste(procedure, sheets, rounds),
        pans=tuple(one for unit in units if (one := pan_for(_of(sheets, unit))) is not None),
        times=times,
        time=_summed(times.values()),
        lacking=_lacking(procedure, sheets),
    )


def _of(sheets: Mapping[str, Sheet], unit: str) -> Sheet:
    return sheets.get(unit) or sheets[""]


def _mine(procedure: Procedure, unit: str) -> list[Step]:
    """Return the main steps that work on a unit: its own, and in a job of one unit all."""
    own = [one for one in procedure.steps if not one.aside]
    return [one for one in own if one.unit == unit] if unit else own


# ---------------------------------------------------------------- tools and parts


def _tools(procedure: Procedure, sheets: Mapping[str, Sheet]) -> tuple[str, ...]:
    """Return the tools of all steps, each once."""
    named = [part.strip() for step in procedure.steps if not step.aside for part in step.tool.split(",")]
    named += [sheet.texts.get("drain-plug-tool", "") for sheet in sheets.values()]
    kept: dict[str, str] = {}
    for one in named:
        if one:
            kept.setdefault(one.casefold(), one)
    return tuple(kept.values())


def _torques(procedure: Procedure, sheets: Mapping[str, Sheet]) -> Span | None:
    """Return the lowest and the highest torque the steps name."""
    found = [
        figure
        for step in procedure.steps
        for name in step.figures
        if name.endswith("-torque") and (figure := _of(sheets, step.unit).figure(name)) is not None
    ]
    if not found:
        return None
    in_order = sorted(found, key=lambda one: convert(one, "newton_metre").exact)
    return Span(in_order[0], in_order[-1])


def _wrench(torques: Span | None, sheets: Mapping[str, Sheet]) -> str:
    limits = [
        next((told for sheet in sheets.values() if (told := sheet.figure(name))), None)
        for name in ("wrench-lowest", "wrench-highest")
    ]
    if torques is None or limits[0] is None or limits[1] is None:
        return "unknown"
    for one in (torques.least, torques.most):
        verdict = wrench_fits(torque=one, lowest=limits[0], highest=limits[1]).verdict
        if verdict != "fits":
            return verdict
    return "fits"


def _parts(procedure: Procedure, unit: str, sheet: Sheet, rounds: int) -> Iterator[Part]:
    """Give the new parts: a washer for each plug that is asked for one, and what steps fit."""
    steps = _mine(procedure, unit)
    for step in steps:
        for one in step.awaits:
            if one.reading == "washer" and one.when.get("state") == ("new-on",):
                text = sheet.texts.get(WASHED_BY.get(step.plug, ""), "")
                yield Part("washer", rounds, sheet.unit, step.plug, text)
    for part in dict.fromkeys(part for step in steps for part in step.parts):
        yield Part(part, 1, sheet.unit, text=sheet.texts.get(part, ""))


# ---------------------------------------------------------------- fluids


def _drains(sheet: Sheet) -> Span | None:
    """Return what one drain brings, None where the sheet tells nothing of it."""
    names = ("drain-expected", "drain-least", "drain-most")
    expected, least, most = (sheet.figure(name) for name in names)
    low, high = least or expected or most, most or expected or least
    if low is None or high is None:
        return None
    return Span(convert(low, high.unit), high)


def _rounds(procedure: Procedure, unit: str, sheet: Sheet) -> int:
    """Return how often the unit is changed until the share wanted is new; 1 where that cannot be told."""
    figures = [sheet.figure(name) for name in ("capacity", "drain-expected", "new-wanted")]
    repeats = any(step.kind == "repeat" for step in _mine(procedure, unit))
    capacity, drain, wanted = figures
    if not repeats or capacity is None or drain is None or wanted is None:
        return 1
    return int(dilution.cycles(capacity=capacity, drain=drain, new=wanted).value.exact)


def _fluids(procedure: Procedure, unit: str, sheet: Sheet, rounds: int) -> Iterator[Fluid]:
    """Give what goes in: what a drain brings, round by round, and what a new filter takes up."""
    drains = _drains(sheet)
    if drains is None or not any(step.kind in ("plan", "mix") for step in _mine(procedure, unit)):
        return
    steps = _mine(procedure, unit)
    least, most = (_times_over(one, rounds) for one in (drains.least, drains.most))
    for name in [name for step in steps for name in step.adds]:
        more = sheet.figure(name)
        if more is not None:
            least, most = add(least, more), add(most, more)
    kind = sheet.texts.get("fluid-class", "")
    if any(step.kind == "mix" for step in steps):
        yield from _mixture(sheet, Span(least, most), kind)
    else:
        yield Fluid(sheet.unit, "fluid", kind, Span(least, most))


def _mixture(sheet: Sheet, room: Span, kind: str) -> Iterator[Fluid]:
    """Give concentrate and water; the most concentrate is what plain water in the system would take."""
    share, capacity = sheet.figure("coolant-share"), sheet.figure("capacity")
    if share is None:
        return
    part = share.exact / 100
    whole = convert(capacity, room.most.unit).exact if capacity is not None else room.most.exact
    most = measured(min(room.most.exact, whole * part), room.most.unit)
    yield Fluid(sheet.unit, "concentrate", kind, Span(_times_over(room.least, part), most))
    water = Span(measured(0, room.most.unit), _times_over(room.most, 1 - part))
    yield Fluid(sheet.unit, "water", "", water)


def _times_over(one: Measure, times: int | Fraction) -> Measure:
    return measured(one.exact * times, one.unit)


def _purchases(
    fluids: Sequence[Fluid], sheets: Mapping[str, Sheet], sold: Sequence[Measure]
) -> tuple[Purchase, ...]:
    """Return what to buy: units whose sheets call for one class and one container share what is bought."""
    shared: dict[tuple[str, ...], list[Fluid]] = {}
    for one in fluids:
        container = sheets[one.unit].figure("container")
        alike = (one.what, one.kind or one.unit, str(container))
        if one.what != "water":
            shared.setdefault(alike, []).append(one)
    return tuple(_purchase(group, [sheets[one.unit] for one in group], sold) for group in shared.values())


def _purchase(group: Sequence[Fluid], sheets: Sequence[Sheet], sold: Sequence[Measure]) -> Purchase:
    unit = group[0].amount.most.unit
    need = total((one.amount.most for one in group), unit)
    container = sheets[0].figure("container")
    stock = next((told for sheet in sheets if (told := sheet.figure("stock")) is not None), None)
    sizes = list(sold) or ([container] if container is not None else list(sold_in(unit)))
    figure = pouring.buy(need=need, size=sizes, at_hand=[stock] if stock is not None else [])
    counts = [int(figure.part(f"of-{number}").exact) for number in range(1, len(sizes) + 1)]
    return Purchase(
        what=group[0].what,
        kind=group[0].kind,
        units=tuple(one.unit for one in group),
        need=need,
        stock=stock,
        buy=tuple(Bought(count, size) for count, size in zip(counts, sizes, strict=True) if count),
        leftover=figure.part("leftover"),
    )


def sold_in(unit: str) -> tuple[Measure, ...]:
    """Return the sizes that are commonly sold where amounts are told in this unit."""
    return SOLD.get(system_of(unit), SOLD["metric"])


# ---------------------------------------------------------------- room for the old, and time


def _waste(procedure: Procedure, sheets: Mapping[str, Sheet], rounds: Mapping[str, int]) -> tuple[Waste, ...]:
    kinds: dict[str, Span] = {}
    for unit, times in rounds.items():
        drains = _drains(_of(sheets, unit))
        if drains is None:
            continue
        more = Span(_times_over(drains.least, times), _times_over(drains.most, times))
        kind = procedure.waste_of(unit)
        kinds[kind] = _plus(kinds[kind], more) if kind in kinds else more
    return tuple(Waste(kind, amount) for kind, amount in kinds.items())


def pan_for(sheet: Sheet) -> Pan | None:
    """Return whether the pan takes what may come at once; None where the sheet tells no amount at all.

    Where it tells none for a drain, all the unit holds may come.
    """
    drains, holds = _drains(sheet), sheet.figure("pan-holds")
    most = drains.most if drains is not None else sheet.figure("capacity")
    if most is None:
        return None
    verdict = "unknown" if holds is None else "enough" if compare(holds, most) >= 0 else "too-small"
    return Pan(sheet.unit, verdict, holds, most)


def _times(procedure: Procedure, rounds: Mapping[str, int]) -> dict[str, Span]:
    """Return what is waited for how long, over all rounds; a step that is repeated counts each time."""
    found: dict[str, Span] = {}
    for step in (one for one in procedure.steps if not one.aside):
        times = _often(procedure, step, rounds)
        for what, least, most in _of_step(step):
            more = Span(measured(least * times, "minute"), measured(most * times, "minute"))
            found[what] = _plus(found[what], more) if what in found else more
    return found


def _often(procedure: Procedure, step: Step, rounds: Mapping[str, int]) -> int:
    """Return how often a step is done: those from where a round begins up to its end once for each."""
    steps = [one for one in procedure.steps if not one.aside]
    for last in (one for one in steps if one.kind == "repeat"):
        first = steps.index(procedure.step(last.to))
        if first <= steps.index(step) <= steps.index(last):
            return rounds.get(last.unit, 1)
    return 1


def _of_step(step: Step) -> Iterator[tuple[str, Fraction, Fraction]]:
    """Give what a step takes, in minutes: its work or what it says it takes, and its timer."""
    if step.lasts is not None:
        yield step.lasts.what, Fraction(step.lasts.least), Fraction(step.lasts.most)
    elif step.timer is None:
        yield "work", *EACH_STEP
    if step.timer is not None:
        minutes, name = Fraction(step.timer.minutes), step.timer.name
        yield TIME_OF.get(name, "wait"), minutes, minutes * LONGER.get(name, 1)


def _plus(one: Span, other: Span) -> Span:
    unit = one.most.unit
    return Span(add(one.least, convert(other.least, unit)), add(one.most, convert(other.most, unit)))


def _summed(spans: Iterable[Span]) -> Span:
    whole = Span(Measure("0", "minute"), Measure("0", "minute"))
    for one in spans:
        whole = _plus(whole, one)
    return whole


def _lacking(procedure: Procedure, sheets: Mapping[str, Sheet]) -> tuple[Lacking, ...]:
    """Return what will be asked on the way: figures steps wait for, and what a plan is made of."""
    found: dict[Lacking, None] = {}
    for step in procedure.steps:
        sheet = _of(sheets, step.unit)
        for name in step.figures:
            if not step.aside and sheet.figure(name) is None:
                found[Lacking(sheet.unit, name)] = None
    for unit in tuple(procedure.units) or ("",):
        sheet = _of(sheets, unit)
        if _drains(sheet) is None:
            found[Lacking(sheet.unit, "drain-expected")] = None
    return tuple(found)
