"""The shape of a procedure file: which keys there are, and of which sort each value must be.

Only shapes are checked here; whether names agree with one another is checked in
`assistant.shelf.procedure_check`, which may rely on what passes here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import cast

from assistant.job.procedure import SIGNAL_WORDS, Data
from assistant.shelf.procedure_places import Places, places_of

FORMATS = (1, 2)
MOST_FINDINGS = 50
"""How many faults are told at once: who wrote the file mends these first."""
MOST_STEPS = 300
MOST_ENTRIES = 60
LONGEST_TEXT = 600
STEP_KINDS = ("do", "read", "plan", "mix", "pour", "check", "overflow", "repeat", "cool")
MARKS = ("hot", "cold", "overflow", "full", "hole")
TELLS = ("old-left", "still-owed", "oil-class", "mixed-up")
TIME_FOR = ("warm-up", "cool-down", "drain", "wait", "drive")
_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)
_FACT = re.compile(r"[a-z0-9-]+=[a-z0-9-]+", re.ASCII)
_NUMBER = re.compile(r"-?\d{1,4}(?:\.\d{1,3})?", re.ASCII)


Fault = tuple[tuple[str, ...], str, str]
"""A fault before its line is known: words that lead to the place, what is wrong, the cure."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault of a file: the line where it is known, what is wrong, the cure, and the file if another."""

    line: int | None
    what: str
    cure: str
    file: str = ""


@dataclass(frozen=True, slots=True)
class _Sort:
    """What a value must be."""

    words: str
    holds: Callable[[object], bool]


def _is_text(value: object) -> bool:
    return (
        isinstance(value, str) and bool(value.strip()) and len(value) <= LONGEST_TEXT and value.isprintable()
    )


def _matching(pattern: re.Pattern[str]) -> Callable[[object], bool]:
    return lambda value: isinstance(value, str) and len(value) <= 60 and bool(pattern.fullmatch(value))


def _list_of(holds: Callable[[object], bool]) -> Callable[[object], bool]:
    return lambda value: (
        isinstance(value, list) and 0 < len(value) <= MOST_ENTRIES and all(holds(one) for one in value)
    )


def _table_of(holds: Callable[[object], bool]) -> Callable[[object], bool]:
    return lambda value: (
        isinstance(value, dict)
        and len(value) <= MOST_ENTRIES
        and all(len(key) <= 60 and holds(one) for key, one in value.items())
    )


_name, _fact = _matching(_NAME), _matching(_FACT)
TEXT = _Sort(f"a text in quotes, on one line, of at most {LONGEST_TEXT} signs", _is_text)
NAME = _Sort("a name of small letters, digits and hyphens, in quotes", _name)
NAMES = _Sort("a list of names in quotes", _list_of(_name))
FACT = _Sort('a fact such as "bolts=torqued"', _fact)
FACTS = _Sort('a list of facts such as "engine=off"', _list_of(_fact))
FLAG = _Sort("true or false", lambda value: isinstance(value, bool))
MINUTES = _Sort('a number in quotes, such as "10"', _matching(_NUMBER))
KIND = _Sort(f"one of {', '.join(STEP_KINDS)}", lambda value: value in STEP_KINDS)
MARK = _Sort(f"one of {', '.join(MARKS)}", lambda value: value in MARKS)
TELLING = _Sort(f"one of {', '.join(TELLS)}", lambda value: value in TELLS)
LASTING = _Sort(f"one of {', '.join(TIME_FOR)}", lambda value: value in TIME_FOR)
TRIGGER = _Sort('"running" or "enter"', lambda value: value in ("running", "enter"))
VERSION = _Sort("1 or 2", lambda value: type(value) is int and value in FORMATS)
TEXTS = _Sort("a table of texts", _table_of(_is_text))
NUMBERS = _Sort("a table of numbers in quotes", _table_of(_matching(_NUMBER)))
SIGNALS = _Sort(f"a table of {', '.join(SIGNAL_WORDS)}", _table_of(lambda value: value in SIGNAL_WORDS))
SLOTS = _Sort("a table of lists of names", _table_of(_list_of(_name)))

_EXIT = {"on": NAME, "say": TEXT, "then": NAME}
_FINDING = {"name": NAME, "reading": NAME, "when": SLOTS, "say": TEXT, "then": NAME, "sets": FACTS}
_AWAIT = {"reading": NAME, "ask": TEXT, "many": FLAG, "optional": FLAG, "when": SLOTS}
_LASTING = {"what": LASTING, "least": MINUTES, "most": MINUTES}
_TIMER = {"name": NAME, "minutes": MINUTES, "on": TRIGGER, "ask": TEXT}
_STEP = {
    "id": NAME, "title": TEXT, "say": TEXT, "full": TEXT, "kind": KIND, "tool": TEXT, "gate": NAME,
    "cautions": NAMES, "requires": FACTS, "sets": FACTS, "parts": NAMES, "figures": NAMES, "mark": MARK,
    "aside": FLAG, "after": NAME, "unit": NAME, "plug": NAME, "forbids": FACTS, "opens": NAMES,
    "waits": NAME, "until": FACT, "adds": NAMES, "to": NAME, "tells": TELLING,
}  # fmt: skip
_TOP = {
    "format": VERSION, "name": NAME, "title": TEXT, "language": NAME,
    "bands": NUMBERS, "gates": TEXTS, "cautions": TEXTS, "labels": TEXTS, "units": TEXTS, "unit": TEXT,
    "signals": SIGNALS, "waste": NAME, "wastes": TEXTS,
}  # fmt: skip
_NEEDED: Mapping[str, tuple[str, ...]] = {
    "procedure": ("format", "name", "title", "language"),
    "step": ("id", "title", "say"),
    "exit": ("on", "say"),
    "finding": ("name", "reading", "when", "say"),
    "await": ("reading",),
    "timer": ("name", "minutes"),
    "lasts": ("what", "least", "most"),
}


_TABLES: Mapping[str, Mapping[str, _Sort]] = {"timer": _TIMER, "lasts": _LASTING}
"""Tables a step may have, and their keys."""


def _first(keys: Mapping[str, _Sort]) -> str:
    return f"{next(iter(keys))} = ..."


def schema_findings(data: Data, text: str | Places = "") -> list[Finding]:
    """Return the faults of shape in a procedure's data, in file order as far as it can be told.

    They are `MOST_FINDINGS` at most, as each is looked up in the text.
    """
    return list(islice(_all(data, places_of(text)), MOST_FINDINGS))


def found(places: Places, where: tuple[str, ...], what: str, cure: str) -> Finding:
    """Return a finding with the file and line that `where` leads to."""
    file, line = places.find(*where)
    return Finding(line, what, cure, file)


def _all(data: Data, places: Places) -> Iterator[Finding]:
    yield from _table(data, _TOP, "procedure", places, (), ("exit", "step"))
    for one in _records(data, "exit"):
        yield from _table(one, _EXIT, "exit", places, ("[[exit]]", str(one.get("on", ""))))
    yield from _lists(data, ("exit", "step"), places, ())
    steps = _records(data, "step")
    if not steps:
        yield Finding(None, "there is no step", "give at least one [[step]]")
    if len(steps) > MOST_STEPS:
        yield Finding(None, f"{len(steps)} steps", f"a procedure has at most {MOST_STEPS}")
        return
    for step in steps:
        yield from _step(step, places)


def _step(step: Data, places: Places) -> Iterator[Finding]:
    where = (str(step.get("id", "[[step]]")),)
    parts = ("await", "exit", "finding")
    yield from _table(step, _STEP, "step", places, where, (*parts, *_TABLES))
    yield from _lists(step, parts, places, where)
    for part, keys in zip(parts, (_AWAIT, _EXIT, _FINDING), strict=True):
        for one in _records(step, part):
            first = str(next(iter(one.values()), "")) if one else ""
            yield from _table(one, keys, part, places, (*where, f"[[step.{part}]]", first))
    for name, known in _TABLES.items():
        table = step.get(name)
        if table is not None:
            yield from (
                _table(cast(Data, table), known, name, places, (*where, name))
                if isinstance(table, dict)
                else [found(places, (*where, name), f"{name} is no table", f"{name} = {{ {_first(known)} }}")]
            )


def _records(data: Data, key: str) -> list[Data]:
    value = data.get(key, [])
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []


def _lists(data: Data, keys: tuple[str, ...], places: Places, where: tuple[str, ...]) -> Iterator[Finding]:
    """Find what should be an array of tables and is not, or is too long."""
    for key in keys:
        value = data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            yield found(places, (*where, key), f"{key} is no array of tables", f"write [[{key}]]")
        elif key != "step" and len(value) > MOST_ENTRIES:
            yield found(
                places, (*where, key), f"{len(value)} times {key}", f"at most {MOST_ENTRIES} are taken"
            )


def _table(
    table: Data,
    keys: Mapping[str, _Sort],
    what: str,
    places: Places,
    where: tuple[str, ...],
    parts: tuple[str, ...] = (),
) -> Iterator[Finding]:
    """Find unknown keys, missing ones and values of the wrong sort in one table."""
    for key, value in table.items():
        if key in parts:
            continue
        if key not in keys:
            known = ", ".join((*keys, *parts))
            yield found(places, (*where, key), f"{what}: {key!r} is not known", f"known are {known}")
        elif not keys[key].holds(value):
            yield found(
                places, (*where, key), f"{what}: {key} is not as it must be", f"it is {keys[key].words}"
            )
    for key in _NEEDED[what]:
        if key not in table:
            yield found(places, where, f"{what}: {key} is missing", f"it is {keys[key].words}")
