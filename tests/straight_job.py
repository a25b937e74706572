"""The straight job, line by line: what a mechanic says at each step when nothing goes wrong."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from tests.bench import SHEET, Bench

BARE = SHEET.with_name("vehicle_bare.toml")

SAID: Mapping[str, tuple[str | float, ...]] = {
    "confirm": ("plate reads quebec four tango eight",),
    "lay-out": ("all laid out",),
    "stand-flat": ("that is done", "all clear"),
    "start-before": ("it is running",),
    "ranges-before": ("done",),
    "level-before": ("5 mm below the hot mark",),
    "paper": ("red",),
    "switch-off": ("engine off",),
    "raise": ("on the stands",),
    "clean-plug": ("done",),
    "open-plug": ("it is running",),
    "look": ("red and clear",),
    "old-washer": ("washer on the plug",),
    "magnet": ("fine fuzz on the magnet",),
    "drain-wait": (600.0, "a drop every six seconds", "done"),
    "close-plug": ("new washer on",),
    "torque": ("torque 36 nm", "yes"),
    "measure": ("first can 3 litres", "another 1.2 litres", "done"),
    "measure-temperature": ("55 c",),
    "keep-old": ("done",),
    "plan": ("yes",),
    "pour": ("poured 3 litres", "another 1.2 litres", "done"),
    "lower": ("wheels on the ground", "all clear"),
    "run": ("engine is running",),
    "ranges-after": (130.0, "done"),
    "level-cold": ("on the cold mark", "all clear"),
    "drive": ("done",),
    "level-hot": ("75 c", "on the hot mark"),
    "switch-off-after": ("engine off",),
    "close": ("clock reads 84210 km", "done"),
    "waste": ("done", "yes"),
}
"""Lines by step, in order; a number is a wait in seconds."""


def say(bench: Bench, item: str | float) -> list[str]:
    """Say a line or let seconds pass; return the keys of what the assistant says."""
    return bench.hear(item) if isinstance(item, str) else bench.wait(item)


def bench_at(step: str, sheet: Path = SHEET) -> Bench:
    """Return a job that went straight to `step` and has just been told to do it."""
    bench = Bench(sheet=sheet)
    for name, lines in SAID.items():
        if name == step:
            break
        for item in lines:
            say(bench, item)
    assert bench.step == step, f"the straight job stands at {bench.step}, not at {step}"
    bench.forget()
    return bench
