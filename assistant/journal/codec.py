"""Events to canonical text and back.

The text is JSON with sorted keys, in ASCII, without any float: numbers are decimal strings or whole
numbers. An event is only encoded when its text gives back an equal event, so nothing is ever written
that cannot be read again.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from typing import Any, NoReturn

import cattrs
from cattrs.errors import BaseValidationError, ForbiddenExtraKeysError
from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn

from assistant.errors import MissingPart, WrongInput
from assistant.job import events as catalogue
from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.journal.sureness import sure_text
from assistant.journal.upcasts import UPCASTS, Upcasts, current_version, lift

_HALF = "\\ud"
"""How halves of a surrogate pair are spelled: two that meet come back as one letter."""
_DAMAGE = (
    ArithmeticError,
    AttributeError,
    LookupError,
    RecursionError,
    TypeError,
    ValueError,
    BaseValidationError,
    ForbiddenExtraKeysError,
)
"""What reading a text of any content can raise on the way: here, in the JSON reader, in the converter."""


class UnknownEvent(MissingPart):
    """The journal holds an event that only a newer program knows; it is kept, and not skipped over."""

    def __init__(self, type_name: str, version: int) -> None:
        self.type_name, self.version = type_name, version
        super().__init__(
            f"this journal was written by a newer program (it holds {type_name!r}, version {version}); "
            "install that version or a later one to go on with it; nothing was changed"
        )


@cache
def event_classes() -> Mapping[str, type[Event]]:
    """Return every kind of event by its name, found in the catalogue of events."""
    found = (value for value in vars(catalogue).values() if isinstance(value, type))
    return {cls.__name__: cls for cls in found if issubclass(cls, Event) and cls is not Event}


def encode(event: Event, upcasts: Upcasts = UPCASTS) -> tuple[str, int, str]:
    """Return (type name, schema version, text) of an event.

    Raises `WrongInput` for an event that would not come back equal: a float, an object of a library,
    a tuple or a number as key inside a plain mapping, a field of the wrong type.
    """
    name = type(event).__name__
    if event_classes().get(name) is not type(event):
        raise WrongInput(f"{name} is no kind of event that a journal keeps")
    try:
        known = sure_text(event)
        if known is not None and _HALF not in known:
            return name, current_version(name, upcasts), known
        text = _WRITER.encode(_converter().unstructure(event))
        back = _structure(name, _load(text))
    except _DAMAGE as error:
        raise WrongInput(f"{name} cannot be kept: {error}") from error
    if back != event:
        wrong = [f.name for f in fields(event) if getattr(back, f.name) != getattr(event, f.name)]
        raise WrongInput(f"{name} cannot be kept: {', '.join(wrong)} would not come back the same")
    return name, current_version(name, upcasts), text


def decode(type_name: str, version: int, text: str, upcasts: Upcasts = UPCASTS) -> Event:
    """Return the event of a text, lifted to the current version.

    Raises `UnknownEvent` for a type or version of a newer program, `WrongInput` for damaged text.
    """
    if type_name not in event_classes() or version > current_version(type_name, upcasts):
        raise UnknownEvent(type_name, version)
    if version < 1:
        raise WrongInput(f"{type_name} has no version {version}")
    try:
        return _structure(type_name, lift(type_name, version, _load(text), upcasts))
    except _DAMAGE as error:
        raise WrongInput(f"the text of a {type_name} is damaged: {error}") from error


def instant_of(text: str) -> Instant:
    """Return the instant an encoded event happened at, whatever its type and version."""
    try:
        return _converter().structure(_load(text)["at"], Instant)
    except _DAMAGE as error:
        raise WrongInput(f"the instant of an event is damaged: {error}") from error


def _load(text: str) -> dict[str, object]:
    """Return the object of a JSON text; floats, in whatever spelling, are refused."""
    tree = _READER.decode(text)
    if not isinstance(tree, dict):
        raise ValueError("it is no JSON object")
    return tree


def _no_float(spelled: str) -> NoReturn:
    raise ValueError(f"the number {spelled} is a float; numbers are kept as decimal strings")


_WRITER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), allow_nan=False)
_READER = json.JSONDecoder(parse_float=_no_float, parse_constant=_no_float)
"""Made once: `json.dumps` and `json.loads` would make them anew for each event."""


def _structure(name: str, tree: dict[str, object]) -> Event:
    """Return the event `name` with the fields of `tree`; unknown fields and wrong types are refused."""
    event: Event = _converter().structure(tree, event_classes()[name])
    return event


@cache
def _converter() -> cattrs.Converter:
    """Return the converter: exact types only, no unknown fields, plain mappings as they are."""
    converter = cattrs.Converter(forbid_extra_keys=True, detailed_validation=False)
    for exact in (str, int, bool):
        converter.register_structure_hook(exact, _exact)
    converter.register_structure_hook_func(lambda kind: kind is object, lambda value, _: value)
    converter.register_unstructure_hook_func(lambda kind: kind is object, _plain)
    for cls in event_classes().values():
        converter.register_structure_hook(
            cls, make_dict_structure_fn(cls, converter, _cattrs_forbid_extra_keys=True)
        )
        converter.register_unstructure_hook(cls, make_dict_unstructure_fn(cls, converter))
    return converter


def _exact(value: Any, kind: type) -> Any:
    """Return `value` when it is exactly of type `kind` (a bool is no int)."""
    if type(value) is not kind:
        raise ValueError(f"{value!r} is no {kind.__name__}")
    return value


def _plain(value: object) -> object:
    """Return a plain JSON value as it is; mappings that are no dict become one."""
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise ValueError("a mapping has a key that is no text")
        return {key: _plain(held) for key, held in value.items()}
    if isinstance(value, list):
        return [_plain(held) for held in value]
    if value is None or isinstance(value, str | int):
        return value
    raise ValueError(f"{value!r} is no plain value (text, whole number, true, false, list, mapping)")
