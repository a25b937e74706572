"""Everything that is spoken, sentence by sentence: the texts of all services, and a sample of every reply."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from assistant.dialogue.reply import Reply
from assistant.job.sheet import FIGURES, Sheet
from assistant.phrasing import LANGUAGES, phrase
from assistant.shelf.procedure_file import list_procedures, load_procedure
from tests.phrasing.samples import SHEET, m, samples

SHORT = ("say", "ask", "cautions", "gates", "labels", "title")
"""What is said without being asked for in full."""
WHOLE = Sheet(
    vehicle=SHEET.vehicle,
    unit=SHEET.unit,
    figures={name: m("35", "celsius") for name in FIGURES},
    texts=SHEET.texts,
    fluid_colours=SHEET.fluid_colours,
)
"""A sheet that lacks no figure."""


@cache
def texts() -> frozenset[tuple[str, str]]:
    """Return (key, text) of everything the services say, each once."""
    return frozenset(one for name in list_procedures() for one in _texts(load_procedure(name)))


def _texts(data: object) -> Iterator[tuple[str, str]]:
    if isinstance(data, dict):
        for name, value in data.items():
            if name in (*SHORT, "full") and isinstance(value, str):
                yield name, value
            elif name in SHORT and isinstance(value, dict):
                yield from ((name, str(one)) for one in value.values())
            else:
                yield from _texts(value)
    elif isinstance(data, list):
        for one in data:
            yield from _texts(one)


def of_services(*keys: str) -> list[str]:
    """Return the sentences of the services under these keys."""
    return [
        line
        for key, text in sorted(texts())
        if key in keys
        for line in phrase(Reply("ask", {"text": text, "sheet": WHOLE}))
    ]


def of_reply(key: str) -> list[str]:
    """Return the sentences of a reply, with figures of any kind in it."""
    return [line for reply in samples(key) for line in phrase(reply)]


def everything() -> dict[str, str]:
    """Return every sentence, each once, and where it comes from."""
    found = {line: f"reply {key}" for key in sorted(LANGUAGES["en"].replies) for line in of_reply(key)}
    return found | {line: key for key in (*SHORT, "full") for line in of_services(key)}
