"""What an utterance is to the dialogue: bare numbers held to what is awaited, the sound as a reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.commands.listener import asked_again
from assistant.commands.understanding import complaint_of, expectation_of, from_utterance
from assistant.grammar.judgement import Conditions, plausible
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.hearing.utterance import Utterance
from tests.bench import grammar
from tests.straight_job import bench_at

REFUSED = Utterance(
    "four point two litres", 0.0, 1.0, 1.2, -14.0, -60.0, reason="torn", share=0.6, mass=0.8,
    conditions=Conditions(-14.0, -60.0),
)  # fmt: skip


@pytest.mark.parametrize(
    ("step", "value", "likely"),
    [
        ("measure-temperature", "55", True),
        ("measure-temperature", "-20", True),
        ("measure-temperature", "26451", False),
        ("torque", "36", True),
        ("torque", "4411724", False),
        ("measure", "4.2", True),
        ("measure", "15232", False),
    ],
)
def test_a_number_by_itself_must_be_a_value_of_what_is_awaited(step: str, value: str, likely: bool) -> None:
    windows = expectation_of(bench_at(step).session.state).windows
    assert plausible(Meaning("number", value), windows) is likely


@pytest.mark.parametrize(
    ("conditions", "peak", "wrong"),
    [
        (Conditions(-14.0, -60.0), -14.0, ""),
        (Conditions(-14.0, -26.0), -14.0, "noisy"),
        (Conditions(-50.0, -90.0), -50.0, "quiet"),
        (Conditions(0.0, -60.0, clipped=True), 0.0, "loud"),
    ],
)
def test_a_refusal_is_put_down_to_the_sound_where_that_is_bad(
    conditions: Conditions, peak: float, wrong: str
) -> None:
    one = replace(REFUSED, conditions=conditions, peak_db=peak)
    assert complaint_of(one) == wrong
    meaning = from_utterance(one, grammar(), None, lambda _: None).meaning
    assert isinstance(meaning, NoMatch)
    assert meaning.reason == (wrong or "torn")


def test_what_was_refused_for_its_value_is_not_put_down_to_the_sound() -> None:
    one = replace(REFUSED, reason="implausible", conditions=Conditions(-14.0, -26.0))
    meaning = from_utterance(one, grammar(), None, lambda _: None).meaning
    assert isinstance(meaning, NoMatch)
    assert meaning.reason == "implausible"


@pytest.mark.parametrize(("lost", "reason"), [(False, "unknown"), (True, "lost")])
def test_speech_whose_sound_was_lost_is_asked_again_however_little_is_left_of_it(
    lost: bool, reason: str
) -> None:
    """Talk that is not for us stays without an answer; a reading with a hole sounds like it."""
    one = replace(REFUSED, mass=0.1)
    meaning = from_utterance(asked_again(one) if lost else one, grammar(), None, lambda _: None).meaning
    assert isinstance(meaning, NoMatch)
    assert meaning.reason == reason
