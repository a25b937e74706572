"""A job that hears other people: what it did, said and wrote because of them."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from assistant.commands.understanding import expectation_of, from_utterance
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.utterance import Utterance
from assistant.job import events as e
from tests.bench import Bench, grammar
from tests.benchmark.ear_hour.sounds import Scene
from tests.benchmark.hearing.speakers import RATE

BLOCK = 512
PASSING = (e.Refused, e.Prompted, e.TimerDue, e.TimerSaid, e.CautionSpoken)
"""Events that change nothing of a job: what was not understood, and what time alone brings."""
SAY_AGAIN = ("not-understood", "not-understood-trap", "not-understood-digits", "not-understood-other-way",
             "not-understood-lost", "sound-noisy", "sound-quiet", "sound-loud")  # fmt: skip


@dataclass
class Told:
    """What came of some sound."""

    seconds: float = 0.0
    cpu_s: float = 0.0
    utterances: int = 0
    dozed: int = 0
    asleep_s: float = 0.0
    refused_events: int = 0
    changes: list[dict[str, Any]] = field(default_factory=list)
    """Each utterance that changed the job."""
    say_again: list[dict[str, Any]] = field(default_factory=list)
    """Each that was answered by asking for it again."""
    answers: list[dict[str, Any]] = field(default_factory=list)
    """Each that was answered otherwise without changing anything, as a question is."""
    scenes: Counter[str] = field(default_factory=Counter)

    def add(self, other: Told) -> None:
        """Take in what came of other sound."""
        for name in ("seconds", "cpu_s", "utterances", "dozed", "asleep_s", "refused_events"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        for mine, theirs in ((self.changes, other.changes), (self.say_again, other.say_again)):
            mine += theirs
        self.answers += other.answers
        self.scenes += other.scenes

    def figures(self) -> dict[str, Any]:
        """Return it as plain values, rates by the hour."""
        hours = max(self.seconds / 3600, 1e-9)
        return {
            "minutes": round(self.seconds / 60, 1),
            "core": round(self.cpu_s / max(self.seconds, 1e-9), 4),
            "utterances": self.utterances,
            "dozed": self.dozed,
            "asleep": round(self.asleep_s / max(self.seconds, 1e-9), 3),
            "changes of the job": len(self.changes),
            "changes an hour": round(len(self.changes) / hours, 2),
            "say again": len(self.say_again),
            "answered otherwise": len(self.answers),
            "refusals written": self.refused_events,
            "which": {"changes": self.changes, "say again": self.say_again, "answered": self.answers},
            "scenes, seconds": dict(sorted(self.scenes.items())),
        }


def overhear(ear: Recogniser, scenes: Iterable[Scene], job: Bench, awake: Bench) -> tuple[Told, Told]:
    """Let two jobs hear the same scenes and return what came of it for both.

    The ear judges by what `job` awaits.
    """
    told = Told(), Told()
    for scene in scenes:
        pcm, at_s = scene.samples.astype("<i2").tobytes(), 0.0
        seconds = len(scene.samples) / RATE
        told[0].scenes[scene.name] += round(seconds)
        for at in range(0, len(pcm), 2 * BLOCK):
            begun = time.process_time()
            ear.expectation = expectation_of(job.session.state)
            found = ear.feed(pcm[at : at + 2 * BLOCK])
            told[0].cpu_s += time.process_time() - begun
            for one in found:
                now_s = at / 2 / RATE
                for bench, mine in zip((job, awake), told, strict=True):
                    _pass(bench, mine, now_s - at_s)
                    _hear(bench, mine, one, scene.name)
                at_s = now_s
        for bench, mine in zip((job, awake), told, strict=True):
            _pass(bench, mine, seconds - at_s)
            mine.seconds += seconds
    return told


def _pass(bench: Bench, told: Told, seconds: float) -> None:
    told.asleep_s += 0.0 if bench.session.attention.open else seconds
    bench.wait(max(seconds, 0.0))


def _hear(bench: Bench, told: Told, utterance: Utterance, scene: str) -> None:
    session = bench.session
    heard = from_utterance(utterance, grammar(), session.state, lambda _: None)
    was = session.attention.open
    turn = session.hear(heard)
    told.utterances += 1
    told.dozed += was and not session.attention.open
    told.refused_events += sum(isinstance(event, e.Refused) for event in turn.events)
    changes = [type(event).__name__ for event in turn.events if not isinstance(event, PASSING)]
    keys = [reply.key for reply in turn.replies]
    line = {
        "scene": scene,
        "words": utterance.words,
        "share": round(utterance.share, 2),
        "reason": utterance.reason,
        "step": session.state.step_id,
        "events": changes,
        "said": keys,
    }
    if changes:
        told.changes.append(line)
    elif any(key in SAY_AGAIN for key in keys):
        told.say_again.append(line)
    elif keys:
        told.answers.append(line)
