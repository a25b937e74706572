"""What reading ten phrases once gains: `python -m tests.benchmark enrolment`.

Human digits in the sentences we accept, speaker by speaker (FSDD, AN4): the ear is fitted to the first ten
sentences of each, in quiet, and hears the others as it is for anybody and as it is fitted. A profile may only
make the ear stricter, louder and more patient, so what it gains is what is no longer taken wrong.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterable, Iterator

from assistant.grammar.judgement import Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing.endpointer import Pauses
from assistant.hearing.enrolment import Profile, read_out
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import find_model
from assistant.hearing.recogniser import Recogniser, open_model
from assistant.hearing.sound import Samples
from assistant.hearing.utterance import Utterance
from assistant.shelf.places import cache_folder
from tests.bench import grammar
from tests.benchmark.hearing.clips import Clip
from tests.benchmark.hearing.people import an4_sentences, digit_sentences
from tests.benchmark.hearing.rooms import in_condition
from tests.benchmark.hearing.split import split
from tests.benchmark.outcome import write

SEED = 11
READ = 10
CONDITIONS = ("quiet", "engine 10 dB")
OUTCOMES = ("taken", "asked", "wrong")


class Ears:
    """Ears of one model, each for a profile."""

    def __init__(self) -> None:
        cache = cache_folder()
        self._folder = prepared_folder(grammar().acceptor, find_model(None, cache), cache)
        self._model = open_model(self._folder)

    def hear(
        self, sound: Samples, factor: float, expectation: Expectation, profile: Profile | None = None
    ) -> Iterator[Utterance]:
        """Hear one recording with a pause factor, or as a profile has it."""
        whose = profile or Profile(pause_factor=factor)
        ear = Recogniser(
            self._folder, grammar(), model=self._model, expectation=expectation,
            pauses=Pauses(factor=whose.pause_factor), thresholds=whose.thresholds(), gain_db=whose.gain_db,
        )  # fmt: skip
        yield from ear.feed(sound.astype("<i2").tobytes())
        yield from ear.finish()


def by_speaker(seed: int, most: int) -> dict[str, list[Clip]]:
    """Return the sentences of each speaker who has more than are read, the most talkative first."""
    side, found = split("reporting"), defaultdict[str, list[Clip]](list)
    for clip in [*digit_sentences("fsdd", side, seed, 120), *an4_sentences(side, seed)]:
        found[clip.speaker].append(clip)
    full = sorted(found, key=lambda one: (-len(found[one]), one))
    return {one: found[one] for one in full[:most] if len(found[one]) > READ}


def outcome(found: Iterable[Utterance], wanted: Meaning) -> str:
    """Return what came of one sentence: the last word the ear had on it counts."""
    last = [*found][-1:]
    if not last or last[0].meaning is None or last[0].doubtful:
        return "asked"
    return "taken" if last[0].meaning == wanted else "wrong"


def measured(ears: Ears, clips: list[Clip], seed: int, each: int) -> dict[str, object]:
    """Return the profile of one speaker and what came of the sentences that were not read, both ways."""
    side = split("reporting")
    sounds = [in_condition(one, "quiet", seed, side)[0] for one in clips[:READ]]
    found = read_out(sounds, [one.words for one in clips[:READ]], grammar(), ears.hear)
    profile = found.profile if found.usable else Profile()
    counts = {f"{how}, {condition}": dict.fromkeys(OUTCOMES, 0)
              for condition in CONDITIONS for how in ("anybody", "fitted")}  # fmt: skip
    for clip in clips[READ : READ + each]:
        wanted = grammar().parse(clip.words)
        assert isinstance(wanted, Meaning)
        awaited = Expectation(awaiting=(wanted.kind,))
        for condition in CONDITIONS:
            sound, _ = in_condition(clip, condition, seed, side)
            for how, whose in (("anybody", Profile()), ("fitted", profile)):
                told = outcome(ears.hear(sound, 1.0, awaited, whose), wanted)
                counts[f"{how}, {condition}"][told] += 1
    return {"read": READ, "right": found.right, "sure": profile.sure, "pause_factor": profile.pause_factor,
            "gain_db": profile.gain_db, **counts}  # fmt: skip


def main(argv: list[str]) -> int:
    """Fit and measure; 1 where a fitted ear took anything wrong that it does not take for anybody."""
    parser = argparse.ArgumentParser(prog="enrolment", description=__doc__)
    parser.add_argument("--speakers", type=int, default=12)
    parser.add_argument("--each", type=int, default=12, help="sentences measured of each")
    parser.add_argument("--seed", type=int, default=SEED)
    wanted = parser.parse_args(argv)
    people = by_speaker(wanted.seed, wanted.speakers)
    if not people:
        print("no human speech beside the project")
        return 2
    ears, told = Ears(), dict[str, dict[str, object]]()
    for speaker, clips in people.items():
        told[speaker] = measured(ears, clips, wanted.seed, wanted.each)
        print(speaker, told[speaker], flush=True)
    cells = [f"{how}, {condition}" for condition in CONDITIONS for how in ("anybody", "fitted")]
    sums = {
        cell: {one: sum(each[cell][one] for each in told.values()) for one in OUTCOMES}  # type: ignore[index]
        for cell in cells
    }
    n = sum(sum(one.values()) for one in sums.values())
    write("enrolment", argv, wanted.seed, n, {"all": sums, "speakers": told})
    return int(any(sums[f"fitted, {one}"]["wrong"] > sums[f"anybody, {one}"]["wrong"] for one in CONDITIONS))
