"""What an ear must survive: wrong sound, any order of calls, words that change, levels that are no good."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

import numpy as np
import pytest

from assistant.commands.understanding import expectation_of, from_utterance
from assistant.grammar.judgement import ANYTHING
from assistant.hearing.endpointer import FRAME
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.segment import Segment
from assistant.hearing.sound import RATE
from tests.bench import grammar
from tests.benchmark.noises import NOISES
from tests.hearing.conftest import heard
from tests.hearing.synthetic import Samples, in_room, said
from tests.straight_job import bench_at

pytestmark = pytest.mark.full
SENTENCE = "drained four point two litres"


def understood(ear: Recogniser) -> list[str | None]:
    """The values of one plain sentence, as this ear hears it now."""
    return [u.meaning.value for u in heard(ear, in_room(said(SENTENCE))) if u.meaning is not None]


@pytest.mark.parametrize("kind", ["floats", "no numbers", "full scale", "odd length"])
def test_sound_of_the_wrong_kind_kills_nothing_and_leaves_the_ear_whole(
    small_ear: Recogniser, kind: str
) -> None:
    """A buffer of floats taken for int16 is loud noise; one of NaN, a constant."""
    wave = (said(SENTENCE).astype(np.float32) / 32_768)[: RATE // 2]
    wrong = {
        "floats": wave.tobytes(),
        "no numbers": np.full(RATE // 2, np.nan, np.float32).tobytes(),
        "full scale": np.tile(np.array([32_767, -32_768], "<i2"), RATE // 4).tobytes(),
        "odd length": said(SENTENCE)[: RATE // 2].tobytes()[:-1],
    }[kind]
    small_ear.expectation = ANYTHING

    found = small_ear.feed(wrong) + small_ear.finish()

    assert [one for one in found if one.meaning is not None] == []
    assert understood(small_ear) == ["4.2"]


def test_a_thousand_calls_in_any_order(small_ear: Recogniser) -> None:
    """Adding, closing, decoding again once or twice, giving up half way: the recogniser below aborts where
    it is asked in an order it does not know."""
    chance, sound = random.Random(19), said(SENTENCE)
    frames = [sound[at : at + FRAME] for at in range(0, len(sound) - FRAME, FRAME)]
    calls = 0
    while calls < 1_000:
        segment = Segment(small_ear.model, np.zeros(FRAME, np.int16), frames[:1], -60.0)
        for _ in range(chance.randrange(1, 16)):
            order = chance.random()
            if order < 0.93:
                segment.add(chance.choice(frames), speech=chance.random() < 0.5)
            elif order < 0.96:
                segment.decoded(twice=chance.random() < 0.5)
            else:
                segment.add(chance.choice(frames))
                segment.result()
            calls += 1
    assert understood(small_ear) == ["4.2"]


def test_words_that_change_while_they_are_spoken_make_no_event(small_ear: Recogniser) -> None:
    """What is understood so far may be another number; only what was decided comes out, once."""
    sound = in_room(said("drained forty five point five litres"))
    seen, decided = set[str](), []
    for at in range(0, len(sound), FRAME):
        decided += small_ear.feed(sound[at : at + FRAME].astype("<i2").tobytes())
        if small_ear.partial:
            assert decided == []
            seen.add(small_ear.partial)
    small_ear.finish()

    assert len(seen) >= 3
    assert [(u.meaning.value if u.meaning else None) for u in decided] == ["45.5"]


def test_a_sentence_at_the_very_beginning_keeps_its_first_word(small_ear: Recogniser) -> None:
    """A recording that begins with speech; without its verb an amount would be another reading."""
    found = heard(small_ear, in_room(said(SENTENCE), lead=0.0))
    assert [(u.meaning.kind, u.meaning.value) for u in found if u.meaning] == [("drained", "4.2")]


def test_nothing_comes_twice_out_of_one_stream(small_ear: Recogniser) -> None:
    """Closing a stream again brings nothing: an empty result overwrites none."""
    assert understood(small_ear) == ["4.2"]
    assert small_ear.finish() == small_ear.finish() == []


SAID = ("first can four point two litres", "temperature fifty five degrees celsius",
        "torque three five newton metres", "second can nought point eight litres",
        "bottle reads six litres", "a drop every six seconds")  # fmt: skip
VOICES = ("en", "en-us", "en-gb-scotland", "en-us+f3")


def sounds(peak_db: float, room_db: float, gain_db: float) -> Iterator[Samples]:
    """Sentences by several voices beside a compressor; all turned up by a gain and clipped at full scale."""
    chance = np.random.default_rng(3)
    for words in SAID:
        for voice in VOICES:
            speech = said(words, voice).astype(np.float64)
            speech *= 10 ** (peak_db / 20) * 32_768 / np.abs(speech).max()
            wave = np.concatenate([np.zeros(RATE // 2), speech, np.zeros(RATE)])
            noise = NOISES["compressor"](len(wave), RATE, chance)
            wave += noise * (10 ** (room_db / 20) * 32_768 / np.sqrt(np.mean(noise**2)))
            yield np.clip(np.round(wave * 10 ** (gain_db / 20)), -32_768, 32_767).astype(np.int16)


@pytest.mark.parametrize(
    ("wrong", "level"),
    [("quiet", (-65.0, -84.0, 0.0)), ("loud", (-6.0, -34.0, 30.0)), ("noisy", (-20.0, -34.0, 0.0))],
)
def test_what_is_wrong_with_the_sound_is_said_once(
    ear: Recogniser, wrong: str, level: tuple[float, float, float]
) -> None:
    """Real sound at a level that is no good, until it was refused for that twice."""
    bench, replies, refused = bench_at("measure"), list[str](), 0

    def say(_: Sequence[str]) -> bool:
        bench.clock.advance(2_000)  # as long as it takes
        return True

    bench.session.say = say
    for sound in sounds(*level):
        found = heard(ear, sound, expectation=expectation_of(bench.session.state))
        for one in (one for one in found if one.meaning is None):
            told = from_utterance(one, grammar(), bench.session.state, lambda _: None)
            refused += getattr(told.meaning, "reason", "") == wrong
            replies += bench.hear_so(told, 1.0)
        if refused >= 2:
            break
    assert refused >= 2
    assert replies.count(f"sound-{wrong}") == 1
