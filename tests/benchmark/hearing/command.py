"""The hearing benchmark as a command.

    python -m tests.benchmark hearing [--part NAME ...] [--sample N] [--seed S] [--side reporting|fitting]

Without --part every part is run, all cells filled alike until --minutes are over; what an earlier run of the
same ear has done is not done again, so a second run goes on. Results go into
tests/benchmark/results/hearing.json, beside what other parts left there.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.benchmark.hearing import commands, people, talk
from tests.benchmark.hearing.clips import SPEECH, Clip
from tests.benchmark.hearing.contestants import CONTESTANTS, Ours
from tests.benchmark.hearing.cost import cost
from tests.benchmark.hearing.outcome import Outcome, changed, outcome
from tests.benchmark.hearing.pairs import confusable
from tests.benchmark.hearing.readback import after_read_back
from tests.benchmark.hearing.record import forget, keep, keep_cost, kept
from tests.benchmark.hearing.rooms import LEVELS
from tests.benchmark.hearing.running import Result, Task, run
from tests.benchmark.hearing.split import SPLITS, Split, split
from tests.benchmark.hearing.summary import into_readme, text
from tests.benchmark.hearing.table import cells, false_accepts, group_of_clip, lines

Sets = Callable[[Split, int], Sequence[Clip]]


@dataclass(frozen=True, slots=True)
class Part:
    """Some sets of clips in some conditions."""

    sets: tuple[Sets, ...]
    conditions: Mapping[str, int | None] = field(default_factory=lambda: {"quiet": None})
    """Condition -> clips of each set, drawn anew for each condition; None: all."""
    rivals: int = 12
    """How many of them the other recognisers hear, too."""
    whole: bool = False


def _digits(collection: str) -> Sets:
    return lambda side, seed: people.digit_sentences(collection, side, seed)


_OTHERS = {"babble 10 dB": 40, "8 kHz band": 40}
_STEADY = ("engine", "compressor", "impact")
_NOISY = {
    f"{kind} {ratio} dB": count
    for ratio, steady, babble, music in (
        (20, 40, 40, 40),
        (10, 115, 330, 60),
        (5, 115, 40, 40),
        (0, 66, 66, 66),
    )
    for kind, count in (*((kind, steady) for kind in _STEADY), ("babble", babble), ("music", music))
}
"""Enough in every row of the table that no mistake at all bounds the share by one in a hundred."""
PARTS: dict[str, Part] = {
    "early": Part(
        (commands.sentences,), dict.fromkeys(("quiet", "engine 15 dB", "engine 5 dB"), 330), 0, True
    ),
    "quiet": Part((commands.sentences,), rivals=150),
    "noise": Part((commands.sentences,), _NOISY),
    "an4": Part(
        (people.an4_sentences,), {"quiet": None, "engine 10 dB": None, "engine 5 dB": None, **_OTHERS}
    ),
    "crowd": Part(
        (_digits("fsdd"), _digits("speech_commands")),
        {"quiet": 165, "engine 10 dB": 165, "engine 5 dB": 165, **_OTHERS},
    ),
    "answers": Part((people.answers,), dict.fromkeys(("quiet", "engine 10 dB", "engine 5 dB"))),
    "alike": Part((commands.alike,)),
    "talk": Part(
        (
            people.other_words,
            people.spelled,
            people.read_aloud,
            commands.traps,
            talk.chatter,
            talk.noises_alone,
        )
    ),
    "levels": Part(
        (commands.sentences,),
        {**{f"peak {level} dBFS": 60 for level in LEVELS}, "8 kHz band": 120, "clipped": 60},
    ),
}
"""Deciding early comes first: what is heard there is not heard again in quiet and in noise."""


def tasks(name: str, side: Split, seed: int, sample: int | None) -> list[Task]:
    """Return what is to be heard of a part, contestants in turn."""
    part = PARTS[name]
    found: list[Task] = []
    for one in part.sets:
        clips = list(one(side, seed))
        for condition, count in part.conditions.items():
            most = sample if sample is not None else count
            chosen = list(clips)
            # In one order for each condition, so that a larger sample contains a smaller one.
            random.Random(f"{seed} {condition}").shuffle(chosen)
            for number, clip in enumerate(chosen[:most]):
                heard_by = list(CONTESTANTS) if number < part.rivals else [Ours.name]
                for one in heard_by:
                    cell = len(chosen[:most]) if one == Ours.name else min(part.rivals, len(chosen[:most]))
                    turn = (number + 1) / cell
                    found.append(Task(one, condition, clip, part.whole, name, turn))
    return found


def _cold(pairs: Sequence[tuple[Result, Outcome]]) -> dict[str, Any]:
    """Return our figures with nothing awaited, by set and condition; silently wrong is what was obeyed."""
    ours = [result for result, _ in pairs if result.task.contestant == "ours"]
    table = cells((result, outcome(result, cold=True)) for result in ours)
    return {f"{key[1]}, {key[2]}": cell.figures()["counts"] for key, cell in sorted(table.items())}


def main(argv: Sequence[str]) -> int:
    """Run parts of the benchmark and keep their results."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark hearing", description=__doc__)
    parser.add_argument("--part", choices=[*PARTS, "cost"], action="append")
    parser.add_argument("--sample", type=int, help="clips of each set in each condition")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--side", choices=SPLITS, default="reporting")
    parser.add_argument("--minutes", type=float, default=90.0, help="begin nothing new after so long")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", choices=sorted(CONTESTANTS), help="one recogniser alone")
    wanted = parser.parse_args(argv)
    if not SPEECH.is_dir():
        print("no human speech beside the project: only synthetic voices are heard", file=sys.stderr)
    side = split(wanted.side)
    planned = [
        task
        for name in PARTS
        if wanted.part is None or name in wanted.part
        for task in tasks(name, side, wanted.seed, wanted.sample)
        if wanted.only in (None, task.contestant)
    ]
    heard: dict[str, list[Result]] = {task.part: [] for task in planned}
    for result in run(planned, side.name, wanted.seed, minutes=wanted.minutes, processes=wanted.processes):
        heard[result.task.part].append(result)
    for name, results in heard.items():
        _report(name, results, [task for task in planned if task.part == name], side, wanted.seed, argv)
    if wanted.part is None or "cost" in wanted.part:
        found = cost(side, wanted.seed)
        print("\n".join(f"{sound}: {figures}" for sound, figures in found.items()))
        keep_cost(found, side.name, wanted.seed, list(argv))
    if side.name == "reporting":
        forget({*PARTS, "cost"})
        print(text(kept()))
        into_readme(kept())
    return 0


def _report(
    name: str,
    results: Sequence[Result],
    planned: Sequence[Task],
    side: Split,
    seed: int,
    argv: Sequence[str],
) -> None:
    """Print what came of one part and keep it."""
    pairs = [(result, outcome(result)) for result in results]
    early = [
        (result.task.condition, differs) for result in results if (differs := changed(result)) is not None
    ]
    table = cells(pairs)
    empty = sorted(
        {(task.contestant, group_of_clip(task.clip), task.condition) for task in planned} - {*table}
    )
    print(f"== {name}, {side.name}, seed {seed}: {len(pairs)} of {len(planned)} heard")
    print("\n".join(lines(table, empty)))
    for condition in dict.fromkeys(one for one, _ in early):
        these = [differs for one, differs in early if one == condition]
        print(f"changed by deciding early, {condition}: {sum(these)} of {len(these)}")
    more: dict[str, Any] = {"cold": _cold(pairs), "empty": [list(key) for key in empty]}
    if name == "talk":
        more["false_accepts"] = false_accepts(pairs)
        print("\n".join(f"false accepts, {key}: {told}" for key, told in more["false_accepts"].items()))
    if name == "quiet":
        more["after_read_back"] = after_read_back(pairs, side.name, seed, "quiet")
        told = more["after_read_back"]
        more["confusable"] = confusable(result for result, _ in pairs)
        print("\n".join(str(row) for row in more["confusable"][:20]))
        print(f"after the read-back: {told['wrong_after']} of {told['n']} still wrong")
    keep(name, side.name, seed, list(argv), pairs, table, early, len(planned), more)
