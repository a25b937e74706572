"""Which safety sign a caution carries: hazard to people and harm to equipment told apart.

By the open standards: ISO 3864-1 gives warning of a hazard a triangle, ANSI Z535.4 gives it the signal
word WARNING where it can kill or maim and CAUTION where it hurts; what harms only things is NOTICE, and
carries no triangle. (Standards quoted from memory.)
"""

from __future__ import annotations

from collections.abc import Mapping

PERSON, EQUIPMENT = "person", "equipment"

SIGNS: Mapping[str, tuple[str, str]] = {
    "eyes-skin": ("caution", PERSON),
    "spill": ("caution", PERSON),
    "soft-thread": ("notice", EQUIPMENT),
    "waste-oil": ("notice", EQUIPMENT),
    "data-first": ("notice", EQUIPMENT),
}
"""Cautions that are no warning, by their name in a procedure."""


def sign_of(caution: str) -> tuple[str, str]:
    """Return (signal, who or what is at risk); a caution nobody has classed is a warning to people."""
    return SIGNS.get(caution, ("warning", PERSON))
