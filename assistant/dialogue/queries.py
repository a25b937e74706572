"""Questions the mechanic asks: they change nothing and are answered at any time."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue import advising, last_time, steps
from assistant.dialogue.expectation import expected_kinds
from assistant.dialogue.questions import repeat_question
from assistant.dialogue.reckonings import RECKONINGS
from assistant.dialogue.reply import Turn
from assistant.grammar.meaning import Meaning
from assistant.job import balance, timers
from assistant.units import Measure, convert, for_speech


def _say_again(turn: Turn, meaning: Meaning) -> None:
    if turn.said_before:
        turn.replies.extend(turn.said_before)
    else:
        _where(turn, meaning)


def _in_full(turn: Turn, meaning: Meaning) -> None:
    steps.instruct(turn, full=True, stay=True)


def _where(turn: Turn, meaning: Meaning) -> None:
    if turn.state.question is not None:
        turn.say("where", number=turn.state.procedure.number(turn.state.step_id), title=turn.state.step.title)
        repeat_question(turn)
        return
    steps.instruct(turn, stay=True)


def _how_long(turn: Turn, meaning: Meaning) -> None:
    wanted, of = meaning.slot("name"), meaning.slot("of")
    running = [one for one in timers.running(turn.state) if one.of == of or not of]
    chosen = [one for one in running if not wanted or one.name == wanted]
    if not chosen:
        over = turn.state.at_unit(of or turn.state.unit_id).timer(wanted)
        turn.say("no-timer" if over is None else "timer-was-over", name=wanted)
    for one in chosen:
        gone = timers.gone(one, turn.at)
        turn.say(
            "timer-gone",
            name=one.name,
            unit=turn.state.unit_name(one.of),
            gone=gone.ms,
            left=max(one.ms - gone.ms, 0),
            named=len(timers.running(turn.state)) > 1,
        )


def _out(turn: Turn, meaning: Meaning) -> None:
    total = balance.drained(turn.state)
    turn.say("out-so-far" if total else "nothing-out", total=total and for_speech(total))


def _in(turn: Turn, meaning: Meaning) -> None:
    total = balance.poured(turn.state)
    turn.say("in-so-far" if total else "nothing-in", total=total and for_speech(total))


def _to_go(turn: Turn, meaning: Meaning) -> None:
    advising.say_to_go(turn)


def _how_sure(turn: Turn, meaning: Meaning) -> None:
    advice = turn.state.last_advice("refill")
    if advice is None:
        turn.say("no-advice-yet")
        return
    bound = Measure(advice.plus_minus, advice.exact.unit) if advice.plus_minus else None
    turn.say(
        "how-sure", amount=advice.spoken, plus_minus=bound and for_speech(bound), estimate=advice.estimate
    )


def _which_torque(turn: Turn, meaning: Meaning) -> None:
    fill, drain = (turn.state.sheet.figure(f"{plug}-plug-torque") for plug in ("fill", "drain"))
    plug = meaning.slot("plug")
    if not plug and fill is not None and drain is not None:
        turn.say("torque-both", drain=drain, fill=fill)
        return
    plug = plug or "drain"
    figure = turn.state.sheet.figure(f"{plug}-plug-torque")
    if figure is None:
        turn.say("no-figure", figure=f"{plug}-plug-torque")
        return
    unit = meaning.slot("in")
    turn.say("torque-is", plug=plug, torque=for_speech(convert(figure, unit)) if unit else figure)


def _which_tool(turn: Turn, meaning: Meaning) -> None:
    tool = turn.state.step.tool or turn.state.sheet.texts.get("drain-plug-tool", "")
    turn.say("tool-is" if tool else "no-tool", text=tool, sheet=turn.state.sheet)


def _which_fluid(turn: Turn, meaning: Meaning) -> None:
    fluid = turn.state.sheet.texts.get("fluid-class", "")
    turn.say("fluid-is" if fluid else "no-fluid", text=fluid)


def _what_heard(turn: Turn, meaning: Meaning) -> None:
    last = turn.state.last_reading()
    if last is None:
        turn.say("heard-nothing")
    else:
        turn.say("heard-was", words=last.words, reading=last)


def _list_words(turn: Turn, meaning: Meaning) -> None:
    turn.say("words", kinds=expected_kinds(turn.state))


def _caution(turn: Turn, meaning: Meaning) -> None:
    if turn.state.step.cautions:
        steps.speak_cautions(turn, again=True)
    else:
        turn.say("no-caution")


QUERIES: dict[str, Callable[[Turn, Meaning], None]] = {
    "say-again": _say_again,
    "in-full": _in_full,
    "where": _where,
    "how-long": _how_long,
    "how-much-out": _out,
    "how-much-in": _in,
    "how-much-to-go": _to_go,
    "how-sure": _how_sure,
    "which-torque": _which_torque,
    "which-tool": _which_tool,
    "which-fluid": _which_fluid,
    "what-heard": _what_heard,
    "list-words": _list_words,
    "caution": _caution,
    "last-service": last_time.asked,
    **RECKONINGS,
}
