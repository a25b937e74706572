"""What the last service of a unit was: told when work on the unit begins, in full when it is asked."""

from __future__ import annotations

from assistant.dialogue.reply import Turn
from assistant.grammar.meaning import Meaning
from assistant.job.instant import day_of
from assistant.job.past import last_time


def tell(turn: Turn, unit: str = "") -> None:
    """Say what the last service put into a unit, by its key, and found; nothing where there was none."""
    last = last_time(turn.state.past, turn.state.at_unit(unit).sheet.unit)
    if last is not None:
        turn.say("last-time", into=last.into, found=last.found)


def asked(turn: Turn, meaning: Meaning) -> None:
    """Say when the last service of the current unit was, at what distance, what went in and was found."""
    last = last_time(turn.state.past, turn.state.sheet.unit)
    if last is None:
        turn.say("no-last-service")
        return
    date = day_of(last.utc_ms)
    turn.say("last-service", date=date, distance=last.distance, into=last.into, found=last.found)
