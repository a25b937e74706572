"""Keeping what was reckoned: a figure somebody may act on is advice, and advice is an event."""

from __future__ import annotations

from assistant.dialogue.reply import Turn
from assistant.job import events as e
from assistant.reckoning.figure import Figure
from assistant.units import Measure


def keep(turn: Turn, figure: Figure) -> Measure:
    """Record a figure that somebody will act on as advice; return it as it is spoken."""
    doubt = figure.plus_minus.value if figure.plus_minus is not None else ""
    turn.do(
        advice(
            turn, figure, figure.name, figure.value, figure.spoken, plus_minus=doubt, estimate=figure.estimate
        )
    )
    return figure.spoken


def advice(
    turn: Turn,
    figure: Figure,
    name: str,
    exact: Measure,
    spoken: Measure,
    *,
    more: tuple[tuple[str, str], ...] = (),
    plus_minus: str = "",
    estimate: bool = False,
) -> e.AdviceGiven:
    """Return the next advice of the job: `exact` and `spoken` as acted on, the rest from the figure.

    `more` is told with the inputs of the figure; `plus_minus` is a decimal string in the unit of `exact`.
    """
    return e.AdviceGiven(
        at=turn.at,
        advice=max(turn.state.advice, default=0) + 1,
        name=name,
        value=exact.value,
        unit=exact.unit,
        spoken_value=spoken.value,
        spoken_unit=spoken.unit,
        inputs=(*figure.inputs, *more),
        formula=figure.formula,
        plus_minus=plus_minus,
        estimate=estimate,
        notes=figure.notes,
        of=turn.state.unit_id,
    )
