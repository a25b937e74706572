"""Processor share and memory of one open ear, by kind of sound."""

from __future__ import annotations

import time
from typing import Any

import numpy as np

from tests.benchmark.hearing import commands, people
from tests.benchmark.hearing.contestants import Ours
from tests.benchmark.hearing.rooms import Samples, in_condition, noise_alone
from tests.benchmark.hearing.speakers import RATE
from tests.benchmark.hearing.split import Split
from tests.benchmark.outcome import resident_mb

MINUTES = 2.0


def cost(side: Split, seed: int) -> dict[str, Any]:
    """Return the share of one core and the memory held, by kind of sound."""
    commands.english()
    sounds = _sounds(side, seed)
    told: dict[str, Any] = {"memory_mb": {"before": round(resident_mb(), 1)}}
    ear = Ours()
    told["memory_mb"]["ear open"] = round(resident_mb(), 1)
    for name, samples in sounds.items():
        before = time.process_time()
        ear.hear(samples, "drained")
        told[name] = {
            "seconds": round(len(samples) / RATE),
            "core": round((time.process_time() - before) * RATE / len(samples), 4),
        }
        told["memory_mb"][name] = round(resident_mb(), 1)
    return told


def _sounds(side: Split, seed: int) -> dict[str, Samples]:
    count = int(MINUTES * 60 * RATE)
    chance = np.random.default_rng(seed)
    silence = np.asarray(np.round(chance.standard_normal(count) * 10), dtype=np.int16)
    noise = [noise_alone(several[0], 30.0, -30.0, seed) for several in side.noises.values()]
    busy = [in_condition(clip, "quiet", seed, side)[0] for clip in commands.sentences(side, seed)[-60:]]
    idle = [np.concatenate([one, silence[: 10 * RATE]]) for one in busy[:8]]
    talk = [in_condition(clip, "quiet", seed, side)[0] for clip in people.read_aloud(side, seed)]
    sounds = {
        "silence": silence,
        "noise": np.concatenate(noise),
        "a command every 14 s": np.concatenate(idle),
    }
    sounds["commands without a pause"] = np.concatenate(busy)[:count]
    if talk:
        sounds["talk without a pause"] = np.concatenate(talk)[:count]
    return sounds
