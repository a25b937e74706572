"""An amount or a torque that may have been its -teen or -ty twin is never believed without a yes.

What was heard is given as a sure ear would; whether the ear tells the two apart does not matter here.
"""

from __future__ import annotations

import pytest

from assistant.commands.understanding import from_utterance
from assistant.grammar.meaning import Meaning
from assistant.hearing.utterance import Utterance
from assistant.phrasing.en.twins import twin_value
from tests.bench import Bench, grammar
from tests.straight_job import bench_at

STEMS = ("thir", "four", "fif", "six", "seven", "eigh", "nine")
NUMBERS = [word for stem in STEMS for word in (f"{stem}teen", "forty" if stem == "four" else f"{stem}ty")]
SHAPES = (
    ("torque", "torque {} newton metres"),
    ("torque", "torque newton metres {}"),
    ("torque", "torque {} foot pounds"),
    ("measure", "drained {} litres"),
    ("measure", "drained {} millilitres"),
    ("measure", "first can {} litres"),
    ("pour", "poured {} litres"),
    ("pour", "another {} millilitres"),
)


def say(bench: Bench, words: str) -> list[str]:
    """Let the job hear words the ear is quite sure of; return the keys of the replies."""
    meaning = grammar().parse(words)
    assert isinstance(meaning, Meaning), words
    heard = Utterance(words, 0.0, 1.0, 1.1, -10.0, -60.0, meaning=meaning, share=0.999, mass=1.0)
    return bench.hear_so(from_utterance(heard, grammar(), bench.session.state, lambda _: None))


@pytest.mark.parametrize("number", NUMBERS)
def test_it_waits_for_a_yes(number: str) -> None:
    """However sure the ear is: the reading does not stand, and a question about it is open."""
    for step, shape in SHAPES:
        bench = bench_at(step)
        say(bench, shape.format(number))
        state = bench.session.state
        reading = state.last_reading()
        assert reading is not None, shape
        assert not reading.standing, shape
        assert state.question is not None, shape
        assert state.question.reading == reading.id, shape


@pytest.mark.parametrize(
    ("words", "twin"),
    [
        ("fifty no sixteen degrees", "60"),
        ("thirteen no four degrees", None),
        ("four no fifteen litres", "50"),
        ("thirty five litres", None),
        ("one hundred and thirteen fahrenheit", "130"),
    ],
)
def test_the_number_that_counts_has_the_twin(words: str, twin: str | None) -> None:
    """One that was taken back in the same breath has none."""
    assert twin_value(words, grammar().parse) == twin


TOLD = {
    "thirteen": "one three minutes", "thirty": "three nought minutes", "fourteen": "one four minutes",
    "forty": "four nought minutes", "fifteen": "one five minutes", "fifty": "five nought minutes",
    "sixteen": "one six minutes", "sixty": "one hour", "seventeen": "one seven minutes",
    "seventy": "one hour ten minutes", "eighteen": "one eight minutes", "eighty": "one hour twenty minutes",
    "nineteen": "one nine minutes", "ninety": "one hour thirty minutes",
}  # fmt: skip


@pytest.mark.parametrize(("number", "told"), TOLD.items())
def test_a_timer_starts_and_is_told_unmistakably(number: str, told: str) -> None:
    """Digit by digit, or in hours: it can be put right any time, so it need not wait for a yes."""
    bench = bench_at("drain-wait")
    say(bench, f"cooling timer {number} minutes")

    assert any(timer.name == "cooling" for timer in bench.session.state.timers.values())
    assert bench.sentences == [f"Cooling timer on, {told}."]
