"""What a step reckons and tells on being entered, as its file says: a share, what is owed, a class of oil."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.dialogue import advising
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.job import balance, planning
from assistant.job.state import State
from assistant.reckoning import balance as owing
from assistant.reckoning import dilution, fluid_class
from assistant.units import for_speech, measured

OTHER_CLASS = "other-class"
OTHER_UNIT = "the other unit"
"""What a unit is called whose plug was taken for one of this unit."""


def pan_too_small(turn: Turn) -> None:
    """Warn before anything is opened where more may come than the pan takes."""
    pan = planning.pan_for(turn.state.sheet)
    if pan is not None and pan.verdict == "too-small" and pan.holds is not None:
        turn.say("pan-too-small", holds=for_speech(pan.holds), most=for_speech(pan.most))


def _old_left(turn: Turn) -> str:
    """Tell what share of the old one change leaves, by the sheet; nothing where that lacks the figures."""
    capacity, drain = (turn.state.sheet.figure(name) for name in ("capacity", "drain-expected"))
    if capacity is None or drain is None:
        return ""
    try:
        figure = dilution.old_left(capacity=capacity, drains=[drain])
    except WrongInput:
        return ""
    turn.say("one-change-leaves", share=figure.spoken, amount=for_speech(figure.part("old")))
    return ""


def _still_owed(turn: Turn) -> str:
    """Tell what is in and what is still to go in."""
    advising.say_to_go(turn)
    return ""


def was_mixed_up(state: State) -> bool:
    """Say whether what came out of this unit was found to be another's."""
    steps = (one for one in state.procedure.steps if one.tells == "mixed-up" and one.unit == state.unit_id)
    return any(one.id in (state.step_id, *state.completed) for one in steps)


def _mixed_up(turn: Turn) -> str:
    tell_mixed_up(turn)
    return ""


def tell_mixed_up(turn: Turn) -> None:
    """Tell what is too much in this unit and what another is owed, where the plug was another's."""
    out, into = balance.drained(turn.state), balance.poured(turn.state)
    name = turn.state.unit_name() or turn.state.sheet.unit
    figures = owing.mixed_up(
        drained={} if out is None else {OTHER_UNIT: [out]},
        poured={} if into is None or into.exact < 0 else {name: [into]},
    )
    for unit, figure in figures:
        amount = for_speech(measured(abs(figure.value.exact), figure.value.unit))
        turn.say("unit-owed", unit=unit, how=figure.notes[0], amount=amount)


def _oil_class(turn: Turn) -> str:
    """Hold the viscosity of the sheet against the class of the sheet; return the exit where it is another."""
    try:
        verdict = class_of(turn)
    except WrongInput:
        return ""
    if verdict:
        turn.say("class-verdict", verdict=verdict)
    return OTHER_CLASS if verdict not in ("", "of-class") else ""


def class_of(turn: Turn) -> str:
    """Return of-class, too-thin or too-thick by the sheet's own figures, "" where it lacks one.

    Raises `WrongInput` for a class no table knows.
    """
    table, _, grade = turn.state.sheet.texts.get("fluid-grade", "").partition(" ")
    viscosity = turn.state.sheet.figure("fluid-viscosity")
    if not grade or viscosity is None:
        return ""
    return fluid_class.of_class(table=table, grade=grade, viscosity=viscosity).verdict


TELLS: Mapping[str, Callable[[Turn], str]] = {
    "old-left": _old_left,
    "still-owed": _still_owed,
    "oil-class": _oil_class,
    "mixed-up": _mixed_up,
}
"""What a step may tell -> what reckons it; it returns the exit to be taken, "" where there is none."""
