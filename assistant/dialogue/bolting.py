"""Bolts counted aloud: the order criss-cross, three rounds of rising torque and one check round.

Every bolt named is kept, in turn or not; a round ends with its last bolt, or by word where none of it was
counted. The torque is the sheet's or the mechanic's, the shares of the rounds are those of the reckoning.
"""

from __future__ import annotations

from assistant.dialogue.asking import needed
from assistant.dialogue.keeping import keep
from assistant.dialogue.reply import Heard, Turn
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.reckoning import torque
from assistant.reckoning.figure import Figure
from assistant.units import Measure, for_speech

CHECK = 4
"""The number of the last round: once round, at the whole torque."""


def _plan(turn: Turn) -> tuple[Figure, int] | None:
    """Return the rounds and the count of the bolts; says what is missing."""
    found = needed(turn, "bolt-count", "pan-bolt-torque")
    if found is None:
        return None
    count, final = found
    if count.exact.denominator != 1:
        turn.say("figure-anew", figure="bolt-count")
        return None
    try:
        return torque.bolt_rounds(torque=final, bolts=int(count.exact)), int(count.exact)
    except WrongInput:
        turn.say("out-of-range")
        return None


def _order(count: int, number: int) -> tuple[int, ...]:
    return tuple(range(1, count + 1)) if number == CHECK else torque.criss_cross(count)


def _torque(figure: Figure, number: int) -> Measure:
    return for_speech(figure.part("check-round" if number == CHECK else f"round-{number}"))


def _round(turn: Turn) -> int:
    """Return the round the bolts are in, 0 where they were not begun or are all done."""
    return int(turn.state.fact("bolt-round") or "0")


def _counted(turn: Turn) -> list[int]:
    return [int(one) for one in turn.state.fact("bolts-counted").split()]


def _begin(turn: Turn, figure: Figure, count: int) -> None:
    keep(turn, figure)
    turn.do(e.BoltsBegun(at=turn.at, bolts=count, of=turn.state.unit_id))
    turn.say("bolts-begin", count=count, torque=_torque(figure, 1), first=_order(count, 1)[0])


def round_said(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """Begin, say which bolt is next, or end a round."""
    plan = _plan(turn)
    if plan is None:
        return
    figure, count = plan
    number, do = _round(turn), meaning.slot("do")
    if do == "begin" or (number == 0 and do == "next"):
        _begin(turn, figure, count)
    elif number == 0:
        turn.say("bolts-not-begun")
    elif do == "next":
        _say_next(turn, figure, count)
    elif meaning.value is not None and int(meaning.value) != number:
        turn.say("bolts-other-round", number=number, torque=_torque(figure, number))
    elif _counted(turn) and len(_counted(turn)) < count:
        left = [bolt for bolt in _order(count, number) if bolt not in _counted(turn)]
        turn.say("bolts-missing", count=len(left), next=left[0])
    else:
        _end(turn, figure, count)


def counted(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """Take "bolt nine": it is tight; say the next."""
    plan = _plan(turn)
    if plan is None:
        return
    figure, count = plan
    assert meaning.value is not None, "the sentence holds the number"
    bolt = int(meaning.value)
    if not heard.sure or not 1 <= bolt <= count:
        turn.say("bolt-anew", count=count)
        return
    if _round(turn) == 0:
        if turn.state.has("bolts=torqued"):
            turn.say("bolts-all-done", torque=_torque(figure, CHECK))
            return
        keep(turn, figure)
        turn.do(e.BoltsBegun(at=turn.at, bolts=count, of=turn.state.unit_id))
    number, done = _round(turn), _counted(turn)
    if bolt in done:
        turn.say("bolt-counted-before", next=_next(turn, count))
        return
    in_turn = bolt == _next(turn, count)
    turn.do(e.BoltTightened(at=turn.at, bolt=bolt, round=number, of=turn.state.unit_id))
    if len(done) + 1 == count:
        _end(turn, figure, count)
    else:
        turn.say("bolt-next", next=_next(turn, count), in_turn=in_turn)


def _next(turn: Turn, count: int) -> int:
    done = _counted(turn)
    return next(bolt for bolt in _order(count, _round(turn)) if bolt not in done)


def _say_next(turn: Turn, figure: Figure, count: int) -> None:
    number = _round(turn)
    turn.say("bolts-where", number=number, torque=_torque(figure, number), next=_next(turn, count))


def _end(turn: Turn, figure: Figure, count: int) -> None:
    number = _round(turn)
    turn.do(e.BoltRoundDone(at=turn.at, round=number, last=number == CHECK, of=turn.state.unit_id))
    if number == CHECK:
        turn.say("bolts-all-done", torque=_torque(figure, CHECK))
    else:
        following = number + 1
        first = _order(count, following)[0]
        turn.say("bolts-round", number=following, torque=_torque(figure, following), first=first)
