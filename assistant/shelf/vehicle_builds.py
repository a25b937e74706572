"""The builds of a unit: a sheet may tell of several that differ in pan, filter, plug or washer.

A build is the unit as it is written first, called plain, or one of its variants over it. Where nobody chose,
only what is the same in all of them is known.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

PLAIN = "plain"
"""The build of a unit that is written first, where there are others beside it."""
OF_A_DRAIN = ("drain-least", "drain-expected", "drain-most")
"""What a drain brings, which another pan changes altogether."""


def variants_of(sheet: Mapping[str, object]) -> tuple[str, ...]:
    """Return the builds a unit of a file has, the plain one first; empty where there is but one."""
    variants = cast("Mapping[str, object]", sheet.get("variants", {}))
    return (PLAIN, *variants) if variants else ()


def built(sheet: Mapping[str, object], wanted: list[str]) -> Mapping[str, object]:
    """Return one build of a unit: the one that is wanted, else only what is the same in all of them.

    A wanted one that is found is taken out of `wanted`.
    """
    variants = cast("Mapping[str, Mapping[str, object]]", sheet.get("variants", {}))
    if not variants:
        return sheet
    plain = {key: value for key, value in sheet.items() if key != "variants"}
    chosen = next((one for one in variants_of(sheet) if one.casefold() in wanted), None)
    if chosen is not None:
        wanted.remove(chosen.casefold())
        return {**(plain if chosen == PLAIN else merged(plain, variants[chosen])), "variant": chosen}
    differ = {key for one in variants.values() for part in one.values() for key in cast("list[str]", part)}
    for part in ("figures", "texts", "origins"):
        told = cast("Mapping[str, object]", plain.get(part, {}))
        plain[part] = {key: value for key, value in told.items() if key not in differ}
    return plain


def merged(plain: Mapping[str, object], variant: Mapping[str, object]) -> dict[str, object]:
    """Return a unit with what its variant says in the place of what the plain one does.

    Another pan gives another drain: where the variant tells what it holds or gives, the drain of the plain
    one is void.
    """
    merged = dict(plain)
    of_its_own = cast("Mapping[str, object]", variant.get("figures", {}))
    drains = any(key in of_its_own for key in ("capacity", *OF_A_DRAIN))
    for part in ("figures", "texts", "origins"):
        told = cast("Mapping[str, object]", plain.get(part, {}))
        over = cast("Mapping[str, object]", variant.get(part, {}))
        merged[part] = {
            **{key: value for key, value in told.items() if not (drains and key in OF_A_DRAIN)},
            **over,
        }
    return merged
