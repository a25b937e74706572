"""Clips through contestants: two processes, every result kept at once, so that a run can be broken off."""

from __future__ import annotations

import hashlib
import json
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import asdict, dataclass, replace
from functools import cache
from multiprocessing import get_context
from pathlib import Path

from tests.benchmark.hearing.clips import Clip
from tests.benchmark.hearing.contestants import CONTESTANTS, Ours, Row, Sphinx, Stock
from tests.benchmark.hearing.rooms import in_condition
from tests.benchmark.hearing.speakers import WORK
from tests.benchmark.hearing.split import split

ROOT = Path(__file__).resolve().parents[3]
_BATCH = 12
_DECISION = ROOT / "assistant" / "grammar" / "judgement.py"
"""Left out of the fingerprint: decisions are taken anew from the kept alternatives."""
_EAR = ("assistant.hearing.", "assistant.grammar.")
"""Modules whose change changes a result, where they are loaded: those of a microphone are not."""


@dataclass(frozen=True, slots=True)
class Task:
    """One clip in one condition for one contestant."""

    contestant: str
    condition: str
    clip: Clip
    whole: bool = False
    part: str = ""
    turn: float = 0.0
    """Share of its cell that has been heard once this is: a run broken off has every cell filled alike."""

    @property
    def key(self) -> str:
        """Return its name in the file of kept results."""
        return f"{self.condition}|{self.clip.id}{'|whole' if self.whole else ''}"


@dataclass(frozen=True, slots=True)
class Result:
    """A task done."""

    task: Task
    noise: str
    end: float
    """Seconds: where the speech ends in the stream."""
    row: Row


@cache
def fingerprint(contestant: str) -> str:
    """Return a checksum of everything a kept result depends on."""
    files = [
        ROOT / "grammars" / "en.jsgf",
        *(Path(__file__).parent / f"{name}.py" for name in ("rooms", "clips")),
    ]
    if contestant == Ours.name:
        parts = [module for name, module in sorted(sys.modules.items()) if name.startswith(_EAR)]
        files += [Path(module.__file__) for module in parts if module.__file__]
    told = hashlib.sha256()
    for file in sorted(set(files) - {_DECISION}):
        told.update(file.read_bytes())
    return told.hexdigest()[:12]


def _store(contestant: str, side: str, seed: int) -> Path:
    name = contestant.replace(" ", "-")
    return WORK / "rows" / f"{name}-{side}-{seed}-{fingerprint(contestant)}.jsonl"


def _kept(path: Path) -> dict[str, dict[str, object]]:
    if not path.is_file():
        return {}
    found: dict[str, dict[str, object]] = {}
    for line in path.read_text("utf-8").splitlines():
        try:
            entry = json.loads(line)
        except ValueError:  # the last line of a run that was killed
            continue
        found[entry["key"]] = entry
    return found


def _entry(kept: dict[str, dict[str, object]], task: Task) -> dict[str, object] | None:
    """Return what is kept of a task; a clip that was also decoded whole need not be heard again without."""
    whole = replace(task, whole=True)
    return kept.get(task.key) or kept.get(whole.key)


@cache
def _contestant(name: str) -> Ours | Stock | Sphinx:
    return CONTESTANTS[name]()


def _work(tasks: Sequence[Task], side: str, seed: int) -> list[tuple[Task, str, float, Row]]:
    done = []
    for task in tasks:
        samples, noise = in_condition(task.clip, task.condition, seed, split(side))
        row = _contestant(task.contestant).hear(samples, task.clip.kind, task.whole)
        end = (len(samples) / 16_000) - 1.8
        done.append((task, noise, end, row))
    return done


def run(
    tasks: Iterable[Task], side: str, seed: int, *, minutes: float = 9.0, processes: int = 2
) -> Iterator[Result]:
    """Yield a result for every task that is kept or can be done within `minutes`; the rest is left out."""
    until = time.monotonic() + 60 * minutes
    kept: dict[str, dict[str, dict[str, object]]] = {}
    left: dict[tuple[str, str, str], list[Task]] = {}
    for task in tasks:
        name = task.contestant
        if name not in kept:
            kept[name] = _kept(_store(name, side, seed))
        entry = _entry(kept[name], task)
        if entry is None:
            left.setdefault((name, task.condition, task.clip.id), []).append(task)
        else:
            yield Result(task, str(entry["noise"]), float(str(entry["end"])), Row(**entry["row"]))  # type: ignore[arg-type]
    # What several parts want is heard once, for the one that wants most of it.
    each = sorted((max(same, key=lambda one: one.whole) for same in left.values()), key=lambda one: one.turn)
    batches = [each[at : at + _BATCH] for at in range(0, len(each), _BATCH)]
    if batches:
        for done in _computed(batches, side, seed, until, processes):
            for task in left[done.task.contestant, done.task.condition, done.task.clip.id]:
                yield replace(done, task=task)


def _computed(
    waiting: list[list[Task]], side: str, seed: int, until: float, processes: int
) -> Iterator[Result]:
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        running: set[Future[list[tuple[Task, str, float, Row]]]] = set()
        while running or (waiting and time.monotonic() < until):
            while waiting and len(running) < 2 * processes and time.monotonic() < until:
                running.add(pool.submit(_work, waiting.pop(0), side, seed))
            done, running = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                for task, noise, end, row in future.result():
                    _keep(task, side, seed, noise, end, row)
                    yield Result(task, noise, end, row)


def _keep(task: Task, side: str, seed: int, noise: str, end: float, row: Row) -> None:
    path = _store(task.contestant, side, seed)
    path.parent.mkdir(parents=True, exist_ok=True)
    entry = {"key": task.key, "noise": noise, "end": end, "row": asdict(row)}
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(entry) + "\n")
