"""When an utterance is over: silence against what the grammar still allows. Time is counted in samples."""

from __future__ import annotations

import pytest

from assistant.errors import WrongInput
from assistant.hearing.endpointer import (
    FRAME,
    LONGEST,
    LONGEST_UNKNOWN,
    Ending,
    Endpointer,
    Pauses,
    Phase,
)
from assistant.hearing.openness import Openness
from assistant.hearing.sound import RATE

FRAME_SECONDS = FRAME / RATE


def run(
    pattern: str, words: str = "drained five litres", openness: Openness = Openness.CLOSED
) -> tuple[Endpointer, Ending | None]:
    """Feed frames ('S' speech, '-' none) with the same words throughout; stop at the first ending."""
    endpointer = Endpointer()
    for sign in pattern:
        if endpointer.frame(0.9 if sign == "S" else 0.1) is Phase.INSIDE:
            ending = endpointer.heard(words, openness)
            if ending is not None:
                return endpointer, ending
    return endpointer, None


@pytest.mark.parametrize(
    ("openness", "silence"),
    [
        (Openness.CLOSED, 0.10),
        (Openness.UNIT, 0.15),
        (Openness.PHRASE, 0.15),
        (Openness.DECIMAL, 0.38),
        (Openness.NUMBER, 0.19),
        (Openness.GROWING, 0.50),
        (Openness.INCOMPLETE, 1.50),
        (Openness.UNKNOWN, 0.50),
    ],
)
def test_the_silence_waited_for_depends_on_what_may_follow(openness: Openness, silence: float) -> None:
    endpointer, ending = run("SSSSSSSSSS" + "-" * 80, openness=openness)
    assert ending is Ending.DECIDED
    waited = (endpointer.now - endpointer.end) / RATE
    assert waited == pytest.approx(silence, abs=FRAME_SECONDS / 2)


@pytest.mark.parametrize("pause", [0.16, 0.256, 0.32])
def test_a_decimal_is_not_cut_off_by_a_short_pause(pause: float) -> None:
    frames = round(pause / FRAME_SECONDS)
    _, ending = run("SSSSSSSS" + "-" * frames + "SSSS", "three point two", Openness.DECIMAL)
    assert ending is None


def test_a_second_of_thought_after_a_verb_is_not_cut_off() -> None:
    frames = round(1.0 / FRAME_SECONDS)
    _, ending = run("SSSSSSSS" + "-" * frames + "SSSS", "drained", Openness.INCOMPLETE)
    assert ending is None


def test_words_must_have_stood_still() -> None:
    endpointer = Endpointer()
    for _ in range(10):
        endpointer.frame(0.9)
    decided_after = 0
    for count in range(20):
        endpointer.frame(0.1)
        words = "drained five" if count < 5 else "drained five litres"
        if endpointer.heard(words, Openness.CLOSED if count >= 5 else Openness.GROWING) is not None:
            decided_after = count
            break
    assert decided_after == 5 + 2  # two frames, 64 ms, after the words changed


def test_one_frame_of_speech_is_a_flicker() -> None:
    endpointer, ending = run("-S-S--S-" * 20)
    assert ending is None
    assert endpointer.phase is Phase.WAITING


def test_flicker_in_noise_does_not_make_the_silence_start_again() -> None:
    steady, _ = run("SSSSSSSS" + "-" * 20, openness=Openness.DECIMAL)
    flickering, ending = run("SSSSSSSS" + "--S--S--S--S--S--S--", openness=Openness.DECIMAL)
    assert ending is Ending.DECIDED
    assert flickering.now - steady.now <= FRAME


def test_no_decision_falls_in_the_first_frame_of_a_new_word() -> None:
    _, ending = run("SSSSSSSS" + "--S" + "SSSS")
    assert ending is None


def test_start_and_end_are_those_of_the_speech() -> None:
    endpointer, _ = run("-" * 10 + "S" * 6 + "-" * 10)
    assert (endpointer.start, endpointer.end) == (10 * FRAME, 16 * FRAME)


def test_sound_without_a_word_is_nothing() -> None:
    _, ending = run("SSS" + "-" * 40, words="", openness=Openness.UNKNOWN)
    assert ending is Ending.NOTHING


def test_talk_is_cut_and_the_ear_opens_again_at_a_silence() -> None:
    frames = LONGEST_UNKNOWN // FRAME + 2
    endpointer, ending = run("S" * frames, words="[unk] [unk]", openness=Openness.UNKNOWN)
    assert ending is Ending.TALK
    assert endpointer.now - endpointer.start <= LONGEST_UNKNOWN + FRAME
    endpointer.close(Ending.TALK)
    for _ in range(30):
        assert endpointer.frame(0.9) is Phase.DEAF
    for _ in range(9):
        assert endpointer.frame(0.1) is Phase.DEAF
    assert endpointer.frame(0.1) is Phase.WAITING
    assert endpointer.frame(0.9) is Phase.WAITING
    assert endpointer.frame(0.9) is Phase.INSIDE


def test_nothing_lasts_longer_than_the_longest_sentence() -> None:
    endpointer, ending = run("S" * (LONGEST // FRAME + 5), openness=Openness.INCOMPLETE)
    assert ending is Ending.TALK
    assert endpointer.now <= LONGEST + 2 * FRAME


@pytest.mark.parametrize("factor", [1.0, 2.0, 3.0])
def test_slow_talkers_get_longer_pauses_and_closed_sentences_none(factor: float) -> None:
    pauses = Pauses(factor=factor)
    assert pauses.samples(Openness.DECIMAL) == round(0.384 * RATE * factor)
    assert pauses.samples(Openness.CLOSED) == Pauses().samples(Openness.CLOSED)


@pytest.mark.parametrize("factor", [0.5, 3.5, float("nan")])
def test_a_pause_factor_out_of_range_is_refused(factor: float) -> None:
    with pytest.raises(WrongInput):
        Pauses(factor=factor)
