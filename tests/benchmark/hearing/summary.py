"""What was asked of the ear beside what was measured, from the kept results; for the README, too."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tests.benchmark.hearing.rooms import LEVELS
from tests.benchmark.hearing.running import ROOT
from tests.benchmark.hearing.table import at_most
from tests.benchmark.outcome import put_between

BEGIN, END = "<!-- hearing:begin -->", "<!-- hearing:end -->"
_README = ROOT / "README.md"


@dataclass(frozen=True, slots=True)
class Goal:
    """Some cells taken together, and what is asked of them in percent; None: nothing."""

    name: str
    part: str
    sets: tuple[str, ...]
    conditions: tuple[str, ...]
    wrong: float | None
    taken: float | None


def _in(ratio: int, *kinds: str) -> tuple[str, ...]:
    return tuple(f"{kind} {ratio} dB" for kind in kinds)


_STEADY = ("engine", "compressor", "impact")
_ALL = (*_STEADY, "babble", "music")
_CROWD = ("fsdd", "speech_commands")
GOALS = (
    Goal("synthetic commands, quiet", "quiet", ("commands",), ("quiet",), 0.3, 94),
    Goal("engine, compressor, impact 10 dB", "noise", ("commands",), _in(10, *_STEADY), 0.5, 80),
    Goal("the same, 5 dB", "noise", ("commands",), _in(5, *_STEADY), 1, 55),
    Goal("babble 10 dB", "noise", ("commands",), _in(10, "babble"), 0.5, 45),
    Goal("any noise, 0 dB", "noise", ("commands",), _in(0, *_ALL), 1, None),
    Goal("human digits (AN4), quiet", "an4", ("an4",), ("quiet",), 0.2, 98),
    Goal("human digits (AN4), engine 10 dB", "an4", ("an4",), _in(10, "engine"), 0.5, 90),
    Goal("human digits (AN4), engine 5 dB", "an4", ("an4",), _in(5, "engine"), 1, 60),
    Goal("human digits (FSDD, Speech Commands), quiet", "crowd", _CROWD, ("quiet",), 1, 90),
    Goal("the same, engine 10 dB", "crowd", _CROWD, _in(10, "engine"), 2, 70),
    Goal("the same, engine 5 dB", "crowd", _CROWD, _in(5, "engine"), 3, 50),
    Goal("-teen and -ty said as words, believed without a yes", "alike", ("alike",), ("quiet",), 0, None),
    Goal("human yes and no, quiet", "answers", ("answers",), ("quiet",), None, None),
    Goal("human single words, spelled names: obeyed", "talk", ("words", "spelled"), ("quiet",), None, None),
    Goal(
        "read sentences, chatter full of numbers: obeyed", "talk", ("read", "chatter"), ("quiet",), None, None
    ),
    Goal("unfinished and unsafe sentences: obeyed", "talk", ("traps",), ("quiet",), None, None),
    Goal("synthetic commands, music 10 dB", "noise", ("commands",), _in(10, "music"), None, None),
    *(
        Goal(f"synthetic commands, {name}", "levels", ("commands",), (name,), None, None)
        for name in (*(f"peak {level} dBFS" for level in LEVELS), "8 kHz band", "clipped")
    ),
)


def pooled(goal: Goal, results: Mapping[str, Any], contestant: str = "ours") -> Counter[str]:
    """Return the outcomes of all cells of a goal."""
    found: Counter[str] = Counter()
    for cell in results.get(goal.part, {}).get("cells", []):
        wanted = cell["contestant"] == contestant and cell["set"] in goal.sets
        if wanted and cell["condition"] in goal.conditions:
            found.update(cell["counts"])
    return found


def rows(results: Mapping[str, Any]) -> list[Sequence[str]]:
    """Return the table: goal, n, wrong asked and measured, taken asked and measured, the others' figures."""
    head = (
        "what is heard",
        "n",
        "silently wrong: asked",
        "measured (at most)",
        "taken at once: asked",
        "measured",
        "vosk phrases: wrong / taken",
        "pocketsphinx: wrong / taken",
    )
    table: list[Sequence[str]] = [head]
    for goal in GOALS:
        found = pooled(goal, results)
        n = found.total()
        if not n:
            table.append((goal.name, "0", *["not measured"] * 6))
            continue
        wrong = found["wrong"]
        others = [_other(pooled(goal, results, name)) for name in ("vosk phrases", "pocketsphinx")]
        table.append(
            (
                goal.name,
                str(n),
                "" if goal.wrong is None else f"{goal.wrong:g} %",
                f"{100 * wrong / n:.2f} % ({at_most(wrong, n):.2f})",
                "" if goal.taken is None else f"{goal.taken:g} %",
                f"{100 * found['taken'] / n:.1f} %" if goal.part != "talk" else "",
                *others,
            )
        )
    return table


def _other(found: Counter[str]) -> str:
    n = found.total()
    return f"{100 * found['wrong'] / n:.1f} / {100 * found['taken'] / n:.1f} % of {n}" if n else "not run"


def text(results: Mapping[str, Any]) -> str:
    """Return the summary as Markdown."""
    table = rows(results)
    lines = ["| " + " | ".join(row) + " |" for row in table]
    lines.insert(1, "|" + " --- |" * len(table[0]))
    quiet = results.get("quiet", {})
    told = quiet.get("after_read_back")
    if told:
        still = f"{told['wrong_after']} of {told['n']} still wrong (at most {told['wrong_after_at_most']} %)"
        lines += ["", f"After the read-back, put right by a scripted mechanic: {still}."]
    cell = next(
        (one for one in quiet.get("cells", []) if one["contestant"] == "ours" and one["set"] == "commands"),
        None,
    )
    if cell:
        closed, every = cell["delay_closed_ms"], cell["delay_ms"]
        lines.append(
            f"Decision after the last word: {closed['p50']} ms (p95 {closed['p95']}) where nothing may "
            f"follow, {every['p50']} ms (p95 {every['p95']}) over all.{_with_computing(results)}"
        )
    lines += _more(results)
    dates = sorted({(one["date"], one["commit"]) for one in results.values() if "date" in one})
    lines.append(f"Measured {', '.join(f'{date} at {commit}' for date, commit in dates)}, "
                 "`python -m tests.benchmark hearing`; the other side of the table is in "
                 "`tests/benchmark/results/hearing.json`.")  # fmt: skip
    return "\n".join(lines)


def _with_computing(results: Mapping[str, Any]) -> str:
    """Return the delays with the processor time of the decision itself, in quiet and in engine noise."""
    told = []
    for part, condition in (("quiet", "quiet"), ("noise", "engine 10 dB")):
        for cell in results.get(part, {}).get("cells", []):
            real = cell.get("delay_with_computing_ms")
            ours = cell["contestant"] == "ours" and cell["set"] == "commands"
            if ours and cell["condition"] == condition and real:
                told.append(f"{condition} {real['p50']} ms (p95 {real['p95']})")
    return f" With the computing of it, second decodings included: {', '.join(told)}." if told else ""


def _more(results: Mapping[str, Any]) -> list[str]:
    """Return what deciding early changed, false accepts, cost, pairs and empty cells, as far as measured."""
    lines: list[str] = []
    early = results.get("early", {}).get("changed_by_deciding_early", {})
    if early:
        told = "; ".join(f"{name} {one['changed']} of {one['n']}" for name, one in early.items())
        lines.append(f"Changed by deciding early: {told}.")
    accepts = results.get("talk", {}).get("false_accepts", {})
    if accepts:
        told = "; ".join(
            f"{name} {one['obeyed']:.0f} in {60 * one['hours']:.0f} min" for name, one in accepts.items()
        )
        lines.append(f"Obeyed though nothing was meant for it, a question being open: {told}.")
    cost = results.get("cost", {})
    if "memory_mb" in cost:
        shares = "; ".join(
            f"{name} {one['core']}" for name, one in cost.items() if isinstance(one, dict) and "core" in one
        )
        lines.append(f"Share of one core: {shares}. Memory {max(cost['memory_mb'].values()):.0f} MB.")
    pairs = results.get("quiet", {}).get("confusable", [])[:10]
    if pairs:
        told = ", ".join(f"{row['said']}/{row['heard']}" for row in pairs)
        lines.append(f"Words least apart in quiet (said/heard, worst first): {told}.")
    empty = [cell for part in results.values() if isinstance(part, dict) for cell in part.get("empty", [])]
    ours = ["; ".join(cell[1:]) for cell in empty if cell[0] == "ours" and cell[1] != "commands alike"]
    others = len(empty) - len(ours)
    lines.append(
        f"Cells without a clip: {', '.join(f'({one})' for one in ours) or 'none of ours'}; {others} more, of "
        "the other recognisers and of -teen and -ty in noise, are named in the file of results."
    )
    return lines


def into_readme(results: Mapping[str, Any]) -> bool:
    """Write the summary between the two marks of the README; False where there are none."""
    whole = put_between(_README.read_text("utf-8"), BEGIN, END, text(results))
    if whole is None:
        return False
    _README.write_text(whole, "utf-8")
    return True
