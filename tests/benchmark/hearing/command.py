"""The hearing benchmark as a command.

    python -m tests.benchmark hearing [--part NAME ...] [--sample N] [--seed S] [--side reporting|fitting]

Without --part every part is run; what an earlier run has done is not done again. Results go into
tests/benchmark/results/hearing.json, beside what other parts left there.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from tests.benchmark.hearing import commands, people, talk
from tests.benchmark.hearing.clips import SPEECH, Clip
from tests.benchmark.hearing.contestants import CONTESTANTS
from tests.benchmark.hearing.cost import cost
from tests.benchmark.hearing.outcome import Outcome, changed, outcome
from tests.benchmark.hearing.pairs import confusable
from tests.benchmark.hearing.readback import after_read_back
from tests.benchmark.hearing.record import keep, keep_cost, kept
from tests.benchmark.hearing.rooms import KINDS, LEVELS, RATIOS
from tests.benchmark.hearing.running import Result, Task, run
from tests.benchmark.hearing.split import SPLITS, Split, split
from tests.benchmark.hearing.summary import into_readme, text
from tests.benchmark.hearing.table import cells, false_accepts, group_of_clip, lines

Sets = Callable[[Split, int], Sequence[Clip]]


@dataclass(frozen=True, slots=True)
class Part:
    """Some sets of clips in some conditions."""

    sets: tuple[Sets, ...]
    conditions: tuple[str, ...] = ("quiet",)
    sample: int | None = None
    """Clips of each set in each condition, drawn anew for each; None: all."""
    rivals: bool = True
    """Whether the other recognisers hear it, too."""
    whole: bool = False


def _digits(collection: str) -> Sets:
    return lambda side, seed: people.digit_sentences(collection, side, seed)


_HUMAN: tuple[Sets, ...] = (people.an4_sentences, _digits("fsdd"), _digits("speech_commands"))
_LOUD = tuple(f"{kind} {ratio} dB" for kind in KINDS for ratio in RATIOS)
PARTS: dict[str, Part] = {
    "quiet": Part((commands.sentences,)),
    "noise": Part((commands.sentences,), _LOUD, sample=150),
    "levels": Part(
        (commands.sentences,),
        (*(f"peak {level} dBFS" for level in LEVELS), "8 kHz band", "clipped"),
        sample=150,
    ),
    "digits": Part(_HUMAN, ("quiet", "engine 10 dB", "engine 5 dB", "babble 10 dB", "8 kHz band")),
    "answers": Part((people.answers,), ("quiet", "engine 10 dB", "engine 5 dB")),
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
    "alike": Part((commands.alike,)),
    "early": Part((commands.sentences,), ("quiet", "engine 15 dB", "engine 5 dB"), 200, False, True),
}


def tasks(part: Part, side: Split, seed: int, sample: int | None) -> list[Task]:
    """Return what is to be heard, contestants in turn."""
    most = sample if sample is not None else part.sample
    found: list[Task] = []
    names = list(CONTESTANTS) if part.rivals else ["ours"]
    for one in part.sets:
        clips = list(one(side, seed))
        for condition in part.conditions:
            chosen = list(clips)
            if most is not None and most < len(clips):  # a larger sample contains a smaller one
                random.Random(f"{seed} {condition}").shuffle(chosen)
                chosen = chosen[:most]
            found += [Task(name, condition, clip, part.whole) for clip in chosen for name in names]
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
    parser.add_argument(
        "--minutes", type=float, default=9.0, help="begin nothing new after so long, for each part"
    )
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", choices=sorted(CONTESTANTS), help="one recogniser alone")
    wanted = parser.parse_args(argv)
    if not SPEECH.is_dir():
        print("no human speech beside the project: only synthetic voices are heard", file=sys.stderr)
    side = split(wanted.side)
    for name in (one for one in wanted.part or PARTS if one in PARTS):
        planned = tasks(PARTS[name], side, wanted.seed, wanted.sample)
        if wanted.only:
            planned = [task for task in planned if task.contestant == wanted.only]
        pairs: list[tuple[Result, Outcome]] = []
        early: list[tuple[str, bool]] = []
        for result in run(
            planned, side.name, wanted.seed, minutes=wanted.minutes, processes=wanted.processes
        ):
            pairs.append((result, outcome(result)))
            differs = changed(result)
            if differs is not None:
                early.append((result.task.condition, differs))
        table = cells(pairs)
        empty = sorted(
            {(task.contestant, group_of_clip(task.clip), task.condition) for task in planned} - {*table}
        )
        print(f"== {name}, {side.name}, seed {wanted.seed}: {len(pairs)} of {len(planned)} heard")
        print("\n".join(lines(table, empty)))
        for condition in dict.fromkeys(one for one, _ in early):
            these = [differs for one, differs in early if one == condition]
            print(f"changed by deciding early, {condition}: {sum(these)} of {len(these)}")
        more: dict[str, Any] = {"cold": _cold(pairs), "empty": [list(key) for key in empty]}
        if name == "talk":
            more["false_accepts"] = false_accepts(pairs)
            print("\n".join(f"false accepts, {key}: {told}" for key, told in more["false_accepts"].items()))
        if name == "quiet":
            more["after_read_back"] = after_read_back(pairs, side.name, wanted.seed, "quiet")
            told = more["after_read_back"]
            more["confusable"] = confusable(result for result, _ in pairs)
            print("\n".join(str(row) for row in more["confusable"][:20]))
            print(f"after the read-back: {told['wrong_after']} of {told['n']} still wrong")
        keep(name, side.name, wanted.seed, list(argv), pairs, table, early, len(planned), more)
    if wanted.part is None or "cost" in wanted.part:
        found = cost(side, wanted.seed)
        print("\n".join(f"{sound}: {figures}" for sound, figures in found.items()))
        keep_cost(found, side.name, wanted.seed, list(argv))
    if side.name == "reporting":
        print(text(kept()))
        into_readme(kept())
    return 0
