"""Not understood several times: the way out changes, and what is wrong with the sound is told once."""

from __future__ import annotations

import pytest

from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import NoMatch
from tests.bench import Bench
from tests.straight_job import bench_at


def refused(reason: str, words: str = "torque thirty something") -> Heard:
    """A sentence that was nearly understood."""
    return Heard(NoMatch(reason, words), words, share=0.8, seconds=1.5)


def answers(bench: Bench, *reasons: str) -> list[str]:
    """What the assistant says to each, one after the other."""
    return [key for reason in reasons for key in bench.hear_so(refused(reason), 5.0)]


def test_after_two_refusals_digits_are_taught_after_three_another_way_then_silence() -> None:
    said = answers(bench_at("torque"), *["torn"] * 6)
    assert said == ["not-understood", "not-understood-digits", "not-understood-other-way"]


def test_the_other_way_names_keyboard_pedal_and_screen() -> None:
    bench = bench_at("torque")
    answers(bench, "torn", "torn", "torn")
    last = " ".join(bench.sentences)
    assert all(word in last for word in ("keyboard", "pedal", "screen"))


@pytest.mark.parametrize("reason", ["noisy", "quiet", "loud"])
def test_what_is_wrong_with_the_sound_is_told_once(reason: str) -> None:
    """From then on it is a refusal like any other, and leads to the next way out."""
    bench = bench_at("torque")
    assert answers(bench, reason, reason, reason, reason) == [
        f"sound-{reason}", "not-understood-digits", "not-understood-other-way",
    ]  # fmt: skip
    for _ in range(5):
        bench.wait(120.0)
        assert answers(bench, reason) == ["not-understood"]


def test_each_cause_is_told_by_itself() -> None:
    bench = bench_at("torque")
    assert answers(bench, "noisy", "quiet", "loud") == ["sound-noisy", "sound-quiet", "sound-loud"]


def test_a_job_taken_up_again_tells_of_the_sound_anew() -> None:
    """Another place, another day, another microphone."""
    bench = bench_at("torque")
    assert answers(bench, "noisy") == ["sound-noisy"]
    bench.restart()
    assert answers(bench, "noisy") == ["sound-noisy"]


def test_what_lost_a_part_of_its_sound_is_asked_for_again_every_time() -> None:
    """However often: the fault is not the mechanic's, and half a number may have been said."""
    bench = bench_at("torque")
    answers(bench, "torn", "torn", "torn", "torn")
    assert answers(bench, "lost", "lost", "lost") == ["not-understood-lost"] * 3
    assert answers(bench, "torn") == []
