"""Questions that are reckoned from what the job knows: shares, changes, torques, what to buy, what is due.

Each answer is made of readings that stand and figures of the sheet or of the mechanic. What is missing
is named, with how to give it; nothing is assumed in its place. What somebody acts on is advice, and an event.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil

from assistant.dialogue import advising, asked_fluids, asked_levels, asked_tools, converting, telling, warmth
from assistant.dialogue.figures import lacks, told
from assistant.dialogue.keeping import keep
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job import balance, planning
from assistant.job.past import last_time
from assistant.reckoning import coolant, dilution, due, pouring, torque
from assistant.reckoning import refill as filling
from assistant.units import Measure, compare, convert, for_speech, measured

NEW_FROM = Measure("50", "percent")
"""A share said without "new" or "old" is of new fluid from here up, of old fluid below."""
PLUGS = ("drain", "fill")


# ---------------------------------------------------------------- how much is old, how many changes


def _drained(turn: Turn) -> Measure | None:
    """Return what came out in all as far as it stands, None before anything was measured."""
    advising.let_stand(turn)
    return balance.drained(turn.state, standing=True)


def _old(turn: Turn, meaning: Meaning) -> None:
    drained = _drained(turn)
    if drained is None:
        turn.say("nothing-measured")
    elif not lacks(turn, "capacity"):
        figure = dilution.old_left(capacity=told(turn, "capacity"), drains=[drained])
        turn.say("old-left", share=figure.spoken, amount=for_speech(figure.part("old")))


def _changes(turn: Turn, meaning: Meaning) -> None:
    if meaning.value is None or meaning.unit is None:
        turn.say("share-needed")
        return
    drained = _drained(turn)
    if lacks(turn, "capacity") or (drained is None and lacks(turn, "drain-expected")):
        return
    share = Measure(meaning.value, meaning.unit)
    of = meaning.slot("of") or ("new" if compare(share, NEW_FROM) >= 0 else "old")
    figure = dilution.cycles(
        capacity=told(turn, "capacity"), drain=drained or told(turn, "drain-expected"), **{of: share}
    )
    turn.say(
        "changes",
        count=int(keep(turn, figure).exact),
        share=share,
        of=of,
        fluid=for_speech(figure.part("fluid")),
        by_sheet=drained is None,
    )


# ---------------------------------------------------------------- torque


def _convert(turn: Turn, meaning: Meaning) -> None:
    assert meaning.value is not None, "the sentence holds a value"
    assert meaning.unit is not None, "and its unit"
    given = Measure(meaning.value, meaning.unit)
    turn.say(
        "torque-makes", given=given, torque=keep(turn, torque.convert(torque=given, unit=meaning.slot("in")))
    )


def _setting(turn: Turn, meaning: Meaning) -> None:
    sheet = turn.state.sheet
    if meaning.value is None or meaning.unit is None:
        turn.say("adapter-needed")
        return
    known = {plug: spec for plug in PLUGS if (spec := sheet.figure(f"{plug}-plug-torque")) is not None}
    plug = meaning.slot("plug") or ("fill" if list(known) == ["fill"] else "drain")
    if not meaning.slot("plug") and len(known) > 1 and compare(*known.values()) != 0:
        turn.say("which-plug-torque")
        return
    if lacks(turn, f"{plug}-plug-torque", "wrench-length"):
        return
    figure = torque.with_adapter(
        torque=known[plug],
        length=told(turn, "wrench-length"),
        adapter=Measure(meaning.value, meaning.unit),
    )
    turn.say(
        "adapter-setting",
        setting=keep(turn, figure),
        torque=known[plug],
        plug=plug,
        adapter=Measure(meaning.value, meaning.unit),
        length=told(turn, "wrench-length"),
    )


# ---------------------------------------------------------------- what is owed, bought and poured


def _owed(turn: Turn, meaning: Meaning) -> None:
    advising.let_stand(turn)
    parts = advising.drained_parts(turn.state)
    inside = balance.poured(turn.state)
    if not parts:
        turn.say("nothing-measured")
        return
    figure = filling.balance(
        drained=parts,
        poured=[(inside, None)] if inside is not None and inside.exact > 0 else [],
        density15=turn.state.sheet.figure("fluid-density"),
        pour_at=turn.state.sheet.figure("workshop"),
    )
    amount = for_speech(measured(abs(figure.value.exact), figure.value.unit))
    turn.say("owed", how=figure.notes[0], amount=amount)


def _need(turn: Turn) -> Measure | None:
    """Return the fluid still needed: by the advice, else what the sheet expects; says what is missing."""
    left = balance.to_go(turn.state)
    if left is not None:
        if left.exact > 0 and for_speech(left).exact > 0:
            return left
        turn.say("nothing-needed")
        return None
    advice = turn.state.last_advice("refill")
    if advice is not None:
        return advice.exact
    return None if lacks(turn, "drain-expected") else told(turn, "drain-expected")


def _buy(turn: Turn, meaning: Meaning) -> None:
    need = _need(turn)
    if need is None or lacks(turn, "container"):
        return
    stock = turn.state.sheet.figure("stock")
    figure = pouring.buy(
        need=need, size=[told(turn, "container")], at_hand=[stock] if stock is not None else []
    )
    turn.say(
        "buy",
        count=int(keep(turn, figure).exact),
        size=told(turn, "container"),
        need=for_speech(need),
        left=for_speech(figure.part("leftover")),
        by_sheet=turn.state.last_advice("refill") is None,
        stock=stock,
    )


def _pour_plan(turn: Turn, meaning: Meaning) -> None:
    need = _need(turn)
    if need is None or lacks(turn, "container"):
        return
    size, stock = told(turn, "container"), turn.state.sheet.figure("stock")
    cans = [size] * ceil(need.exact / convert(size, need.unit).exact) if stock is None else _cans(size, stock)
    figure = pouring.plan(need=need, at_hand=cans)
    pours = [pour for name, pour in figure.also if name.startswith("pour-")]
    full = sum(compare(pour, size) == 0 for pour in pours)
    turn.say(
        "pour-plan",
        full=full,
        last=for_speech(pours[-1]) if len(pours) > full else None,
        left=for_speech(figure.part("leftover")) if figure.part("leftover").exact else None,
        short=for_speech(figure.value) if figure.value.exact else None,
    )


def _cans(size: Measure, amount: Measure) -> list[Measure]:
    """Return the cans an amount stands in: full ones of the size, then the one begun."""
    full, rest = divmod(amount.exact, convert(size, amount.unit).exact)
    return [size] * int(full) + ([measured(rest, amount.unit)] if rest else [])


# ---------------------------------------------------------------- the next service, other fluids


def _next_service(turn: Turn, meaning: Meaning) -> None:
    clock = turn.state.last_reading("distance")
    last = last_time(turn.state.past, turn.state.sheet.unit)
    today = clock.measure if clock is not None else None
    counted = today or (last.distance if last is not None else None)
    if counted is None:
        turn.say("needs-distance")
    elif not lacks(turn, "service-interval"):
        figure = due.at_distance(now=counted, every=told(turn, "service-interval"))
        turn.say("due-at", distance=keep(turn, figure), by_last=today is None)


def _plan(turn: Turn, meaning: Meaning) -> None:
    turn.say("plan", plan=planning.plan(turn.state.procedure, turn.state.sheets))


def _concentrate(turn: Turn, meaning: Meaning) -> None:
    share = turn.state.sheet.figure("coolant-share")
    if meaning.value is not None and meaning.unit is not None:
        share = Measure(meaning.value, meaning.unit)
    if share is None:
        turn.say("needs-figure", figure="coolant-share")
        return
    drained = _drained(turn)
    if lacks(turn, "capacity", "coolant-left"):
        return
    if drained is None:
        turn.say("nothing-measured")
        return
    figure = coolant.concentrate(
        capacity=told(turn, "capacity"), drained=drained, target=share, left=told(turn, "coolant-left")
    )
    if "not-reachable" in figure.notes:
        turn.say("mixture-out-of-reach", share=share, drain=for_speech(figure.part("drain-at-least")))
        return
    turn.say("mixture", share=share, concentrate=keep(turn, figure), water=for_speech(figure.part("water")))


def _class(turn: Turn, meaning: Meaning) -> None:
    if not turn.state.sheet.texts.get("fluid-grade", "").partition(" ")[2]:
        turn.say("no-grade")
    elif not lacks(turn, "fluid-viscosity"):
        turn.say("class-verdict", verdict=telling.class_of(turn))


BY_NAME: Mapping[str, Callable[[Turn, Meaning], None]] = {
    **asked_tools.ASKED,
    **asked_fluids.ASKED,
    **asked_levels.ASKED,
}
"""Name of a computation -> what answers the question for it, where it has no kind of its own."""


def _by_name(turn: Turn, meaning: Meaning) -> None:
    BY_NAME[meaning.slot("name")](turn, meaning)


def _reckoned(ask: Callable[[Turn, Meaning], None]) -> Callable[[Turn, Meaning], None]:
    """Return a question that answers plainly where its figures lie outside of what can be reckoned."""

    def asked(turn: Turn, meaning: Meaning) -> None:
        try:
            ask(turn, meaning)
        except WrongInput:
            turn.say("out-of-range")

    return asked


RECKONINGS: dict[str, Callable[[Turn, Meaning], None]] = {
    kind: _reckoned(ask)
    for kind, ask in {
        "how-much-old": _old,
        "how-many-changes": _changes,
        "convert-torque": _convert,
        "which-setting": _setting,
        "what-is-owed": _owed,
        "what-to-buy": _buy,
        "pour-plan": _pour_plan,
        "next-service": _next_service,
        "plan": _plan,
        "how-much-concentrate": _concentrate,
        "of-class": _class,
        "convert": converting.ask,
        "reckon": _by_name,
        **warmth.QUESTIONS,
    }.items()
}
"""Kind of question -> what answers it."""
