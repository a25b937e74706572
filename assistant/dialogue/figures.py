"""Figures of the job: those the sheet holds or lacks, and those the mechanic gives by voice."""

from __future__ import annotations

from assistant.dialogue.reply import Heard, Turn
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.units import Measure, convert, kind_of, measured, settled

OF_THE_VEHICLE = (
    "capacity", "container", "pan-bolt-torque", "bolt-count", "fluid-viscosity", "fluid-viscosity-40",
    "coolant-share",
)  # fmt: skip
"""Figures a mechanic may give where the sheet lacks them, and changes only by a correction."""


IN_PARTS = {"wrench-range": ("wrench-lowest", "wrench-highest"), "wall": ("wall-width", "wall-height")}
"""What is said in one sentence and kept as two figures."""


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
    """Keep a figure the mechanic gives by voice; one of the vehicle changes only by a correction.

    A torque that holds a -teen or -ty is not kept before it was said digit by digit.
    """
    name = meaning.slot("name")
    first = IN_PARTS.get(name, (name,))[0]
    known = turn.state.sheet.figure(first)
    if meaning.value is None or meaning.unit is None or not heard.sure:
        turn.say("figure-anew", figure=first)
    elif not settled(meaning.unit):
        turn.say("figure-which-system", figure=first)
    elif heard.twin is not None and kind_of(meaning.unit) == "torque":
        turn.say("figure-digits", figure=first)
    elif name in OF_THE_VEHICLE and known is not None and not meaning.slot("correcting"):
        turn.say("figure-stands", figure=name, measure=known)
    elif (parts := _parts(name, meaning)) is None:
        turn.say("figure-anew", figure=first)
    else:
        of = turn.state.unit_id
        for one, measure in parts:
            turn.do(e.FigureSupplied(at=turn.at, name=one, value=measure.value, unit=measure.unit, of=of))
            turn.say("figure-kept", figure=one, measure=turn.state.sheet.figure(one))


def _parts(name: str, meaning: Meaning) -> list[tuple[str, Measure]] | None:
    """Return the figures a sentence gives: two of a range or a wall, the area of two sides.

    None where they are none: nothing, or a range that ends below its beginning.
    """
    assert meaning.value is not None, "asked before"
    assert meaning.unit is not None, "asked before"
    said = Measure(meaning.value, meaning.unit)
    if not meaning.slot("first"):
        return [(name, said)] if said.exact > 0 or name == "coolant-left" else None
    first = Measure(meaning.slot("first"), meaning.unit)
    if first.exact <= 0 or said.exact <= 0:
        return None
    if name == "pan-area":
        side = (convert(one, "centimetre").exact for one in (first, said))
        return [(name, measured(next(side) * next(side), "square_centimetre"))]
    if name == "wrench-range" and first.exact >= said.exact:
        return None
    lower, upper = IN_PARTS[name]
    return [(lower, first), (upper, said)]
