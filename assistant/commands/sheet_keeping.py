"""Writes figures a mechanic gave in a job into the vehicle's sheet, when that is wanted."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.app import Session
from assistant.dialogue.reply import Reply
from assistant.errors import WrongInput
from assistant.job.events import Event, FiguresWanted
from assistant.job.instant import day_of
from assistant.job.sheet import Supplied
from assistant.job.state import State
from assistant.shelf import vehicle_write as sheets
from assistant.shelf.places import procedures_folder, vehicles_folder
from assistant.shelf.vehicle_builds import PLAIN

News = Callable[[], tuple[Reply, ...]]


def both(one: News, other: News) -> News:
    """Return what tells the news of two places."""
    return lambda: (*one(), *other())


def keeps_figures(session: Session, sheet: Path | None = None) -> None:
    """Let a session write figures into its sheet: the file given, else that of its name among the user's."""
    committed = session.committed
    told: list[Reply] = []

    def after(events: Sequence[Event]) -> None:
        committed(events)
        if any(isinstance(one, FiguresWanted) for one in events):
            told.append(Reply("sheet-written", {"count": _written(session.state, sheet)}))

    def news() -> tuple[Reply, ...]:
        found = tuple(told)
        told.clear()
        return found

    session.committed, session.news = after, both(session.news, news)


def _written(state: State, sheet: Path | None) -> int:
    """Return how many figures went into the sheet; why others did not is printed."""
    path = sheet or vehicles_folder() / state.sheets[""].file
    count = 0
    for one in state.for_the_sheet():
        unit = state.at_unit(one.of).sheet
        try:
            if path.resolve().is_relative_to(procedures_folder()):
                raise WrongInput(f"{path} is an example: copy it with assistant vehicle copy")
            text = sheets.figure_text(one.measure, origin_of(one))
            variant = unit.variant if unit.variant != PLAIN else ""
            sheets.put_value(path, unit.unit, variant, one.name, text)
            count += 1
        except (OSError, WrongInput) as trouble:
            print(f"({trouble})", file=sys.stderr)
    return count


def origin_of(one: Supplied) -> str:
    """Return where a figure came from, as a sheet tells it: said on a date, and by whom."""
    date = day_of(one.at.utc_ms)
    return f"said on {date}" + (f" by {one.who}" if one.who else "")
