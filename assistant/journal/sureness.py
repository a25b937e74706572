"""Tells of an event, without reading its text back, that it would come back equal from it.

It would when each field is of exactly the type that its class states, and that type is one of the plain
sorts known here: reading back gives the same text, number or tuple then. To say no is always right, and
only means that it has to be tried; the tests try both ways on events of every kind.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from functools import cache
from itertools import product
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

PLAIN: frozenset[type] = frozenset((str, int, bool, NoneType))
Check = Callable[[Any], bool]
Mixtures = Mapping[tuple[type, ...], tuple[tuple[int, Check], ...]]


def is_sure(value: Any) -> bool:
    """Return whether every field of an event, or of a record inside one, is plainly what it should be."""
    cls: Any = type(value)
    values, mixtures = _mixtures(cls)
    held = values(value)
    inside = mixtures.get(tuple(map(type, held)))
    if inside is None:
        return False
    return not inside or all(right(held[place]) for place, right in inside)


@cache
def _mixtures(cls: Any) -> tuple[Callable[[Any], tuple[Any, ...]], Mixtures]:
    """Return what gives all fields of an object, and every mixture of exact types that they may be of.

    To a mixture belongs what has to be looked at inside a field. So the common case is one look-up: this
    is done for each event before it is written, while somebody waits for the answer.
    """
    hints = get_type_hints(cls)
    allowed = [_allowed(hint) for hint in hints.values()]
    inside = tuple((place, right) for place, (_, right) in enumerate(allowed) if right is not None)
    fields = attrgetter(*hints)
    values = fields if len(hints) > 1 else lambda value: (fields(value),)
    return values, dict.fromkeys(product(*(kinds for kinds, _ in allowed)), inside)


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
