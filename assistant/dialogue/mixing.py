"""The mixture that goes back into a cooling system: concentrate and water for the share wanted."""

from __future__ import annotations

from assistant.dialogue import advising
from assistant.dialogue.figures import lacks, told
from assistant.dialogue.keeping import advice
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.reading import Reading
from assistant.job.state import State
from assistant.reckoning import coolant
from assistant.units import Measure, compare, for_speech, subtract

NOT_REACHABLE, AIR_TRAPPED = "not-reachable", "air-trapped"


def give_mixture(turn: Turn) -> str:
    """Advise concentrate and water for what came out; return the exit where the share cannot be reached."""
    advising.let_stand(turn)
    drained = balance.drained(turn.state, standing=True)
    if drained is None:
        turn.say("nothing-measured")
        return ""
    if lacks(turn, "capacity", "coolant-share", "coolant-left"):
        return ""
    share = told(turn, "coolant-share")
    try:
        figure = coolant.concentrate(
            capacity=told(turn, "capacity"), drained=drained, target=share, left=told(turn, "coolant-left")
        )
    except WrongInput:
        turn.say("out-of-range")
        return ""
    if "not-reachable" in figure.notes:
        turn.say("mixture-out-of-reach", share=share, drain=for_speech(figure.part("drain-at-least")))
        return NOT_REACHABLE
    parts = (("concentrate", str(figure.value)), ("water", str(figure.part("water"))))
    given = advice(turn, figure, "refill", drained, for_speech(drained), more=parts)
    turn.do(given, e.Asked(at=turn.at, question="advice", about=str(given.advice)))
    turn.say(
        "advise-mixture",
        share=share,
        concentrate=for_speech(figure.value),
        water=for_speech(figure.part("water")),
    )
    return ""


SHOWN_WITHIN = Measure("5", "percent")
"""How well a tester shows a share (common practice, no source)."""


def share_told(turn: Turn, reading: Reading) -> None:
    """Take the share found before the mixture as what stays in; after it, hold it against what is wanted."""
    measure, steps = reading.measure, turn.state.procedure.steps
    mixes = [one for one in steps if one.kind == "mix" and one.unit == turn.state.unit_id]
    if measure is None or not mixes:
        return
    if steps.index(turn.state.step) < steps.index(mixes[0]):
        kept = e.FigureSupplied(
            at=turn.at,
            name="coolant-left",
            value=measure.value,
            unit=measure.unit,
            origin="measured",
            of=turn.state.unit_id,
        )
        turn.do(kept)
        return
    wanted = turn.state.sheet.figure("coolant-share")
    if wanted is not None and abs(subtract(measure, wanted).exact) > SHOWN_WITHIN.exact:
        turn.say("share-differs", wanted=wanted, weak=compare(measure, wanted) < 0)


def air_trapped(state: State) -> bool:
    """Say whether far less went back in than came out: then air holds the rest of the room."""
    out, into = balance.drained(state), balance.poured(state)
    if out is None or into is None or out.exact <= 0 or into.exact < 0:
        return False
    return coolant.taken(drained=out, poured=into).verdict == AIR_TRAPPED
