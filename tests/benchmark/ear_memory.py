"""Memory and processor share of one open ear over a working day: `python -m tests.benchmark ear-memory`.

Eight hours of sound, faster than real time: the mixed talk, radio and noise of the hour benchmark over and
over, with silence and commands between, through the whole ear of one process. Another process makes the
sound and writes it to a file, so that this one holds the ear alone.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from assistant.grammar.judgement import ANYTHING
from assistant.hearing.recogniser import Recogniser
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.outcome import resident_mb, write

RATE = 16_000
SEED = 8
SETTLED_MINUTES = 15
"""Growth counts from here on: until then caches fill."""
BLOCK = 1024
"""Bytes fed at once: 32 ms."""
COMMANDS = 24


@dataclass
class Course:
    """What was seen on the way."""

    audio_s: float = 0.0
    cpu_s: float = 0.0
    utterances: int = 0
    at_minute: list[tuple[int, float]] = field(default_factory=list)
    """(minute of sound, MB held)."""

    def growth_mb(self, settled: int = SETTLED_MINUTES) -> float:
        """Return the memory held most after the first minutes, over what it was then."""
        later = [mb for minute, mb in self.at_minute if minute >= settled]
        return max(later) - later[0] if later else 0.0


def make(path: Path, seed: int, talk_minutes: float, said: int = COMMANDS) -> None:
    """Write a stretch of a day as 16 kHz int16: noise and talk, a minute of silence, commands, and again."""
    from tests.benchmark.ear_hour.sounds import scenes
    from tests.benchmark.hearing.commands import sentences
    from tests.benchmark.hearing.rooms import in_condition
    from tests.benchmark.hearing.split import split

    side = split("reporting")
    commands = [in_condition(one, "quiet", seed, side)[0] for one in list(sentences(side, seed))[:said]]
    silence = np.round(np.random.default_rng(seed).standard_normal(60 * RATE) * 12).astype("<i2")
    with path.open("wb") as file:
        for scene in scenes(seed, talk_minutes):
            for stretch in (scene.samples, silence, *commands):
                file.write(stretch.astype("<i2").tobytes())


def make_busy(path: Path, seed: int) -> None:
    """Write commands one behind the other."""
    from tests.benchmark.hearing.commands import sentences
    from tests.benchmark.hearing.rooms import in_condition
    from tests.benchmark.hearing.split import split

    side = split("reporting")
    with path.open("wb") as file:
        for one in list(sentences(side, seed))[-40:]:
            file.write(in_condition(one, "quiet", seed, side)[0].astype("<i2").tobytes())


def blocks(path: Path) -> Iterator[bytes]:
    """Yield the sound of a file, block by block."""
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            yield block


def listen(ear: Recogniser, sound: Iterator[bytes], course: Course) -> Course:
    """Hear it, noting the memory at every minute of sound."""
    begun = time.process_time()
    for pcm in sound:
        course.utterances += len(ear.feed(pcm))
        course.audio_s += len(pcm) / 2 / RATE
        minute = int(course.audio_s // 60)
        if not course.at_minute or minute > course.at_minute[-1][0]:
            course.at_minute.append((minute, round(resident_mb(), 2)))
    course.cpu_s += time.process_time() - begun
    return course


def main(argv: list[str]) -> int:
    """Hear a day and write what it took; 1 where it ever held 20 MB more than after the first minutes."""
    parser = argparse.ArgumentParser(prog="ear-memory", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--talk", type=float, default=12.0, help="minutes of different talk, repeated")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--make", type=Path, metavar="FOLDER", help="only write the sound into a folder")
    wanted = parser.parse_args(argv)
    if wanted.make is not None:
        make(wanted.make / "day.raw", wanted.seed, wanted.talk)
        make_busy(wanted.make / "busy.raw", wanted.seed)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        again = [sys.executable, "-m", "tests.benchmark", "ear-memory", "--make", folder]
        subprocess.run([*again, "--talk", str(wanted.talk), "--seed", str(wanted.seed)], check=True)
        figures = _day(Path(folder), wanted.hours, wanted.seed)
    write("ear-memory", argv, wanted.seed, figures["utterances"], figures)
    return int(figures["memory_mb"]["growth"] >= 20.0)


def _day(folder: Path, hours: float, seed: int) -> dict[str, Any]:
    ear = open_ear()
    ear.expectation = ANYTHING
    open_mb = resident_mb()
    hush = np.round(np.random.default_rng(seed).standard_normal(120 * RATE) * 12).astype("<i2").tobytes()
    silent = listen(ear, (hush[at : at + BLOCK] for at in range(0, len(hush), BLOCK)), Course())
    del hush
    busy = listen(ear, blocks(folder / "busy.raw"), Course())
    course = Course()
    while course.audio_s < hours * 3600:
        listen(ear, blocks(folder / "day.raw"), course)
        print(f"{course.audio_s / 3600:.1f} h: {resident_mb():.1f} MB, {course.cpu_s:.0f} s of a core",
              flush=True)  # fmt: skip
    settled = next((mb for minute, mb in course.at_minute if minute >= SETTLED_MINUTES), None)
    shares = {"nobody speaks": silent, "commands without a pause": busy, "the day": course}
    return {
        "hours": round(course.audio_s / 3600, 2),
        "utterances": course.utterances,
        "memory_mb": {
            "ear open": round(open_mb, 1),
            "after 15 minutes": settled,
            "at the end": course.at_minute[-1][1],
            "growth": round(course.growth_mb(), 2),
        },
        "core": {name: round(one.cpu_s / one.audio_s, 4) for name, one in shares.items()},
        "every half hour": course.at_minute[:: max(1, len(course.at_minute) // 16)],
    }
