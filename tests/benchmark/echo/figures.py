"""What is counted of replies alone, and of people who speak into them, in the room and on the card alike."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

import numpy as np

from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from tests.benchmark.echo.people import Reply, Said, meant

SETTLING = 3
"""Replies that are counted apart: the canceller learns in them."""
INTO_S = 1.0
"""How long after the beginning of a reply somebody speaks into it."""
AROUND_S = 1.0
"""Silence around what is said where no reply is."""
QUIET = 30.0
"""RMS of the room's noise there, in steps of a 16-bit sample."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one reply."""

    heard: tuple[Utterance, ...]
    """What was decided and is not our own."""
    cut_s: float | None
    """Seconds into the reply after which it was cut short; None where it was not."""
    reduction_db: float
    """Captured over left, while we spoke; 0 without a canceller."""
    settled: float
    """Share of the reply in which the canceller had settled."""


Say = Callable[..., Outcome]
"""(reply, said=None, after_s) -> what came of it; the reply goes on where it is cut short."""


def alone(ear: Recogniser, said: Mapping[str, list[Said]]) -> dict[str, Any]:
    """Return how the same people are heard where no reply is: what can be had at most."""
    chance, quiet = np.random.default_rng(1), np.zeros(round(AROUND_S * RATE))
    told: dict[str, Any] = {}
    for name in said.keys() - {"stop"}:
        found = []
        for one in said[name]:
            wave = np.concatenate([quiet, one.sound / max(1e-9, np.abs(one.sound).max()) * 10_000, quiet])
            noisy = np.round(wave + QUIET * chance.standard_normal(len(wave)))
            ear.expectation = one.expectation
            heard = (*ear.feed(noisy.astype("<i2").tobytes()), *ear.finish())
            found.append((one, Outcome(heard, None, 0.0, 0.0)))
        told[name] = counted(name, found)
    return told


def talked(say: Say, ours: list[Reply], said: Mapping[str, list[Said]]) -> dict[str, Any]:
    """Return what came of replies alone, and of people who speak into replies."""
    begun = time.monotonic()
    first = [say(reply) for reply in ours[:SETTLING]]
    alone = [say(reply) for reply in ours]
    into = {
        name: [(one, say(ours[number % len(ours)], one, INTO_S)) for number, one in enumerate(people)]
        for name, people in said.items()
    }
    return {
        "replies": len(alone),
        "reduction_db": {
            "median": round(median(one.reduction_db for one in alone), 1),
            "least": round(min(one.reduction_db for one in alone), 1),
        },
        "settled": round(sum(one.settled for one in alone) / len(alone), 3),
        "settled in the first replies": [round(one.settled, 2) for one in first],
        "false events": false_events(alone),
        "false events in the first replies": false_events(first),
        **{name: counted(name, found) for name, found in into.items()},
        "seconds": round(time.monotonic() - begun),
    }


def false_events(alone: list[Outcome]) -> list[str]:
    """Return what was heard of our own voice and would have been acted on, and every reply cut short."""
    found = [one.words for outcome in alone for one in outcome.heard if one.meaning is not None]
    return found + ["cut short" for outcome in alone if outcome.cut_s is not None]


def counted(name: str, found: list[tuple[Said, Outcome]]) -> dict[str, Any]:
    """Return how many were heard rightly, and what was heard instead."""
    told: dict[str, Any] = {"n": len(found)}
    if name == "stop":
        late = [one.cut_s - INTO_S for _, one in found if one.cut_s is not None and one.cut_s > INTO_S]
        told["heard"] = len(late)
        told["too early"] = sum(one.cut_s is not None and one.cut_s <= INTO_S for _, one in found)
        told["after its onset, s"] = round(median(late), 2) if late else None
        return told
    marks = [heard_as(said, outcome.heard) for said, outcome in found]
    told |= {mark: marks.count(mark) for mark in ("right", "wrong", "missed")}
    told["acted on without a yes"] = sum(
        one.meaning is not None and one.meaning.value is not None and not one.doubtful
        for _, outcome in found
        for one in outcome.heard
    )
    return told


def heard_as(said: Said, heard: Sequence[Utterance]) -> str:
    """Return whether something said was heard rightly, as another reading, or not at all."""
    wanted = meant(said.words)
    meanings = [one.meaning for one in heard if one.meaning is not None and one.meaning.value is not None]
    if any(one.value == wanted.value for one in meanings):
        return "right"
    return "wrong" if meanings else "missed"
