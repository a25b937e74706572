"""Keeping what was reckoned: a figure somebody may act on is advice, and advice is an event."""

from __future__ import annotations

from assistant.dialogue.reply import Turn
from assistant.job import events as e
from assistant.reckoning.figure import Figure
from assistant.units import Measure


def keep(turn: Turn, figure: Figure) -> Measure:
    """Record a figure that somebody will act on as advice; return it as it is spoken."""
    spoken = figure.spoken
    turn.do(
        e.AdviceGiven(
            at=turn.at,
            advice=max(turn.state.advice, default=0) + 1,
            name=figure.name,
            value=figure.value.value,
            unit=figure.value.unit,
            spoken_value=spoken.value,
            spoken_unit=spoken.unit,
            inputs=figure.inputs,
            formula=figure.formula,
            plus_minus=figure.plus_minus.value if figure.plus_minus is not None else "",
            estimate=figure.estimate,
            notes=figure.notes,
            of=turn.state.unit_id,
        )
    )
    return spoken
