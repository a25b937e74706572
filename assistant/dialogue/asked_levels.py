"""Questions about levels, draining and pouring: how many litres, how long, when to stop, what is due."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from assistant.dialogue import telling, warmth
from assistant.dialogue.asking import drained_or_expected, known, needed, thickness
from assistant.dialogue.keeping import keep
from assistant.dialogue.overflows import plug_verdict
from assistant.dialogue.reply import Turn
from assistant.grammar.meaning import Meaning
from assistant.job import balance
from assistant.job.instant import day_of, elapsed
from assistant.job.reading import Reading
from assistant.reckoning import balance as owing
from assistant.reckoning import draining, due, level, pouring, refill
from assistant.units import Measure, convert, for_speech, kind_of, measured


def _size(measure: Measure) -> Measure:
    return measured(abs(measure.exact), measure.unit)


def _last(turn: Turn, kind: str) -> Reading | None:
    """Return the last reading of a kind; says what is missing where none was told."""
    found = turn.state.last_reading(kind)
    if found is None:
        turn.say("needs-reading", kind=kind)
    return found


# ---------------------------------------------------------------- levels


def _offset(turn: Turn, meaning: Meaning) -> None:
    reading = _last(turn, "level")
    found = needed(turn, "span") if reading is not None else None
    if reading is None or found is None:
        return
    length = reading.measure is not None and kind_of(reading.measure.unit) == "length"
    if length and needed(turn, "span-length") is None:
        return
    slots = reading.slots
    figure = level.offset(
        place=slots.get("place", "at"),
        span_litres=found[0],
        amount=reading.measure,
        mark=slots.get("mark", "full"),
        share=slots.get("share"),
        span_mm=known(turn, "span-length"),
    )
    keep(turn, figure)
    low = figure.value.exact < 0
    bound = "off-the-stick" in figure.notes
    turn.say("level-offset", away=for_speech(_size(figure.value)), low=low, bound=bound)


def _to_add(turn: Turn, meaning: Meaning) -> None:
    reading = _last(turn, "level")
    found = needed(turn, "span", "span-length") if reading is not None else None
    if reading is None or found is None:
        return
    span, length = found
    measure, place = reading.measure, reading.slots.get("place", "")
    if measure is None or kind_of(measure.unit) != "length":
        _offset(turn, meaning)
        return
    from_mark = convert(measure, "millimetre").exact * (-1 if place == "below" else 1)
    if reading.slots.get("mark") == "low":
        from_mark -= convert(length, "millimetre").exact
    figure = level.add_or_drain(
        reading=measured(from_mark, "millimetre"),
        target=Measure("0", "millimetre"),
        span_litres=span,
        span_mm=length,
    )
    keep(turn, figure)
    turn.say("level-to-add", amount=for_speech(_size(figure.value)), drain=figure.value.exact < 0)


def _rise(turn: Turn, meaning: Meaning) -> None:
    mark = warmth.mark_now(turn)
    found = needed(turn, "capacity", f"{mark}-low", f"{mark}-high")
    now = warmth.warmth_now(turn) if found is not None else None
    if found is None or now is None:
        return
    capacity, low, high = found
    middle = measured((low.exact + convert(high, low.unit).exact) / 2, low.unit)
    figure = level.shift(
        volume=capacity,
        at=now,
        to=middle,
        span_litres=known(turn, "span"),
        span_mm=known(turn, "span-length"),
        density15=known(turn, "fluid-density"),
    )
    keep(turn, figure)
    away = for_speech(_size(figure.value), figure.plus_minus)
    turn.say("level-rise", away=away, falls=figure.value.exact < 0, at=for_speech(now), to=for_speech(middle))


def _pan(turn: Turn, meaning: Meaning) -> None:
    assert meaning.value is not None, "the sentence holds a height"
    assert meaning.unit is not None, "and its unit"
    found = needed(turn, "pan-area")
    if found is not None:
        height = Measure(meaning.value, meaning.unit)
        turn.say("pan-volume", height=height, volume=keep(turn, level.of_pan(area=found[0], height=height)))


def _plug_says(turn: Turn, meaning: Meaning) -> None:
    flow = _last(turn, "drip-state")
    mark = "overflow" if known(turn, "overflow-low") is not None else "hot"
    found = needed(turn, f"{mark}-low", f"{mark}-high") if flow is not None else None
    now = warmth.warmth_now(turn) if found is not None else None
    if flow is None or found is None or now is None:
        return
    low, high = found
    verdict = plug_verdict(turn.state, flow, temperature=now, low=low, high=high)
    if verdict.verdict in ("too-cold", "too-hot"):
        turn.say(verdict.verdict, temperature=for_speech(now), low=for_speech(low), high=for_speech(high))
    else:
        turn.say("plug-says", verdict=verdict.verdict)


def _believe(turn: Turn, meaning: Meaning) -> None:
    last = _last(turn, "level")
    if last is None:
        return
    told = [one for one in turn.state.readings.values() if one.kind == "level" and one.counts]
    places = [one.slots.get("place", "at") for one in told if one.step == last.step]
    turn.say("believe-stick", verdict=level.believe(places=places).verdict)


# ---------------------------------------------------------------- draining


def _drip_rate(turn: Turn, meaning: Meaning) -> None:
    last = turn.state.last_reading("drip")
    if last is None or last.measure is None:
        turn.say("needs-drip")
        return
    turn.say("drip-rate", rate=keep(turn, draining.drip_rate(interval=last.measure)), interval=last.measure)


def _time_to_drain(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "pan-area", "hole", "drain-expected")
    if found is not None:
        figure = draining.time_to_drain(area=found[0], hole=found[1], volume=found[2])
        keep(turn, figure)
        long = figure.value.exact >= 120
        time = for_speech(convert(figure.value, "minute")) if long else figure.spoken
        turn.say("time-to-drain", time=time)


def _clinging(turn: Turn, meaning: Meaning) -> None:
    timer = turn.state.timer("drain")
    if timer is None:
        turn.say("needs-drain-timer")
        return
    found = needed(turn, "wall-width", "wall-height")
    now = warmth.warmth_now(turn) if found is not None else None
    thick = thickness(turn, now) if now is not None else None
    if found is None or now is None or thick is None:
        return
    figure = draining.clinging(
        width=found[0],
        height=found[1],
        viscosity=thick.value,
        after=measured(Fraction(elapsed(timer.started, turn.at).ms, 1000), "second"),
    )
    turn.say("clinging", volume=keep(turn, figure), at=for_speech(now))


def _warm_or_cold(turn: Turn, meaning: Meaning) -> None:
    found = needed(turn, "workshop")
    now = warmth.warmth_now(turn) if found is not None else None
    warm = thickness(turn, now) if now is not None else None
    if found is None or now is None or warm is None:
        return
    cold = thickness(turn, found[0])
    if cold is not None:
        figure = draining.warm_against_cold(warm=warm.value, cold=cold.value)
        turn.say("clings-colder", times=keep(turn, figure), warm=for_speech(now), cold=for_speech(found[0]))


# ---------------------------------------------------------------- pouring and balances


def _must_stop(turn: Turn, meaning: Meaning) -> None:
    advice, inside = turn.state.last_advice("refill"), balance.poured(turn.state)
    if advice is None:
        turn.say("no-advice-yet")
        return
    verdict = owing.must_stop(
        refill=advice.exact,
        poured=[inside] if inside is not None and inside.exact > 0 else [],
        capacity=known(turn, "capacity"),
        takes_it="will-not-take" not in turn.state.exits,
    )
    done = for_speech(inside) if inside is not None else None
    turn.say("must-stop", verdict=verdict.verdict, done=done, refill=advice.spoken)


def _plausible(turn: Turn, meaning: Meaning) -> None:
    out = balance.drained(turn.state)
    if out is None:
        turn.say("nothing-measured")
        return
    found = needed(turn, "drain-expected")
    if found is not None:
        verdict = refill.plausible_amount(amount=out, expected=found[0]).verdict
        turn.say("plausible-amount", verdict=verdict, amount=for_speech(out), expected=found[0])


def _each_unit(turn: Turn, meaning: Meaning) -> None:
    """What every unit of the job is owed: what came out of it, less what went into it."""
    state = turn.state
    if telling.was_mixed_up(state):
        telling.tell_mixed_up(turn)
        return
    out: dict[str, list[Measure]] = {}
    inside: dict[str, list[Measure]] = {}
    for unit in state.units:
        seen, name = state.at_unit(unit), state.unit_name(unit) or state.sheet.unit
        for into, amount in ((out, balance.drained(seen)), (inside, balance.poured(seen))):
            if amount is not None and amount.exact > 0:
                into.setdefault(name, []).append(amount)
    if not out and not inside:
        turn.say("nothing-measured")
        return
    for name, figure in owing.mixed_up(drained=out, poured=inside):
        turn.say("unit-owed", unit=name, how=figure.notes[0], amount=for_speech(_size(figure.value)))


def _first(turn: Turn, meaning: Meaning) -> None:
    advice = turn.state.last_advice("refill")
    need = advice.exact if advice is not None else drained_or_expected(turn)
    if need is not None:
        figure = pouring.first_pour(need=need)
        then = for_speech(figure.part("then"))
        turn.say("first-pour", first=keep(turn, figure), then=then, by_sheet=advice is None)


# ---------------------------------------------------------------- the next service


def _date(turn: Turn, meaning: Meaning) -> None:
    months, every = known(turn, "service-months"), known(turn, "service-interval")
    yearly = known(turn, "distance-a-year")
    if months is None and (every is None or yearly is None):
        needed(turn, "service-months")
        return
    today = day_of(turn.at.utc_ms)
    verdict = due.on_date(on=today, months=months, every=every, yearly=yearly)
    turn.say("due-on", date=verdict.verdict, first="whichever-first" in verdict.notes)


def _distance_left(turn: Turn, meaning: Meaning) -> None:
    clock = turn.state.last_reading("distance")
    if clock is None or clock.measure is None:
        turn.say("needs-distance")
        return
    found = needed(turn, "service-due")
    if found is not None:
        figure = due.distance_left(now=clock.measure, due=found[0])
        keep(turn, figure)
        turn.say("distance-left", distance=for_speech(_size(figure.value)), past=figure.value.exact < 0)


ASKED: Mapping[str, Callable[[Turn, Meaning], None]] = {
    "level-offset": _offset,
    "level-to-add": _to_add,
    "level-shift": _rise,
    "pan-volume": _pan,
    "overflow": _plug_says,
    "believe": _believe,
    "drip-rate": _drip_rate,
    "time-to-drain": _time_to_drain,
    "clinging": _clinging,
    "warm-against-cold": _warm_or_cold,
    "must-stop": _must_stop,
    "plausible-amount": _plausible,
    "mixed-up": _each_unit,
    "first-pour": _first,
    "due-on": _date,
    "distance-left": _distance_left,
}
"""Name of a computation -> what answers the question for it."""
