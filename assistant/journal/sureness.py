"""Tells of an event, without reading its text back, that it would come back equal from it.

It would when each field is of exactly the type that its class states, and that type is one of the plain
sorts known here: reading back gives the same text, number or tuple then. To say no is always right, and
only means that it has to be tried; the tests try both ways on events of every kind.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

PLAIN: frozenset[type] = frozenset((str, int, bool, NoneType))
Check = Callable[[Any], bool]


def is_sure(value: Any) -> bool:
    """Return whether every field of an event, or of a record inside one, is plainly what it should be."""
    cls: Any = type(value)
    for name, kinds, inside in _fields(cls):
        held = getattr(value, name)
        if type(held) not in kinds or (inside is not None and not inside(held)):
            return False
    return True


@cache
def _fields(cls: Any) -> tuple[tuple[str, frozenset[type], Check | None], ...]:
    """Return of each field its name, the exact types it may have, and what is to be looked at inside."""
    return tuple((name, *_allowed(hint)) for name, hint in get_type_hints(cls).items())


def _allowed(hint: Any) -> tuple[frozenset[type], Check | None]:
    """Return the exact types a hint allows; none for one that is not known here."""
    if isinstance(hint, UnionType) and PLAIN.issuperset(get_args(hint)):
        return frozenset(get_args(hint)), None
    if isinstance(hint, type) and hint in PLAIN:
        return frozenset((hint,)), None
    if isinstance(hint, type) and is_dataclass(hint):
        return frozenset((hint,)), is_sure
    parts = get_args(hint)
    if get_origin(hint) is tuple and len(parts) == 2 and Ellipsis in parts:
        return frozenset((tuple,)), _each((parts[0],), every=True)
    if get_origin(hint) is tuple:
        return frozenset((tuple,)), _each(parts, every=False)
    return frozenset(), None


def _each(hints: tuple[Any, ...], every: bool) -> Check:
    """Return a check of the members of a tuple: all of one sort, or each of its own."""
    sorts = tuple(map(_allowed, hints))

    def right(held: tuple[object, ...]) -> bool:
        wanted = sorts * len(held) if every else sorts
        if len(wanted) != len(held):
            return False
        return all(
            type(one) in kinds and (inside is None or inside(one))
            for one, (kinds, inside) in zip(held, wanted, strict=True)
        )

    return right
