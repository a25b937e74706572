"""A change made again and again until a wanted share of the fluid is new."""

from __future__ import annotations

from assistant.dialogue import advising
from assistant.dialogue.figures import lacks, told
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.state import State
from assistant.reckoning import dilution
from assistant.units import Measure, compare, convert, for_speech, measured, subtract

MOST_ROUNDS = 20
SHORT_OF_STOCK = "short-of-stock"


def offer(turn: Turn) -> str:
    """Say what share is new by now, and ask whether to go round again; return "next" where it is enough."""
    advising.let_stand(turn)
    parts = balance.in_rounds(turn.state)
    if not parts or lacks(turn, "capacity", "new-wanted"):
        return "next" if not parts else ""
    try:
        old = dilution.old_left(capacity=told(turn, "capacity"), drains=parts)
    except WrongInput:
        turn.say("out-of-range")
        return "next"
    new = measured(100 - old.value.exact, "percent")
    wanted = told(turn, "new-wanted")
    turn.say("share-new", share=for_speech(new))
    if compare(new, wanted) >= 0:
        return "next"
    more = rounds_to(told(turn, "capacity"), parts, wanted)
    need = measured(more * parts[-1].exact, parts[-1].unit)
    short = short_by(turn.state, need)
    turn.do(e.Asked(at=turn.at, question="repeat", about=turn.state.step_id))
    turn.say("ask-round", count=more, fluid=for_speech(need), share=wanted, short=short and for_speech(short))
    return ""


def rounds_to(capacity: Measure, parts: tuple[Measure, ...], wanted: Measure) -> int:
    """Return how many more rounds like the last one bring the share of new fluid to what is wanted."""
    for more in range(1, MOST_ROUNDS):
        old = dilution.old_left(capacity=capacity, drains=[*parts, *([parts[-1]] * more)])
        if 100 - old.value.exact >= wanted.exact:
            return more
    return MOST_ROUNDS


def short_by(state: State, need: Measure) -> Measure | None:
    """Return how much new fluid is missing for `need`, None where it is there or nobody told the stock."""
    stock = state.sheet.figure("stock")
    if stock is None:
        return None
    _, into = balance.in_all(state)
    left = stock if into is None else subtract(stock, convert(into, stock.unit))
    lacking = subtract(need, convert(left, need.unit))
    return lacking if lacking.exact > 0 else None


def again(turn: Turn) -> str:
    """Begin the next round; return the exit where the new fluid at hand does not reach for it."""
    last = balance.in_rounds(turn.state)[-1]
    if short_by(turn.state, last) is not None and SHORT_OF_STOCK not in turn.state.exits:
        return SHORT_OF_STOCK
    of = turn.state.step.unit
    turn.do(e.RoundBegun(at=turn.at, number=turn.state.round + 1, of=of))
    return ""
