"""Advice: the refill, what is still to pour, what the drip says; built on standing readings only."""

from __future__ import annotations

from fractions import Fraction

from assistant.dialogue.keeping import advice
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.dipstick import offset
from assistant.job.instant import elapsed
from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.reckoning import draining, refill
from assistant.reckoning.figure import Figure
from assistant.units import Measure, compare, convert, for_speech, measured

FIRST_SHARE = Fraction(4, 5)
"""Most of it first, then small pours with checks (common practice, no source)."""


def temperature_of(state: State, part: Reading) -> Measure | None:
    """Return how warm a drained part was: the next temperature said after it, else the last before it.

    A temperature told while judging a level is not one of the measured fluid.
    """
    told = [
        one
        for one in state.readings.values()
        if one.kind in ("temperature", "temperature-band")
        and one.counts
        and not state.procedure.step(one.step).mark
    ]
    later = [one for one in told if one.id > part.id]
    chosen = later[0] if later else (told[-1] if told else None)
    return band_or_measure(state, chosen) if chosen is not None else None


def band_or_measure(state: State, reading: Reading) -> Measure | None:
    """Return a temperature reading as a measure; a band is the estimate the procedure names for it."""
    if reading.kind == "temperature-band":
        value = state.procedure.bands.get(reading.slots.get("band", ""))
        return Measure(value, "celsius") if value is not None else None
    return reading.measure


def level_before(state: State) -> Reading | None:
    """Return the level found before anything was drained, or None."""
    first_out = min((one.id for one in balance.old_fluid(state)), default=None)
    found = [
        one
        for one in balance_free(state, "level")
        if first_out is None or _first_told(state, one) < first_out
    ]
    return found[-1] if found else None


def _first_told(state: State, reading: Reading) -> int:
    """Return the number under which a reading was told first, before any correction of it."""
    while reading.replaces is not None:
        reading = state.readings[reading.replaces]
    return reading.id


def balance_free(state: State, kind: str) -> list[Reading]:
    """Return the readings of a kind that count, whether or not they carry a number."""
    return [one for one in state.readings.values() if one.kind == kind and one.counts]


def drained_parts(state: State) -> list[tuple[Measure, Measure | None]]:
    """Return what came out of the old fluid, as far as it stands: each part and how warm it was."""
    parts = [
        (one.measure, temperature_of(state, one))
        for one in balance.old_fluid(state, standing=True)
        if one.measure is not None
    ]
    totals = [one for one in balance.old_fluid(state, standing=True) if one.slots.get("form") == "total"]
    if totals:
        total = balance.drained(state, standing=True)
        assert total is not None
        parts = [(total, temperature_of(state, totals[-1]))]
    return parts


def refill_figure(state: State) -> Figure | None:
    """Reckon the refill from the readings that stand, or None before anything was measured."""
    parts = drained_parts(state)
    if not parts:
        return None
    before = level_before(state)
    spills = [
        (one.measure, one.slots.get("about") == "yes")
        for one in balance.counted(state, "spilled", standing=True)
        if one.measure is not None and one.slots.get("fluid") == "old"
    ]
    return refill.refill(
        parts=parts,
        level_before=offset(before, state.sheet) if before is not None else None,
        spills=spills,
        residue=taken_up(state),
        density15=state.sheet.figure("fluid-density"),
        pour_at=state.sheet.figure("workshop"),
    )


def taken_up(state: State) -> tuple[Measure, ...]:
    """Return what new parts take up beside what came out, by the sheet and as the plan of this unit says."""
    plans = (one for one in state.procedure.steps if one.kind == "plan" and one.unit == state.unit_id)
    names = next((one.adds for one in plans), ())
    known = (state.sheet.figure(name) for name in names)
    return tuple(one for one in known if one is not None)


def outdated(turn: Turn) -> bool:
    """Say whether an advice was given that a change of readings has made void."""
    advice = turn.state.last_advice("refill")
    if advice is None:
        return turn.state.step.kind in ("plan", "mix")
    if any(one.kind == "mix" and one.unit == turn.state.unit_id for one in turn.state.procedure.steps):
        out = balance.drained(turn.state)
        return out is None or compare(out, advice.exact) != 0
    figure = refill_figure(turn.state)
    return figure is None or compare(figure.value, advice.exact) != 0


def let_stand(turn: Turn) -> None:
    """Asking for what is built on the readings lets those stand that were read back and not corrected."""
    for one in turn.state.unstanding():
        if one.consequence == "medium" and one.counts:
            turn.do(e.ReadingStood(at=turn.at, reading=one.id, how="next-sentence"))


def give_refill(turn: Turn) -> None:
    """Advise the refill and ask for a yes; says what is missing where it cannot be reckoned."""
    old = turn.state.last_advice("refill")
    let_stand(turn)
    figure = refill_figure(turn.state)
    if figure is None:
        turn.say("nothing-measured")
        return
    if old is not None:
        turn.do(e.AdviceRefused(at=turn.at, advice=old.id))
    capacity = turn.state.sheet.figure("capacity")
    if capacity is not None and compare(figure.value, capacity) > 0:
        turn.say("no-advice-over-capacity", amount=for_speech(figure.value), capacity=capacity)
        return
    unit = _spoken_unit(turn.state)
    exact = convert(figure.value, unit)
    spoken = for_speech(exact)
    doubt = _doubt(figure, unit)
    given = advice(turn, figure, "refill", exact, spoken, plus_minus=doubt, estimate=figure.estimate)
    turn.do(given, e.Asked(at=turn.at, question="advice", about=str(given.advice)))
    before = level_before(turn.state)
    low = offset(before, turn.state.sheet) if before is not None else None
    turn.say(
        "advise-refill",
        amount=spoken,
        low_by=for_speech(measured(-low.exact, low.unit)) if low is not None and low.exact < 0 else None,
        over_by=for_speech(low) if low is not None and low.exact > 0 else None,
        cooler_by=_thermal(figure, unit),
        estimate=figure.estimate,
        changed=old is not None,
    )


def _thermal(figure: Figure, unit: str) -> Measure | None:
    """Return what the cooler new fluid takes off the amount, None where it is too little to speak of."""
    correction = dict(figure.also).get("thermal-correction")
    if correction is None or compare(correction, Measure("-0.05", "litre")) > 0:
        return None
    less = convert(correction, unit)
    return for_speech(measured(-less.exact, unit))


def _doubt(figure: Figure, unit: str) -> str:
    """Return the uncertainty of a figure as a decimal string in `unit`, empty without one."""
    return convert(figure.plus_minus, unit).value if figure.plus_minus is not None else ""


def _spoken_unit(state: State) -> str:
    """Return the unit the mechanic measures in."""
    first = next(iter(balance.old_fluid(state, standing=True)), None)
    return first.unit if first is not None and first.unit else "litre"


def repeat(turn: Turn, number: int) -> None:
    """Ask again for a yes to an advice."""
    turn.say("advise-again", amount=turn.state.advice[number].spoken)


def say_pours(turn: Turn) -> None:
    """Say how the advised amount is poured: most of it first, then small pours with checks."""
    left = balance.to_go(turn.state)
    advice = turn.state.last_advice("refill")
    if advice is None or left is None:
        return
    if balance.poured(turn.state) is None:
        first = for_speech(measured(advice.exact.exact * FIRST_SHARE, left.unit))
        turn.say("pour-first", amount=first, whole=advice.spoken)
    else:
        say_to_go(turn)


def say_to_go(turn: Turn) -> None:
    """Say what is in and what is still to pour."""
    done, left = balance.poured(turn.state), balance.to_go(turn.state)
    if left is None:
        turn.say("no-advice-yet")
        return
    size = for_speech(left)
    if abs(left.exact) < abs(measured(size.exact, size.unit).exact) / 2 or size.exact == 0:
        turn.say("pour-complete", done=done and for_speech(done))
    elif left.exact < 0:
        turn.say(
            "pour-over", done=done and for_speech(done), over=for_speech(measured(-left.exact, left.unit))
        )
    else:
        turn.say(
            "pour-to-go",
            done=done and for_speech(done),
            left=size,
            can=_next_can(turn.state, done),
            estimate=balance.estimated(turn.state),
        )


def _next_can(state: State, done: Measure | None) -> int:
    """Return which container of the sheet's size the next pour comes from; 0 where one is enough."""
    size, advice = state.sheet.figure("container"), state.last_advice("refill")
    if size is None or advice is None or done is None or compare(advice.exact, size) <= 0:
        return 0
    return int(done.exact / convert(size, done.unit).exact) + 1


def give_drip(turn: Turn, reading: Reading) -> None:
    """Say what the drip interval means: how much is still to come, and what ten more minutes bring."""
    timer = turn.state.timer("drain")
    if timer is None or reading.measure is None:
        return
    since = measured(Fraction(elapsed(timer.started, reading.at).ms, 1000), "second")
    if compare(since, Measure("10", "second")) < 0:
        return
    try:
        figure = draining.still_to_come(interval=reading.measure, since_drops=since)
    except WrongInput:
        return  # so seldom a drop that there is nothing to reckon; the reading is kept
    left = for_speech(convert(figure.value, "millilitre"))
    doubt = _doubt(figure, "millilitre")
    turn.do(advice(turn, figure, "still-to-come", figure.value, left, plus_minus=doubt, estimate=True))
    turn.say(
        "drip-advice",
        left=left,
        more=for_speech(convert(figure.part("next-wait"), "millilitre")),
        minutes=10,
    )
