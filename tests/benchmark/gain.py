"""Ways to control the gain, compared at several levels: `python -m tests.benchmark gain`.

The same sentences by synthetic voices, quiet, at peak levels from near full scale to hardly above the room:
decoded at a gain for the peak of each utterance (ours), at no gain at all, and behind a gain that follows the
level as it goes, as sound cards have it. The voice detector is the same for all three.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

import numpy as np

from assistant.grammar.judgement import Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing import segment
from assistant.hearing.sound import RATE, Samples, magnitude
from tests.bench import grammar
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.enrolment import OUTCOMES, outcome
from tests.benchmark.hearing.commands import sentences
from tests.benchmark.hearing.rooms import in_condition
from tests.benchmark.hearing.split import split
from tests.benchmark.outcome import write

SEED = 13
LEVELS = (-6, -26, -40, -50)
TARGET_DB, RISE_DB_S, FALL_DB_S, MOST_DB = -12.0, 6.0, 60.0, 40.0
"""A following gain: where it brings the peak, how fast it rises and falls, and how far it goes."""


def following(samples: Samples) -> Samples:
    """Return the sound behind a gain that falls at once when it is loud and rises slowly when it is not."""
    step, gain_db, parts = RATE // 100, 0.0, []
    for at in range(0, len(samples), step):
        piece = samples[at : at + step].astype(np.float64)
        peak_db = 20 * np.log10(max(1.0, float(np.abs(piece).max())) / 32_768)
        wanted = min(TARGET_DB - peak_db, MOST_DB)
        gain_db += float(np.clip(wanted - gain_db, -FALL_DB_S / 100, RISE_DB_S / 100))
        parts.append(piece * 10 ** (gain_db / 20))
    return np.clip(np.round(np.concatenate(parts)), -32_768, 32_767).astype(np.int16)


def _as_it_is(samples: Samples) -> Samples:
    return samples


WAYS: dict[str, tuple[Callable[[Samples], Samples], float]] = {
    "for each utterance": (_as_it_is, segment.GREATEST_GAIN),
    "none": (_as_it_is, 1.0),
    "following the level": (following, 1.0),
}
"""Way -> what is done to the sound before the ear, and the greatest gain inside it."""


def main(argv: list[str]) -> int:
    """Hear the sentences in every way at every level."""
    parser = argparse.ArgumentParser(prog="gain", description=__doc__)
    parser.add_argument("--sentences", type=int, default=60)
    parser.add_argument("--seed", type=int, default=SEED)
    wanted = parser.parse_args(argv)
    side, ear = split("reporting"), open_ear()
    clips = list(sentences(side, wanted.seed))[-wanted.sentences :]
    greatest, told = segment.GREATEST_GAIN, dict[str, dict[str, dict[str, int]]]()
    try:
        for way, (before, most) in WAYS.items():
            segment.GREATEST_GAIN = most
            told[way] = {f"{level} dBFS": dict.fromkeys(OUTCOMES, 0) for level in LEVELS}
            for clip in clips:
                meaning = grammar().parse(clip.words)
                assert isinstance(meaning, Meaning)
                ear.expectation = Expectation(awaiting=(meaning.kind,))
                quiet, _ = in_condition(clip, "quiet", wanted.seed, side)
                for level in LEVELS:
                    scale = magnitude(level) / max(1, int(np.abs(quiet.astype(np.int32)).max()))
                    sound = before(np.round(quiet * scale).astype(np.int16))
                    found = [*ear.feed(sound.astype("<i2").tobytes()), *ear.finish()]
                    told[way][f"{level} dBFS"][outcome(found, meaning)] += 1
            print(way, told[way], flush=True)
    finally:
        segment.GREATEST_GAIN = greatest
    write("gain", argv, wanted.seed, len(clips) * len(LEVELS), told)
    return 0
