"""What is heard beside a loudspeaker, from the kept result to the README.

`python -m tests.benchmark echo-report` writes the table.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from tests.benchmark.ear_report import README
from tests.benchmark.outcome import RESULTS, kept, put_between

BEGIN, END = "<!-- echo:begin -->", "<!-- echo:end -->"
HEAD = (
    "| echo beside the voice | kept out by | reduction, median (least) | replies taken for a sentence "
    '| "stop" heard | five digits right | readings right / wrong / missed |\n'
    "| --- | --- | --- | --- | --- | --- | --- |"
)
WAYS = {
    "gate": "a gate",
    "cancel": "cancelling",
    "cancel and suppress": "cancelling and suppressing",
}


def main(argv: list[str]) -> int:
    """Write the table between its marks; 1 where the README has none."""
    argparse.ArgumentParser(prog="echo-report", description=__doc__).parse_args(argv)
    whole = put_between(README.read_text("utf-8"), BEGIN, END, text(RESULTS))
    if whole is None:
        return 1
    README.write_text(whole, "utf-8")
    print(text(RESULTS))
    return 0


def text(folder: Path) -> str:
    """Return the table of whatever parts are kept."""
    result = kept("echo", folder)
    if result is None:
        return ""
    figures = result["figures"]
    lines = [HEAD]
    for name, part in figures.items():
        where, _, rest = name.partition(", ")
        level, _, way = rest.rpartition(", ")
        if way in WAYS:
            told = level.removeprefix("echo ") if where == "room" else "virtual card, 0 dB"
            lines.append(_row(told, way, part))
    alone = figures.get("room, nobody else speaks")
    if alone is not None:
        cells = f"{_share(alone['digits'], 'right')} | {_three(alone['readings'])}"
        lines.append(f"| no reply meanwhile | | | | | {cells} |")
    commits = ", ".join(dict.fromkeys(part["commit"] for part in figures.values()))
    return "\n".join([*lines, "", f"Measured {result['date'][:10]} at {commits}, `{result['command']}`."])


def _row(told: str, way: str, part: dict[str, Any]) -> str:
    reduced = part["reduction_db"]
    cells = [
        told,
        WAYS[way],
        "" if way == "gate" else f"{reduced['median']} ({reduced['least']}) dB",
        f"{len(part['false events'])} of {part['replies']}",
        _share(part["stop"], "heard"),
        _share(part["digits"], "right"),
        _three(part["readings"]),
    ]
    return f"| {' | '.join(cells)} |"


def _share(counts: dict[str, Any], mark: str) -> str:
    return f"{counts[mark]} of {counts['n']}"


def _three(counts: dict[str, Any]) -> str:
    return f"{counts['right']} / {counts['wrong']} / {counts['missed']}"
