"""The assistant's own voice into its ear, at any level, as through a loudspeaker with the gate open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import soxr

from assistant.commands.understanding import expectation_of, from_utterance
from assistant.dialogue.attention import Attention
from assistant.dialogue.reply import Reply
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, Samples
from assistant.phrasing import phrase
from assistant.speaking.client import VoiceProcess
from tests.bench import Bench, grammar
from tests.benchmark.ear_hour.hour import PASSING, Told
from tests.straight_job import SAID, bench_at, say

LEVELS = (-6, -20, -35, -50)
"""Peak of the voice as it comes back, dBFS."""
STEPS = ("measure", "measure-temperature", "torque", "plan", "lower", "level-hot", "waste")
_ROOM = 20.0


def replies(step: str) -> Iterator[tuple[Bench, tuple[str, ...]]]:
    """Yield a job and what it has just said, for every line of the straight job at a step."""
    bench = bench_at(step)
    for line in SAID[step]:
        say(bench, line)
        if bench.session.last:
            yield bench, tuple(sentence for reply in bench.session.last for sentence in _sentences(reply))


def _sentences(reply: Reply) -> tuple[str, ...]:
    return phrase(reply)


def own_voice(
    ear: Recogniser, steps: tuple[str, ...] = STEPS, levels: tuple[int, ...] = LEVELS
) -> dict[str, Any]:
    """Return by level how many replies were heard and what changed the job.

    Each reply of the straight job at some steps, in the voice the assistant has, heard by the job that
    said it, at the moment it said it. No gate, no echo cancelling: what the wording alone keeps out.
    """
    voice, chance = VoiceProcess(), np.random.default_rng(1)
    told = {level: Told() for level in levels}
    heard = 0
    try:
        for step in steps:
            for bench, sentences in replies(step):
                heard += 1
                wave = np.concatenate([_wave(voice, sentence) for sentence in sentences])
                for level in levels:
                    _listen(ear, bench, _at_level(wave, level, chance), told[level])
    finally:
        voice.close()
    return {
        "replies": heard,
        **{
            f"{level} dBFS": {"changes": len(one.changes), "which": one.changes, "utterances": one.utterances}
            for level, one in told.items()
        },
    }


def _wave(voice: VoiceProcess, sentence: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    sound = voice.synthesise(sentence)
    wave = np.frombuffer(sound.pcm, dtype="<i2").astype(np.float64) / 32_768
    pause = np.zeros(RATE // 4)
    return np.concatenate([np.asarray(soxr.resample(wave, sound.rate, RATE)), pause])


def _at_level(
    wave: np.ndarray[Any, np.dtype[np.float64]], level: int, chance: np.random.Generator
) -> Samples:
    quiet = np.zeros(RATE)
    whole = np.concatenate([quiet, wave / np.abs(wave).max() * 10 ** (level / 20) * 32_767, quiet])
    return np.clip(np.round(whole + chance.standard_normal(len(whole)) * _ROOM), -32_768, 32_767).astype(
        np.int16
    )


def _listen(ear: Recogniser, bench: Bench, samples: Samples, told: Told) -> None:
    """Let the job hear it and note what changed; the job itself is left as it was."""
    session, clock = bench.session, bench.clock.now()
    kept = session.state, session.last, session.quiet
    session.attention = Attention()
    ear.expectation = expectation_of(session.state)
    for one in [*ear.feed(samples.astype("<i2").tobytes()), *ear.finish()]:
        told.utterances += 1
        turn = session.hear(from_utterance(one, grammar(), session.state, lambda _: None))
        events = [type(event).__name__ for event in turn.events if not isinstance(event, PASSING)]
        if events:
            told.changes.append({"words": one.words, "share": round(one.share, 2), "events": events,
                                 "step": session.state.step_id})  # fmt: skip
        session.state, session.last, session.quiet = kept
        bench.clock.set(clock)
