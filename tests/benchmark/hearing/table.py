"""Cells of the benchmark: counts, shares with their bounds, delays; as a table to read and as JSON."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from scipy.stats import beta, chi2

from assistant.hearing.openness import Openness, openness
from tests.benchmark.hearing.clips import Clip
from tests.benchmark.hearing.commands import english, sounds_alike
from tests.benchmark.hearing.outcome import OUTCOMES, Outcome, parsed
from tests.benchmark.hearing.running import Result


def at_most(seen: int, count: int) -> float:
    """Return the upper 95 % bound, in percent, of a share of which `seen` of `count` were counted.

    Exact binomial, one-sided: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413.
    """
    return 100.0 if seen >= count else 100.0 * float(beta.ppf(0.95, seen + 1, count - seen))


@dataclass
class Cell:
    """One group of clips in one condition, for one contestant."""

    outcomes: Counter[str] = field(default_factory=Counter)
    delays: list[float] = field(default_factory=list)
    closed: list[float] = field(default_factory=list)
    """Delays of sentences nothing may follow."""
    real: list[float] = field(default_factory=list)
    """Delays with the computing that came after the sound."""
    wrongs: list[dict[str, object]] = field(default_factory=list)
    reasons: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0
    cpu: float = 0.0

    @property
    def n(self) -> int:
        """Number of clips."""
        return sum(self.outcomes.values())

    def add(self, result: Result, found: Outcome) -> None:
        """Count one clip."""
        clip = result.task.clip
        self.outcomes[found.what] += 1
        self.seconds += result.row.seconds
        self.cpu += result.row.cpu
        if found.reason:
            self.reasons[found.reason] += 1
        if found.what == "taken" and clip.timed and found.decided is not None:
            delay = found.decided - result.end
            self.delays.append(delay)
            self.real.append(delay + _computing(result, found.decided))
            if openness(english().standing(clip.words), parsed(clip.words)) is Openness.CLOSED:
                self.closed.append(delay)
        elif found.what == "wrong":
            entry = {"said": clip.words or clip.id, "heard": " | ".join(found.heard), "speaker": clip.speaker}
            self.wrongs.append({**entry, "noise": result.noise, "share": round(found.share, 3)})

    def figures(self) -> dict[str, Any]:
        """Return the cell as plain values; shares in percent, delays in milliseconds."""
        if not self.n:
            return {"n": 0}
        shares = {name: round(100 * self.outcomes[name] / self.n, 2) for name in OUTCOMES}
        told: dict[str, Any] = {
            "n": self.n,
            "counts": {name: self.outcomes[name] for name in OUTCOMES},
            **shares,
            "wrong_at_most": round(at_most(self.outcomes["wrong"], self.n), 2),
            "delay_ms": _quantiles(self.delays),
            "delay_closed_ms": _quantiles(self.closed),
            "delay_with_computing_ms": _quantiles(self.real),
            "core": round(self.cpu / max(self.seconds, 1e-9), 4),
        }
        return told


def _computing(result: Result, decided: float) -> float:
    """Return the processor time (s) of the decision that fell at a moment of the stream; 0 where not kept."""
    times = (told.get("computing", 0.0) for told in result.row.utterances if told["decided"] == decided)
    return float(next(times, 0.0))


def _quantiles(values: Sequence[float]) -> dict[str, float] | None:
    if not values:
        return None
    ranked = sorted(values)
    return {
        "n": len(ranked),
        "p50": round(1000 * ranked[len(ranked) // 2]),
        "p95": round(1000 * ranked[min(len(ranked) - 1, int(0.95 * len(ranked)))]),
    }


Key = tuple[str, str, str]
"""Contestant, group, condition."""


def cells(pairs: Iterable[tuple[Result, Outcome]]) -> dict[Key, Cell]:
    """Return the cells: readings and shapes together as commands, those that sound alike apart."""
    found: dict[Key, Cell] = defaultdict(Cell)
    for result, what in pairs:
        found[(result.task.contestant, group_of(result), result.task.condition)].add(result, what)
    return found


def group_of(result: Result) -> str:
    """Return the group a clip is counted in."""
    return group_of_clip(result.task.clip)


def group_of_clip(clip: Clip) -> str:
    """Return the group a clip is counted in."""
    if clip.group in ("shapes", "readings"):
        return "commands alike" if sounds_alike(clip.words) else "commands"
    return clip.group


def false_accepts(pairs: Iterable[tuple[Result, Outcome]]) -> dict[str, dict[str, float]]:
    """Return, per set in which nothing may be understood, hours of sound, what was obeyed, and that per hour.

    The bound is that of a Poisson count, one-sided at 95 % (F. Garwood, Biometrika 28 (1936) 437-442).
    """
    hours: dict[str, float] = defaultdict(float)
    counts: Counter[str] = Counter()
    for result, found in pairs:
        if result.task.contestant == "ours" and not result.task.clip.words:
            hours[group_of(result)] += result.row.seconds / 3600
            counts[group_of(result)] += found.what == "wrong"
    return {
        name: {
            "hours": round(length, 4),
            "obeyed": counts[name],
            "per_hour": round(counts[name] / length, 2),
            "per_hour_at_most": round(float(chi2.ppf(0.95, 2 * counts[name] + 2)) / 2 / length, 2),
        }
        for name, length in sorted(hours.items())
    }


def by(pairs: Iterable[tuple[Result, Outcome]], what: str) -> dict[str, dict[str, Any]]:
    """Return figures of our ear per "speaker" or per "noise"."""
    found: dict[str, Cell] = defaultdict(Cell)
    for result, one in pairs:
        if result.task.contestant != "ours" or not result.task.clip.words:
            continue
        name = result.task.clip.speaker if what == "speaker" else f"{result.noise} {result.task.condition}"
        if what == "noise" and not result.noise:
            continue
        found[name].add(result, one)
    return {name: cell.figures() for name, cell in sorted(found.items())}


_HEAD = ("contestant", "set", "condition", "n", "taken", "asked", "refused", "nothing", "WRONG", "<= 95 %",
         "p50 ms", "p95 ms")  # fmt: skip


def lines(table: dict[Key, Cell], wanted: Iterable[Key] = ()) -> list[str]:
    """Return the cells as lines to read; wanted cells without a clip are named as empty."""
    rows: list[tuple[str, ...]] = [_HEAD]
    for key in sorted({*table, *wanted}):
        cell = table.get(key, Cell())
        if not cell.n:
            rows.append((*key, "0", *["empty"] * 8))
            continue
        told = cell.figures()
        delay = told["delay_ms"] or {"p50": "-", "p95": "-"}
        shares = [f"{told[name]:.1f}" for name in OUTCOMES[:-1]]
        wrong = (f"{told['wrong']:.2f}", f"{told['wrong_at_most']:.2f}")
        rows.append((*key, str(cell.n), *shares, *wrong, str(delay["p50"]), str(delay["p95"])))
    widths = [max(len(row[at]) for row in rows) for at in range(len(_HEAD))]
    return [
        "  ".join(
            text.ljust(width) if at < 3 else text.rjust(width)
            for at, (text, width) in enumerate(zip(row, widths, strict=True))
        )
        for row in rows
    ]
