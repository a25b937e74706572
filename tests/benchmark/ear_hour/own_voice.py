"""The assistant's own voice into its ear, at any level, as through a loudspeaker with the gate open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import soxr

from assistant.commands.own_voice import walled
from assistant.commands.understanding import expectation_of, from_utterance
from assistant.dialogue.attention import Attention
from assistant.dialogue.own_words import Saying
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, Samples
from assistant.hearing.utterance import Utterance
from assistant.phrasing import phrase
from assistant.speaking.client import VoiceProcess
from tests.bench import Bench, grammar
from tests.benchmark.ear_hour.hour import PASSING, Told
from tests.straight_job import SAID, bench_at, say

LEVELS = (-6, -20, -35, -50)
"""Peak of the voice as it comes back, dBFS."""
STEPS = ("measure", "measure-temperature", "torque", "plan", "lower", "level-hot", "waste")
_ROOM = 20.0
LEAD_S, PAUSE_S = 1.0, 0.25


def replies(step: str) -> Iterator[tuple[Bench, tuple[str, ...]]]:
    """Yield a job and what it has just said, for every line of the straight job at a step."""
    bench = bench_at(step)
    for line in SAID[step]:
        say(bench, line)
        if bench.session.last:
            yield bench, tuple(sentence for reply in bench.session.last for sentence in phrase(reply))


def own_voice(
    ear: Recogniser, steps: tuple[str, ...] = STEPS, levels: tuple[int, ...] = LEVELS
) -> dict[str, Any]:
    """Return by level how many replies were heard, and what changed the job or was answered.

    Each reply of the straight job at some steps, in the voice the assistant has, heard by the job that
    said it, at the moment it said it. No gate, no echo cancelling: what words and times keep out; beside
    it what would have changed without.
    """
    voice, chance = VoiceProcess(), np.random.default_rng(1)
    told = {level: Told() for level in levels}
    heard = 0
    try:
        for step in steps:
            for bench, sentences in replies(step):
                heard += 1
                waves = [_wave(voice, sentence) for sentence in sentences]
                sayings = _in_the_air(sentences, waves)
                for level in levels:
                    _listen(ear, bench, _at_level(np.concatenate(waves), level, chance), sayings, told[level])
    finally:
        voice.close()
    return {
        "replies": heard,
        **{
            f"{level} dBFS": {
                "changes": len(one.changes),
                "which": one.changes,
                "asked for again": len(one.say_again),
                "changes without the wall": len(one.answers),
                "utterances": one.utterances,
            }
            for level, one in told.items()
        },
    }


def _in_the_air(
    sentences: tuple[str, ...], waves: list[np.ndarray[Any, np.dtype[np.float64]]]
) -> tuple[Saying, ...]:
    """Return when each sentence is heard, in seconds of the sound that `_at_level` makes."""
    sayings, at = [], LEAD_S
    for sentence, wave in zip(sentences, waves, strict=True):
        sayings.append(Saying(grammar().normalise(sentence), at, at + len(wave) / RATE - PAUSE_S))
        at += len(wave) / RATE
    return tuple(sayings)


def _wave(voice: VoiceProcess, sentence: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    sound = voice.synthesise(sentence)
    wave = np.frombuffer(sound.pcm, dtype="<i2").astype(np.float64) / 32_768
    pause = np.zeros(round(PAUSE_S * RATE))
    return np.concatenate([np.asarray(soxr.resample(wave, sound.rate, RATE)), pause])


def _at_level(
    wave: np.ndarray[Any, np.dtype[np.float64]], level: int, chance: np.random.Generator
) -> Samples:
    quiet = np.zeros(round(LEAD_S * RATE))
    whole = np.concatenate([quiet, wave / np.abs(wave).max() * 10 ** (level / 20) * 32_767, quiet])
    return np.clip(np.round(whole + chance.standard_normal(len(whole)) * _ROOM), -32_768, 32_767).astype(
        np.int16
    )


def _listen(ear: Recogniser, bench: Bench, samples: Samples, sayings: tuple[Saying, ...], told: Told) -> None:
    """Let the job hear it and note what changed; the job itself is left as it was."""
    ear.expectation = expectation_of(bench.session.state)
    found = [*ear.feed(samples.astype("<i2").tobytes()), *ear.finish()]
    told.utterances += len(found)
    for one in walled(found, sayings, grammar().normalise):
        events, keys = _heard(bench, one)
        if events:
            told.changes.append({"words": one.words, "share": round(one.share, 2), "events": events,
                                 "step": bench.step})  # fmt: skip
        elif "spoken-over" in keys:
            told.say_again.append({"words": one.words})
    told.answers += [{"words": one.words} for one in found if _heard(bench, one)[0]]


def _heard(bench: Bench, utterance: Utterance) -> tuple[list[str], list[str]]:
    """Return what the job would write and say because of it."""
    session, clock = bench.session, bench.clock.now()
    kept = session.state, session.last, session.quiet
    session.attention = Attention()
    turn = session.hear(from_utterance(utterance, grammar(), session.state, lambda _: None))
    session.state, session.last, session.quiet = kept
    bench.clock.set(clock)
    events = [type(event).__name__ for event in turn.events if not isinstance(event, PASSING)]
    return events, [reply.key for reply in turn.replies]
