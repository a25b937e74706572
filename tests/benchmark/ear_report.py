"""What the open ear does by itself, from kept results to the README: `python -m tests.benchmark ear-report`.

The hour of other people, its own voice, memory and cost, ten phrases read once, ways of gain; each line with
the commit and the command it was measured by.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from tests.benchmark.outcome import RESULTS, kept, put_between

BEGIN, END = "<!-- ear:begin -->", "<!-- ear:end -->"
README = Path(__file__).resolve().parent.parent.parent / "README.md"


def main(argv: list[str]) -> int:
    """Write the lines between their marks; 1 where the README has none."""
    argparse.ArgumentParser(prog="ear-report", description=__doc__).parse_args(argv)
    whole = put_between(README.read_text("utf-8"), BEGIN, END, text(RESULTS))
    if whole is None:
        return 1
    README.write_text(whole, "utf-8")
    print(text(RESULTS))
    return 0


def text(folder: Path) -> str:
    """Return the lines of whatever results there are."""
    tellers = {"ear-hour": _hour, "ear-memory": _memory, "enrolment": _enrolment, "gain": _gain}
    told: list[str] = []
    for name, teller in tellers.items():
        if (result := kept(name, folder)) is not None:
            seen = f"Measured {result['date'][:10]} at {result['commit']}, `{result['command']}`."
            told += [f"- {line}" for line in teller(result["figures"])] + [f"  {seen}"]
    return "\n".join(told)


def _hour(figures: dict[str, Any]) -> list[str]:
    lines = []
    for name, how in (("as shipped", "the ear as shipped"), ("never dozing", "an ear that never dozes")):
        one = figures[name]
        minutes = figures["as shipped"]["minutes"]
        lines.append(
            f"{minutes:g} minutes of talk, telephone, radio, noise and single words, {how}: "
            f"{one['changes of the job']} changes of the job (asked 0), "
            f'{one["say again"]} times "say again" (asked at most 1), '
            f"{one['answered otherwise']} questions answered."
        )
    own = figures.get("own voice")
    if own is not None:
        levels = [name for name in own if name != "replies"]
        changes = ", ".join(f"{own[name]['changes']} at {name}" for name in levels)
        without = ", ".join(str(own[name]["changes without the wall"]) for name in levels)
        lines.append(
            f"Its own voice into the open ear, {own['replies']} replies: changes {changes} (asked 0); "
            f"if words and times were not known: {without}."
        )
    return lines


def _memory(figures: dict[str, Any]) -> list[str]:
    core, memory = figures["core"], figures["memory_mb"]
    return [
        f"{figures['hours']:g} hours of sound: memory grows by {memory['growth']:.1f} MB after the first "
        f"15 minutes (asked under 20). Share of one core: {core['nobody speaks']} while nobody speaks, "
        f"{core['the day']} over the day, {core['commands without a pause']} in commands without a pause "
        f"(asked at most 0.05)."
    ]


def _enrolment(figures: dict[str, Any]) -> list[str]:
    cells = "; ".join(
        f"{name} {one['taken']} taken, {one['asked']} asked, {one['wrong']} wrong"
        for name, one in figures["all"].items()
    )
    return [f"Ten phrases read once by {len(figures['speakers'])} people, their other sentences: {cells}."]


def _gain(figures: dict[str, Any]) -> list[str]:
    ways = "; ".join(
        f"{way}: " + ", ".join(f"{one['taken']}/{one['wrong']} at {level}" for level, one in levels.items())
        for way, levels in figures.items()
    )
    n = sum(next(iter(next(iter(figures.values())).values())).values())
    return [f"Gain, sentences taken/wrong of {n} by peak level: {ways}."]
