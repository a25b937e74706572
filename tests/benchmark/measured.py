"""The table of what was measured of the record, from the kept results: `python -m tests.benchmark measured`.

`--write` puts it in its place in the developers' page; a test holds the two together.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from tests.benchmark.outcome import kept, put_between

PAGE = Path(__file__).resolve().parent.parent.parent / "DEVELOPERS.md"
BEGIN, END = "<!-- measured: begin -->", "<!-- measured: end -->"
Figures = Mapping[str, Any]


def _append(figures: Figures, n: int) -> str:
    own, bare = figures["append, ms"]["median"], figures["bare commit, ms"]["median"]
    return f"{figures['ratio of medians']} ({own} beside {bare} ms, medians of {n:,})"


def _kills(figures: Figures, n: int) -> str:
    phases = ", ".join(f"{name} {count}" for name, count in figures["killed while"].items())
    return f"{figures['lost']} lost; {figures['readings read back']:,} readings read back; {phases}"


def _kill(figures: Figures, n: int) -> str:
    return f"{figures['readings_lost']} lost, {figures['completed_after_the_kill']} brought to their end"


def _power(figures: Figures, n: int) -> str:
    return f"{figures['lost']} lost; {len(figures['power failed before'])} kinds of operation hit"


def _bays(figures: Figures, n: int) -> str:
    rate, seconds, lag = figures["events per second"], figures["seconds"], figures["lag, ms"]
    lost, doubled = figures["lost"], figures["doubled or strange"]
    lags = f"lag {lag['median']} ms (99 %: {lag['p99']})"
    return f"{rate} events a second for {seconds:.0f} s, {lags}, {lost} lost, {doubled} doubled"


def _doors(figures: Figures, n: int) -> str:
    held = {name: one for name, one in figures.items() if "fault" not in one}
    least, longest = (
        min(one["tries"] for one in held.values()),
        max(one["longest, s"] for one in held.values()),
    )
    failed = {name: one["fault"][:40] for name, one in figures.items() if "fault" in one}
    told = f"{len(held)} of {len(figures)} doors hold {least:,} tries each at least, longest {longest} s"
    return "; ".join([told, *(f"NOT held by {name}: {fault}" for name, fault in failed.items())])


def _guided(figures: Figures, n: int) -> str:
    faults = [f"NOT held by {name}: {one['fault'][:40]}" for name, one in figures.items() if "fault" in one]
    places = sum(one.get("places reached", 0) for one in figures.values())
    return "; ".join([f"{len(figures)} doors, {places:,} places reached", *(faults or ["no fault"])])


def _soak(figures: Figures, n: int) -> str:
    late, count = figures["a timer late by, ms"], figures["timers run out"]
    means = f"in the mean {late['mean, first half']} and {late['mean, second half']} ms by halves"
    left = "; ".join(figures["faults"]) or "nothing left behind"
    growth = figures["memory, MB"]["growth"]
    return f"{growth} MB; {count} timers {late['most']} ms late at most, {means}; {left}"


def _upgrade(figures: Figures, n: int) -> str:
    differ = sum(len(one["facts that differ"]) for one in figures.values())
    ends = sum(len(one["half jobs brought to their end"]) for one in figures.values())
    return f"{n} versions by their wheels, {differ} facts that differ, {ends} half jobs brought to their end"


def _hash(figures: Figures, n: int) -> str:
    return f"{'equal' if figures['equal'] else 'NOT equal'} on {'; '.join(figures['pythons'])}"


ROWS: tuple[tuple[str, str, str, Callable[[Figures, int], str]], ...] = (
    ("append", "an append beside the bare commit", "1.3 times at most", _append),
    ("kills-journal", "a running job killed at seeded microseconds", "none of 1,000 loses anything", _kills),
    ("kill", "the program killed, its job taken up", "no reading lost", _kill),
    ("power-cuts", "power cuts below SQLite, writes torn and lost", "no reading lost", _power),
    ("bays", "64 bays on one server", "five minutes, none lost or doubled", _bays),
    ("doors", "bad input", "10,000 tries a door, no fault, 1 s at most", _doors),
    ("doors-guided", "bad input led by what it reaches", "no fault, 1 s at most", _guided),
    ("soak", "eight hours in one process", "under 20 MB, no drift, nothing left", _soak),
    ("upgrade", "journals of earlier versions", "the same facts", _upgrade),
    ("fold-hash", "the state by other Pythons", "equal", _hash),
)
"""Result, what was done, what is asked, and how its figures are told."""


def table() -> str:
    """Return the table in Markdown, a row for each result that is kept."""
    lines = ["| what | asked | measured | by | at |", "|---|---|---|---|---|"]
    for name, what, asked, told in ROWS:
        if (result := kept(name)) is not None:
            text = told(result["figures"], result["n"])
            lines.append(f"| {what} ({result['n']:,}) | {asked} | {text} | `{name}` | {_commits(result)} |")
    return "\n".join(lines)


def _commits(result: Mapping[str, Any]) -> str:
    """Return the commit that was measured; those of the parts, where a result was not made in one run."""
    parts = [one["commit"] for one in result["figures"].values() if isinstance(one, dict) and "holds" in one]
    return ", ".join(dict.fromkeys(parts or [result["commit"]]))


def with_table(page: str) -> str:
    """Return the page with the table in its place; `ValueError` where it has none."""
    whole = put_between(page, BEGIN, END, table())
    if whole is None:
        raise ValueError(f"the page lacks {BEGIN} or {END}")
    return whole


def main(argv: list[str]) -> int:
    """Print the table, or put it in its place."""
    parser = argparse.ArgumentParser(prog="measured", description=__doc__)
    parser.add_argument("--write", action="store_true")
    if parser.parse_args(argv).write:
        PAGE.write_text(with_table(PAGE.read_text("utf-8")), "utf-8")
    print(table())
    return 0
