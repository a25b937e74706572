"""What the questions that are reckoned have in common: figures, volumes, temperatures as they were said."""

from __future__ import annotations

from assistant.dialogue import advising
from assistant.dialogue.reply import Turn
from assistant.dialogue.unit_said import default_unit
from assistant.grammar.meaning import Meaning
from assistant.job import balance
from assistant.reckoning import viscosity
from assistant.reckoning.figure import Figure
from assistant.units import Measure, kind_of, settled

OF_THE_TOOLS = (
    "wrench-length", "wrench-lowest", "wrench-highest", "wrench-tolerance", "stock", "service-interval",
    "service-months", "service-due", "distance-a-year", "workshop",
)  # fmt: skip
"""Figures that are the same whichever unit of the vehicle is worked on."""
PLUGS = ("drain", "fill")
AT_40, AT_100 = "fluid-viscosity-40", "fluid-viscosity"


def known(turn: Turn, name: str) -> Measure | None:
    """Return a figure of the unit worked on; of the tools and the vehicle it may be that of any unit."""
    own = turn.state.sheet.figure(name)
    if own is not None or name not in OF_THE_TOOLS:
        return own
    return next((told for sheet in turn.state.sheets.values() if (told := sheet.figure(name))), None)


def needed(turn: Turn, *names: str) -> list[Measure] | None:
    """Return these figures, or None after saying which is the first that is missing."""
    found: list[Measure] = []
    for name in names:
        figure = known(turn, name)
        if figure is None:
            turn.say("needs-figure", figure=name)
            return None
        found.append(figure)
    return found


def warmth_said(turn: Turn, meaning: Meaning) -> Measure | None:
    """Return the temperature a question holds; asks for its scale where this job settled none."""
    assert meaning.value is not None, "the sentence holds a temperature"
    unit = meaning.unit if meaning.unit and settled(meaning.unit) else default_unit(turn, "temperature")
    if unit is None:
        turn.say("scale-needed")
        return None
    return Measure(meaning.value, unit)


def volume_said(turn: Turn, value: str, unit: str) -> Measure | None:
    """Return a volume a question holds; one that may be US or imperial is to be said with which."""
    if not settled(unit):
        turn.say("system-needed")
        return None
    return Measure(value, unit)


def torque_said(turn: Turn, meaning: Meaning) -> Measure | None:
    """Return the torque a question holds, else that of the plug meant; says what is missing.

    Where the plugs differ and none was named, it is asked.
    """
    if meaning.value is not None and meaning.unit is not None and kind_of(meaning.unit) == "torque":
        return Measure(meaning.value, meaning.unit)
    return plug_torque(turn, meaning.slot("plug"))


def plug_torque(turn: Turn, plug: str) -> Measure | None:
    """Return the sheet's torque of a plug, of the only one where none is named; says what is missing."""
    torques = {one: spec for one in PLUGS if (spec := turn.state.sheet.figure(f"{one}-plug-torque"))}
    if plug and plug in torques:
        return torques[plug]
    if plug or not torques:
        turn.say("needs-figure", figure=f"{plug or 'drain'}-plug-torque")
        return None
    if len(set(torques.values())) > 1:
        turn.say("which-plug-torque")
        return None
    return next(iter(torques.values()))


def drained(turn: Turn) -> Measure | None:
    """Return what came out in all as far as it stands, None before anything was measured."""
    advising.let_stand(turn)
    return balance.drained(turn.state, standing=True)


def drained_or_expected(turn: Turn) -> Measure | None:
    """Return what came out, before that what the sheet expects; says so where neither is known."""
    out = drained(turn)
    if out is not None:
        return out
    found = needed(turn, "drain-expected")
    return found[0] if found is not None else None


def thickness(turn: Turn, at: Measure) -> Figure | None:
    """Return the viscosity of the fluid at a temperature from its two points; says which is missing."""
    points = needed(turn, AT_40, AT_100)
    return viscosity.course(at=at, first=points[0], second=points[1]) if points is not None else None


def sides(meaning: Meaning) -> dict[str, Measure]:
    """Return the share a question holds as the argument `old` or `new`; from half up it is of new fluid."""
    if meaning.value is None or meaning.unit is None:
        return {}
    share = Measure(meaning.value, meaning.unit)
    return {meaning.slot("of") or ("new" if share.exact >= 50 else "old"): share}
