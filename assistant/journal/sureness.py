"""Writes the text of an event at once where it is plain that the event would come back equal from it.

It is when each field is of exactly the type that its class states, and that type is one of the plain
sorts known here: reading back gives the same text, number or tuple then. To have no text is always right,
and only means that it has to be written and read back by the converter; the tests try both ways on events
of every kind.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from functools import cache
from itertools import product
from json.encoder import encode_basestring_ascii
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

Writer = Callable[[Any], str]
"""Gives the JSON text of a value of one type."""
PLAIN: Mapping[type, Writer] = {
    str: encode_basestring_ascii,
    int: int.__repr__,
    bool: {True: "true", False: "false"}.__getitem__,
    NoneType: lambda _: "null",
}


class _Unsure(Exception):
    """Something inside a field is not plainly what it should be."""


def sure_text(event: Any) -> str | None:
    """Return the text of an event, None where only reading it back can tell whether it comes back equal."""
    try:
        return _text(event)
    except _Unsure:
        return None


def _text(value: Any) -> str:
    """Return the JSON object of an event, or of a record inside one, with sorted keys."""
    cls: Any = type(value)
    fields, template, mixtures = _form(cls)
    held = fields(value)
    writers = mixtures.get(tuple(map(type, held)))
    if writers is None:
        raise _Unsure
    return template % tuple([write(one) for write, one in zip(writers, held, strict=True)])


@cache
def _form(
    cls: Any,
) -> tuple[Callable[[Any], tuple[Any, ...]], str, Mapping[tuple[type, ...], tuple[Writer, ...]]]:
    """Return what gives the fields of an object, a text with a place for each, and what fills the places.

    The last is told by the types of all fields together, so that the common case is one look-up: this is
    done for each event before it is written, while somebody waits for the answer.
    """
    hints = dict(sorted(get_type_hints(cls).items()))
    get = attrgetter(*hints)
    fields = get if len(hints) > 1 else lambda value: (get(value),)
    template = "{" + ",".join(f'"{name}":%s' for name in hints) + "}"
    allowed = [_allowed(hint) for hint in hints.values()]
    mixtures = {
        kinds: tuple(writers[kind] for writers, kind in zip(allowed, kinds, strict=True))
        for kinds in product(*allowed)
    }
    return fields, template, mixtures


def _allowed(hint: Any) -> Mapping[type, Writer]:
    """Return the exact types a hint allows, with what writes each; none for a hint that is not known here."""
    if isinstance(hint, UnionType) and set(get_args(hint)) <= set(PLAIN):
        return {kind: PLAIN[kind] for kind in get_args(hint)}
    if isinstance(hint, type) and hint in PLAIN:
        return {hint: PLAIN[hint]}
    if isinstance(hint, type) and is_dataclass(hint):
        return {hint: _text}
    parts = get_args(hint)
    if get_origin(hint) is tuple and len(parts) == 2 and Ellipsis in parts:
        return {tuple: _each((parts[0],), every=True)}
    if get_origin(hint) is tuple:
        return {tuple: _each(parts, every=False)}
    return {}


def _each(hints: tuple[Any, ...], every: bool) -> Writer:
    """Return what writes the members of a tuple: all of one sort, or each of its own."""
    sorts = tuple(map(_allowed, hints))

    def write(held: tuple[Any, ...]) -> str:
        wanted = sorts * len(held) if every else sorts
        if len(wanted) != len(held):
            raise _Unsure
        found = []
        for one, writers in zip(held, wanted, strict=True):
            writer = writers.get(type(one))
            if writer is None:
                raise _Unsure
            found.append(writer(one))
        return f"[{','.join(found)}]"

    return write
