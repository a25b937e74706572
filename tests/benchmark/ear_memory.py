"""Memory and processor share of one open ear over a working day: `python -m tests.benchmark ear-memory`.

Eight hours of sound, faster than real time: the mixed talk, radio and noise of the hour benchmark over and
over, with commands between, through the whole ear of one process. `--hours` can be had in slices of one
process that goes on: `--slice S` seconds of work, then it waits for its turn again.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from assistant.grammar.judgement import ANYTHING
from assistant.hearing.recogniser import Recogniser
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.ear_hour.sounds import Samples, scenes
from tests.benchmark.hearing.commands import sentences
from tests.benchmark.hearing.cost import resident_mb
from tests.benchmark.hearing.rooms import in_condition
from tests.benchmark.hearing.split import split
from tests.benchmark.outcome import write

RATE = 16_000
SEED = 8
SETTLED_MINUTES = 15
"""Growth counts from here on: until then caches fill."""
BLOCK = 512


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


def day(seed: int, talk_minutes: float) -> Iterator[Samples]:
    """Yield stretches of a day for ever: a minute of silence, of noise and talk, of commands, and again."""
    side = split("reporting")
    commands = [in_condition(one, "quiet", seed, side)[0] for one in list(sentences(side, seed))[:24]]
    talk = [scene.samples for scene in scenes(seed, talk_minutes)]
    hush = np.random.default_rng(seed).standard_normal(60 * RATE) * 12
    silence = np.round(hush).astype(np.int16)
    while True:
        for stretch in talk:
            yield stretch
            yield silence
            yield from commands


def listen(ear: Recogniser, stretches: Iterator[Samples], hours: float, course: Course) -> Course:
    """Hear so many hours more, noting the memory at every minute of sound."""
    until = course.audio_s + hours * 3600
    ear.expectation = ANYTHING
    for stretch in stretches:
        begun = time.process_time()
        pcm = stretch.astype("<i2").tobytes()
        for at in range(0, len(pcm), 2 * BLOCK):
            course.utterances += len(ear.feed(pcm[at : at + 2 * BLOCK]))
        course.cpu_s += time.process_time() - begun
        course.audio_s += len(stretch) / RATE
        minute = int(course.audio_s // 60)
        if not course.at_minute or minute > course.at_minute[-1][0]:
            course.at_minute.append((minute, round(resident_mb(), 2)))
        if course.audio_s >= until:
            break
    return course


def shares(ear: Recogniser, seed: int) -> dict[str, float]:
    """Return the share of a core while nobody speaks and while somebody always does."""
    side = split("reporting")
    silence = np.round(np.random.default_rng(seed).standard_normal(120 * RATE) * 12).astype(np.int16)
    spoken = [in_condition(one, "quiet", seed, side)[0] for one in list(sentences(side, seed))[-40:]]
    found = {}
    for name, sound in (("nobody speaks", [silence]), ("commands without a pause", spoken)):
        one = listen(ear, iter(sound), 1.0, Course())
        found[name] = round(one.cpu_s / one.audio_s, 4)
    return found


def main(argv: list[str]) -> int:
    """Hear a day and write what it took; 1 where it ever held 20 MB more than after the first minutes."""
    parser = argparse.ArgumentParser(prog="ear-memory", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--talk", type=float, default=12.0, help="minutes of different talk, repeated")
    parser.add_argument("--seed", type=int, default=SEED)
    wanted = parser.parse_args(argv)
    ear = open_ear()
    open_mb = resident_mb()
    share = shares(ear, wanted.seed)
    stretches, course = day(wanted.seed, wanted.talk), Course()
    while course.audio_s < wanted.hours * 3600:
        listen(ear, stretches, min(0.5, wanted.hours), course)
        print(
            f"{course.audio_s / 3600:.1f} h: {resident_mb():.1f} MB, {course.cpu_s:.0f} s of a core",
            flush=True,
        )
    figures = {
        "hours": round(course.audio_s / 3600, 2),
        "utterances": course.utterances,
        "memory_mb": {
            "ear open": round(open_mb, 1),
            "after 15 minutes": next(
                (mb for minute, mb in course.at_minute if minute >= SETTLED_MINUTES), None
            ),
            "at the end": course.at_minute[-1][1],
            "growth": round(course.growth_mb(), 2),
        },
        "core": {**share, "the day": round(course.cpu_s / course.audio_s, 4)},
        "every half hour": course.at_minute[:: max(1, len(course.at_minute) // 16)],
    }
    write("ear-memory", argv, wanted.seed, course.utterances, figures)
    return int(course.growth_mb() >= 20.0)
