"""Kills the process of a running job at seeded instants and takes the job up again from its journal alone.

`python -m tests.benchmark kill [--kills 100] [--seed 7]` prints one line per kill and a summary; the exit
code is 1 where anything was lost. A sample of it runs in the full tier.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.app import resumed_session
from assistant.commands.understanding import from_line
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.job.state import State, fold
from assistant.journal.open import open_journal, read_journal
from assistant.journal.outbox import DurableFirst
from assistant.phrasing import phrase
from assistant.timekeeping.clock import RecordedClock
from tests.bench import SHEET, Bench, grammar
from tests.benchmark.outcome import write
from tests.straight_job import SAID, say

ROOT = Path(__file__).resolve().parent.parent.parent
AT_ONCE = 2
BY_PROCESS = 4
"""Every fourth job is resumed by a second process, the others here: starting one takes seconds."""
ANSWERS = {"confirm": "yes", "implausible": "yes", "gate": "all clear", "advice": "yes", "finish": "yes"}
LINES = tuple(item for items in SAID.values() for item in items if isinstance(item, str))
LONGEST_S = 120.0


@dataclass(frozen=True, slots=True)
class Outcome:
    """One kill: how much was said before it, what was lost, and how the job ended after it was resumed."""

    seed: int
    printed: int
    events: int
    lost: tuple[str, ...]
    ended: str

    @property
    def good(self) -> bool:
        """Whether nothing was lost and the job came to its end."""
        return not self.lost and self.ended == "complete"


@cache
def read_backs() -> dict[str, e.ReadingHeard]:
    """Return the sentence that reads each reading of the straight job back, and its event."""
    bench, found = Bench(), dict[str, e.ReadingHeard]()
    for items in SAID.values():
        for item in items:
            bench.forget()
            say(bench, item)
            readings = [event for event in bench.events if isinstance(event, e.ReadingHeard)]
            told = [one for one in bench.replies if one.key in ("heard", "confirm")]
            if readings and told:
                found[phrase(told[0])[0]] = readings[-1]
    return found


def command(*arguments: str) -> list[str]:
    """Return the command line of the program."""
    return [sys.executable, "-m", "assistant", *arguments, "--ear", "keyboard", "--voice", "print"]


def environment(home: Path) -> dict[str, str]:
    """Return the environment of a child: a home of its own."""
    places = {name: str(home) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    return {**os.environ, **places}


def killed(journal: Path, home: Path, chance: random.Random) -> list[str]:
    """Run the straight job in a child, kill it at an instant of chance, return the lines it printed."""
    start = command("start", "automatic-drain-refill", "--vehicle", str(SHEET), "--journal", str(journal))
    after_lines = chance.randrange(1, 150) if chance.random() < 0.5 else None
    delay = chance.uniform(0.0, 1.5)
    with subprocess.Popen(
        start,
        cwd=ROOT,
        env=environment(home),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        printed = [child.stdout.readline().rstrip("\n")]
        typist = threading.Thread(target=_type, args=(child, chance.random()), daemon=True)
        typist.start()
        if after_lines is None:
            threading.Timer(delay, child.kill).start()
        for line in child.stdout:
            printed.append(line.rstrip("\n"))
            if after_lines is not None and len(printed) >= after_lines:
                child.kill()
        child.kill()
        typist.join()
        with contextlib.suppress(OSError):
            child.stdin.close()
    return printed


def _type(child: subprocess.Popen[str], haste: float) -> None:
    """Type the lines of the job, with pauses by haste; the child may be gone at any line."""
    assert child.stdin is not None
    with contextlib.suppress(OSError, ValueError):
        for line in LINES:
            child.stdin.write(line + "\n")
            child.stdin.flush()
            time.sleep(0.04 * haste)


def remaining(state: State) -> Iterator[str]:
    """Give the lines that bring a job of this state to its end."""
    question = state.question
    if question is not None:
        yield ANSWERS[question.name]
    steps = list(SAID)
    for name in steps[steps.index(state.step_id) :]:
        if name == state.step_id and question is not None:
            continue
        for item in SAID[name]:
            if isinstance(item, str) and not (name == state.step_id and _told(state, item)):
                yield item


def _told(state: State, line: str) -> bool:
    """Whether the job holds what this line tells."""
    meaning = from_line(line, grammar()).meaning
    assert isinstance(meaning, Meaning)
    here = [one for one in state.readings.values() if one.step == state.step_id and not one.withdrawn]
    kinds = {one.kind for one in here if one.value == meaning.value}
    return meaning.kind in kinds or (meaning.kind == "amount" and bool(kinds & {"drained", "poured"}))


def history_of(journal: Path) -> list[e.Event]:
    """Return the events of the one job of a journal; none where the kill came before the first."""
    if not journal.exists():
        return []
    with read_journal(journal) as store:
        rows = store.jobs()
        return store.read(rows[0].id) if rows else []


def lost_of(printed: Sequence[str], history: Sequence[e.Event]) -> tuple[str, ...]:
    """Return what was read back and is not in the journal."""
    kept = [(event.kind, event.value, event.unit) for event in history if isinstance(event, e.ReadingHeard)]
    lost = []
    for line in printed:
        told = read_backs().get(line)
        if told is not None:
            if (told.kind, told.value, told.unit) in kept:
                kept.remove((told.kind, told.value, told.unit))
            else:
                lost.append(line)
    stood = sum(isinstance(event, e.ReadingStood) and event.how == "yes" for event in history)
    if sum(line == "Noted." for line in printed) > stood:
        lost.append("Noted.")
    return tuple(lost)


def once(seed: int, folder: Path) -> Outcome:
    """Kill one job and resume it."""
    journal = folder / f"{seed}.sqlite"
    printed = killed(journal, folder, random.Random(seed))
    history = history_of(journal)
    if not history:
        nothing = not any(line in read_backs() for line in printed)
        return Outcome(seed, len(printed), 0, () if nothing else tuple(printed), "complete")
    state = fold(history)
    lost = lost_of(printed, history)
    if not state.ended:
        lines = list(remaining(state)) if state.step_id else list(LINES)
        if seed % BY_PROCESS == 0:
            _resume_by_process(journal, folder, lines)
        else:
            _resume_here(journal, history, lines)
    after = history_of(journal)
    if after[: len(history)] != history:
        lost = (*lost, "the journal itself was changed")
    return Outcome(seed, len(printed), len(history), lost, fold(after).ended or f"at {fold(after).step_id}")


def _resume_by_process(journal: Path, home: Path, lines: Sequence[str]) -> None:
    subprocess.run(
        command("resume", "--journal", str(journal)),
        cwd=ROOT,
        env=environment(home),
        input="\n".join(lines) + "\n",
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
        timeout=LONGEST_S,
        check=False,
    )


def _resume_here(journal: Path, history: Sequence[e.Event], lines: Sequence[str]) -> None:
    """Do what the program does when it resumes, without the time it takes to start."""
    clock = RecordedClock(history[-1].at.later(30_000))
    with open_journal(journal, clock.now()) as store:
        session = resumed_session(
            history=store.read(store.jobs()[0].id),
            outbox=DurableFirst(store),
            clock=clock,
            say=lambda _: True,
        )
        session.reopen()
        for line in lines:
            clock.advance(4_000)
            session.pass_time()
            session.hear(from_line(line, grammar()))


def several(seeds: Sequence[int], folder: Path) -> Iterator[Outcome]:
    """Kill several jobs, a few at once; give the outcomes in order."""
    read_backs()
    with ThreadPoolExecutor(AT_ONCE) as pool:
        yield from pool.map(lambda seed: once(seed, folder), seeds)


def main(argv: Sequence[str]) -> int:
    """Run the kills and print what came of them."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark kill", description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=7)
    given = parser.parse_args(argv)
    kept: list[Outcome] = []
    with tempfile.TemporaryDirectory() as folder:
        for one in several(range(given.seed, given.seed + given.kills), Path(folder)):
            kept.append(one)
            print(f"seed {one.seed}: {one.printed} lines, {one.events} events, {one.ended}; lost {one.lost}")
    bad = sum(not one.good for one in kept)
    figures = {
        "bad": bad,
        "readings_lost": sum(len(one.lost) for one in kept),
        "completed_after_the_kill": sum(one.ended == "complete" for one in kept),
        "events_before_the_kill": {"least": min(o.events for o in kept), "most": max(o.events for o in kept)},
    }
    write("kill", list(argv), given.seed, len(kept), figures)
    return 1 if bad else 0
