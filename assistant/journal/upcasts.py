"""Numbered functions that lift the fields of an old event to the next version of its type.

An event type starts at version 1. Registering a function for (type, n) makes n + 1 the version that
is written from now on; the function takes the fields of version n and gives those of version n + 1.
A field added with a default needs none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

Fields = dict[str, object]
Upcast = Callable[[Fields], Fields]
Upcasts = Mapping[tuple[str, int], Upcast]

UPCASTS: dict[tuple[str, int], Upcast] = {}
"""(type, from version) -> function; every gap in the numbers of a type is a fault."""


def current_version(type_name: str, upcasts: Upcasts = UPCASTS) -> int:
    """Return the version of `type_name` that is written now."""
    if not upcasts:  # asked for each event before it is written
        return 1
    return 1 + max((number for name, number in upcasts if name == type_name), default=0)


def lift(type_name: str, version: int, fields: Fields, upcasts: Upcasts = UPCASTS) -> Fields:
    """Return `fields` of `version` as fields of the current version, through every step between."""
    for number in range(version, current_version(type_name, upcasts)):
        fields = upcasts[type_name, number](fields)
    return fields
