"""A day in one process: `python -m tests.benchmark soak`.

Eight simulated hours of jobs, one after the other: the real session on a real journal with clips, the voice
process saying every sentence, and the real ear hearing what the mechanic says (spoken by that voice, with a
second of a room's hush before and behind). Time is an argument, and moves on in the uneven steps of a loop
that also has something else to do. Once an hour the voice process is killed, and the job taken up again from
its journal. What is watched: memory, timers, threads, processes, open files.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import tempfile
import threading
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from assistant.app import Session, new_session, resumed_session
from assistant.commands import house
from assistant.commands.understanding import expectation_of, from_line, from_utterance
from assistant.errors import MissingPart
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, as_pcm, resampled
from assistant.job import events as e
from assistant.job.state import fold
from assistant.shelf.settings import Settings
from assistant.shelf.vehicle_file import load_for
from assistant.speaking.client import VoiceProcess
from assistant.timekeeping.clock import RecordedClock
from tests.bench import SHEET, START, grammar, procedure
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.outcome import resident_mb, write
from tests.straight_job import SAID

HOUR_MS = 3_600_000
MOST_MB = 20.0
LONGEST_STEP_MS = 200
"""The loop looks at the clock at least so often; a timer can be told so much late."""
ASIDES = (
    "timer seven minutes", "timer two minutes", "timer five minutes", "how long", "say again",
    "note the washer was old", "which step", "how much is left", "stand by", "i'm back",
)  # fmt: skip
HUSH = np.round(np.random.default_rng(1).standard_normal(RATE) * 12).astype(np.int16)


@dataclass
class Course:
    """What was seen on the way."""

    jobs: int = 0
    turns: int = 0
    spoken: int = 0
    heard: int = 0
    """Of the lines that were spoken, those understood; the others were typed then."""
    lateness_ms: list[int] = field(default_factory=list)
    """Of every timer that ran out, in order."""
    memory_mb: list[float] = field(default_factory=list)
    """Once in five minutes."""
    voices_killed: int = 0


def script(chance: random.Random) -> Iterator[tuple[float, str]]:
    """Yield (seconds before it, line): what a mechanic says in a job of about an hour, with asides."""
    for items in SAID.values():
        for item in items:
            if isinstance(item, float):
                yield item, "how long"
            else:
                if chance.random() < 0.5:
                    yield chance.uniform(5, 90), chance.choice(ASIDES)
                longest_s = 900 if chance.random() < 0.15 else 90
                yield chance.uniform(5, longest_s), item


class Bay:
    """One process of the program, for a day."""

    def __init__(self, folder: Path, seed: int, ear: Recogniser | None) -> None:
        self.course, self._chance, self._ear = Course(), random.Random(seed), ear
        self._clock = RecordedClock(START)
        self.store = house.open_store(str(folder / "journal.sqlite"), START, Settings())
        self.voice = VoiceProcess()
        self._until: dict[str, int] = {}
        self.session = self._begin()

    def _begin(self) -> Session:
        self.course.jobs += 1
        self._until.clear()
        session = new_session(
            procedure=procedure(), sheet=load_for(SHEET, procedure()), settings={}, versions={}, who="",
            outbox=self.store.outbox, clock=self._clock, say=self._say, committed=self._committed,
        )  # fmt: skip
        session.open()
        return session

    def _say(self, sentences: Sequence[str]) -> bool:
        for one in sentences:
            self.voice.synthesise(one)
        return True

    def _committed(self, events: Sequence[e.Event]) -> None:
        """Follow the timers from what was journalled of them."""
        for one in events:
            if isinstance(one, e.TimerStarted):
                self._until[one.name] = one.at.up_ms + one.ms
            elif isinstance(one, e.TimerStopped):
                self._until.pop(one.name, None)
            elif isinstance(one, e.TimerDue) and one.name in self._until:
                self.course.lateness_ms.append(one.at.up_ms - self._until.pop(one.name))

    def day(self, hours: float) -> None:
        """Work for so many hours of the clock, job after job."""
        over = START.up_ms + round(hours * HOUR_MS)
        while self._clock.now().up_ms < over:
            for gap_s, line in script(self._chance):
                self._wait(round(gap_s * 1000))
                self._tell(line)
                if self._clock.now().up_ms >= over or self.session.state.ended:
                    break
            self._take_up()
            self._end_voice()
            self.session = self._begin()

    def _wait(self, ms: int) -> None:
        """Let time pass as a busy loop sees it."""
        until = self._clock.now().up_ms + ms
        while (left := until - self._clock.now().up_ms) > 0:
            self._clock.advance(min(left, self._chance.randint(20, LONGEST_STEP_MS)))
            self.session.pass_time()
            if self._clock.now().up_ms - START.up_ms >= len(self.course.memory_mb) * HOUR_MS / 12:
                self.course.memory_mb.append(round(resident_mb(), 2))

    def _tell(self, line: str) -> None:
        """Say a line into the ear; what it does not understand, and a note's words, are typed."""
        self.course.turns += 1
        if self._ear is not None and not line.startswith("note"):
            self.course.spoken += 1
            sound = self.voice.synthesise(line)
            pcm = (np.frombuffer(sound.pcm, dtype="<i2") / np.float32(32_768)).astype(np.float32)
            samples = np.concatenate([HUSH, as_pcm(resampled(pcm, sound.rate)) // 2, HUSH])
            self._ear.expectation = expectation_of(self.session.state)
            found = [*self._ear.feed(samples.astype("<i2").tobytes()), *self._ear.finish()]
            for one in found:
                if one.meaning is not None:
                    self.course.heard += 1
                    self.session.hear(from_utterance(one, grammar(), self.session.state, self._kept))
                    return
        self.session.hear(from_line(line, grammar()))

    def _kept(self, sound: bytes) -> str | None:
        return self.store.keep(self.session.state.job, sound)

    def _take_up(self) -> None:
        """Give the session up, and rebuild it from the journal alone: it is the same one."""
        job, before = self.session.state.job, self.session.state
        history = self.store.journal.read(job)
        assert fold(history) == before
        self.session = resumed_session(
            history=history, outbox=self.store.outbox, clock=self._clock, say=self._say,
            committed=self._committed,
        )  # fmt: skip
        self.session.reopen()

    def _end_voice(self) -> None:
        os.kill(self.voice.pid, signal.SIGKILL)
        self.voice.synthesise("Here again.")
        self.course.voices_killed += 1

    def close(self) -> None:
        """Close everything the program closes at its end."""
        self.voice.close()
        self.store.close()


def held() -> dict[str, int]:
    """Return how many threads, open files and child processes this process has."""
    children = Path(f"/proc/self/task/{os.getpid()}/children")
    return {
        "threads": threading.active_count(),
        "files": len(os.listdir("/proc/self/fd")),
        "processes": len(children.read_text("ascii").split()) if children.exists() else 0,
    }


def soak(hours: float, seed: int, ear: Recogniser | None) -> tuple[Course, dict[str, dict[str, int]]]:
    """Work for so many hours; return what was seen, and what was held before, at work twice, and after."""
    grammar(), procedure()
    with tempfile.TemporaryDirectory(prefix="soak") as folder:
        counts = {"before": held()}
        bay = Bay(Path(folder), seed, ear)
        try:
            bay.day(min(hours, 0.2))
            counts["at work"] = held()
            bay.day(hours)
            counts["after the day"] = held()
        finally:
            bay.close()
        counts["closed"] = held()
    return bay.course, counts


def growth_mb(course: Course, settled: float = 0.125) -> float:
    """Return the most memory held, over what it was once the first part of the day had filled the caches."""
    first = round(len(course.memory_mb) * settled)
    return round(max(course.memory_mb[first:]) - course.memory_mb[first], 2)


def faults(course: Course, counts: dict[str, dict[str, int]]) -> list[str]:
    """Return what is not as it should be."""
    found = []
    if growth_mb(course) >= MOST_MB:
        found.append(f"memory grew by {growth_mb(course)} MB")
    if (
        not course.lateness_ms
        or not 0 <= min(course.lateness_ms) <= max(course.lateness_ms) <= LONGEST_STEP_MS
    ):
        found.append("a timer was early or late")
    if counts["after the day"] != counts["at work"] or counts["closed"] != counts["before"]:
        found.append("a thread, a file or a process was left behind")
    return found


def main(argv: list[str]) -> int:
    """Work for a day and write the result; 1 where something was left behind, drifted or grew."""
    parser = argparse.ArgumentParser(prog="soak", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--seed", type=int, default=8)
    parser.add_argument("--no-ear", action="store_true", help="type everything")
    given = parser.parse_args(argv)
    try:
        ear = None if given.no_ear else open_ear()
    except MissingPart as trouble:
        print(f"without the ear: {trouble}")
        ear = None
    course, counts = soak(given.hours, given.seed, ear)
    late, half = course.lateness_ms, len(course.lateness_ms) // 2
    figures = {
        "hours": given.hours,
        "jobs": course.jobs,
        "lines": course.turns,
        "spoken into the ear": course.spoken,
        "understood by it": course.heard,
        "voice processes killed": course.voices_killed,
        "timers run out": len(late),
        "a timer late by, ms": {
            "most": max(late, default=None),
            "mean, first half": round(sum(late[:half]) / max(half, 1), 1),
            "mean, second half": round(sum(late[half:]) / max(len(late) - half, 1), 1),
        },
        "memory, MB": {
            "first": course.memory_mb[0],
            "last": course.memory_mb[-1],
            "growth": growth_mb(course),
        },
        "every half hour, MB": course.memory_mb[::6],
        "held": counts,
        "the same at the end": dict(Counter(counts["closed"]) - Counter(counts["before"])) == {},
        "faults": faults(course, counts),
    }
    write("soak", argv, given.seed, course.turns, figures)
    return int(bool(figures["faults"]))
