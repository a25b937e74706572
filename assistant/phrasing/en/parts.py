"""English names of the parts a service fits new."""

from __future__ import annotations

from collections.abc import Mapping

PARTS: Mapping[str, str] = {"crush-washer": "crush washer", "filter": "filter with its gasket"}


def part_text(name: str) -> str:
    """Return what a part is called."""
    return PARTS.get(name, name.replace("-", " "))


def parts_text(parts: Mapping[str, int]) -> str:
    """Return parts with their number, empty for none."""
    return ", ".join(f"{part_text(name)} ({count})" for name, count in parts.items())
