"""The pages of the history beside the glance page: read only, made on the server, no script needed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from assistant.display.document.content import content
from assistant.display.history import html, tables
from assistant.display.history.entry import Entry, local
from assistant.errors import AssistantError
from assistant.job.events import Event
from assistant.phrasing.en import history as words
from assistant.phrasing.en.document import TITLE

MOST_CHOICES = 200
"""Jobs that are offered for a comparison; older ones are compared by command."""
LONGEST = 200
Entries = Callable[[], Sequence[Entry]]


@dataclass(frozen=True, slots=True)
class Records:
    """What the pages of the history are made from, read anew each time; both raise what cannot be read."""

    entries: Entries
    history: Callable[[str], Sequence[Event]]
    """Gives the events of the job of that name."""


ASKED = ("vehicle", "search", "month", "first", "second")


def history_view(entries: Entries, asked: Mapping[str, str]) -> tuple[dict[str, str], int]:
    """Return the places of the page and its status for what is asked; what cannot be shown says why."""
    asked = {name: asked[name][:LONGEST] for name in ASKED if asked.get(name)}
    try:
        known = entries()
        title, parts = _view(known, asked)
        return _places("/history", title, html.forms(_choices(known), asked), html.parts_html(parts)), 200
    except AssistantError as trouble:
        return _places("/history", words.TITLE, html.forms((), asked), html.wrong(str(trouble))), 404


def _view(entries: Sequence[Entry], asked: Mapping[str, str]) -> tuple[str, tuple[words.Part, ...]]:
    if "first" in asked and "second" in asked:
        return words.LABELS["compare"], words.compare(
            tables.compare(entries, asked["first"], asked["second"])
        )
    if "month" in asked:
        return words.LABELS["month"], words.month(tables.month(entries, asked["month"]))
    if "search" in asked:
        return words.LABELS["search"], words.search(tables.search(entries, asked["search"]))
    if "vehicle" in asked:
        return asked["vehicle"], words.of_vehicle(tables.of_vehicle(entries, asked["vehicle"]))
    return words.TITLE, words.overview(tables.jobs(entries))


def waste_view(entries: Entries) -> tuple[dict[str, str], int]:
    """Return the places of the page of waste fluids, and its status."""
    try:
        return _places(
            "/waste", words.WASTE_TITLE, "", html.parts_html(words.waste(tables.waste(entries())))
        ), 200
    except AssistantError as trouble:
        return _places("/waste", words.WASTE_TITLE, "", html.wrong(str(trouble))), 404


def record_view(records: Records, asked: Mapping[str, str]) -> tuple[dict[str, str], int]:
    """Return the places of the page of one job's record, and its status."""
    try:
        whole = content(records.history(asked.get("job", "")[:LONGEST]), plots=False)
    except AssistantError as trouble:
        return _places("/record", TITLE, "", html.wrong(str(trouble))), 404
    facts = ("facts", words.LABELS["facts"], ("", ""), whole.facts)
    parts = [(one.name, one.heading, one.columns, one.rows) for one in whole.parts]
    made = f"{html.parts_html([facts, *parts])}<p>{escape(whole.footer)}</p>"
    return _places("/record", whole.title, "", made), 200


def _choices(entries: Sequence[Entry]) -> list[tuple[str, str]]:
    """Return the newest jobs with what to call each."""
    found = sorted((one for one in entries if one.services), key=lambda one: -one.services[0].begun.utc_ms)
    return [
        (one.job, f"{local(one.services[0].begun.utc_ms, None)[:16].replace('T', ' ')} {_called(one)}")
        for one in found[:MOST_CHOICES]
    ]


def _called(one: Entry) -> str:
    first = one.services[0]
    return ", ".join(part for part in (first.vehicle, first.unit) if part) or first.title


def _places(here: str, title: str, asked: str, parts: str) -> dict[str, str]:
    """Return what fills the page; the plain places are escaped here, the others are HTML already."""
    return {
        "title": escape(title),
        "pages": escape(words.LABELS["pages"]),
        "links": html.links(here),
        "asked": asked,
        "parts": parts,
    }
