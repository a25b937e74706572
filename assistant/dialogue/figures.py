"""Figures of the job: those the sheet holds or lacks, and those the mechanic gives by voice."""

from __future__ import annotations

from assistant.dialogue.reply import Heard, Turn
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.units import Measure, settled

OF_THE_VEHICLE = ("capacity", "container")
"""Figures a mechanic may give where the sheet lacks them, and changes only by a correction."""


def lacks(turn: Turn, *names: str) -> bool:
    """Say which of these figures is missing, the first one only; False where all are there."""
    for name in names:
        if turn.state.sheet.figure(name) is None:
            turn.say("needs-figure", figure=name)
            return True
    return False


def told(turn: Turn, name: str) -> Measure:
    """Return a figure that is known to be there."""
    figure = turn.state.sheet.figure(name)
    assert figure is not None, "lacks() was asked first"
    return figure


def take_figure(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """Keep a figure the mechanic gives by voice; one of the vehicle changes only by a correction."""
    name = meaning.slot("name")
    known = turn.state.sheet.figure(name)
    if meaning.value is None or meaning.unit is None or not heard.sure:
        turn.say("figure-anew", figure=name)
    elif not settled(meaning.unit):
        turn.say("figure-which-system", figure=name)
    elif name in OF_THE_VEHICLE and known is not None and not meaning.slot("correcting"):
        turn.say("figure-stands", figure=name, measure=known)
    else:
        of = turn.state.unit_id
        turn.do(e.FigureSupplied(at=turn.at, name=name, value=meaning.value, unit=meaning.unit, of=of))
        turn.say("figure-kept", figure=name, measure=turn.state.sheet.figure(name))
