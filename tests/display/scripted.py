"""Whole services as they are kept for the conversation, played once to be looked at."""

from __future__ import annotations

import tomllib
from functools import cache

from tests.bench import Bench
from tests.dialogue.test_scripts import FOLDER, play


@cache
def served(name: str, until: str = "", sheet: str = "") -> Bench:
    """Return the job of a conversation after its end, or as soon as it stands at a step.

    `sheet` is another vehicle sheet than its own.
    """
    script = tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))
    if sheet:
        script["sheet"] = sheet
    for bench, _, _ in play(script):
        if until and bench.step == until:
            break
    assert not until or bench.step == until, f"{name} never stands at {until}"
    return bench
