"""What is believed and what is answered while other people talk in the workshop; time is an argument."""

from __future__ import annotations

import pytest

from assistant.dialogue.attention import Attention
from assistant.dialogue.company import ANSWER_MS, COMPANY_MS, FORGOTTEN_MS, NUMBER_MS, Company, believable
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job import events as e
from tests.bench import START, Bench
from tests.straight_job import bench_at

ALONE = Company()
AMONG = Company(COMPANY_MS * 4, START)
NUMBER = Meaning("number", "55")
READING = Meaning("temperature", "55", "celsius")


def heard(
    meaning: Meaning | NoMatch, words: str, share: float = 1.0, sure: bool = True, seconds: float = 1.0
) -> Heard:
    """Something said."""
    return Heard(meaning, words, sure=sure, share=share, seconds=seconds)


def awake(step: str) -> Bench:
    """A job at a step with an ear that never falls asleep."""
    bench = bench_at(step)
    bench.session.attention = Attention(dozes=False)
    return bench


def visitors(bench: Bench, times: int = 8) -> None:
    """Two people talk for half a minute, then pause."""
    for _ in range(times):
        bench.hear_so(heard(NoMatch("unknown", ""), "", seconds=3.0), 3.5)
    bench.wait(3.0)


@pytest.mark.parametrize(("after_ms", "taken"), [(1_000, True), (NUMBER_MS, True), (NUMBER_MS + 1, False)])
def test_a_number_by_itself_counts_only_so_long_after_the_assistant_spoke(after_ms: int, taken: bool) -> None:
    one = heard(NUMBER, "fifty five", seconds=0.0)
    assert believable(one, NUMBER, START.later(after_ms), START, ALONE) is taken
    whole = heard(READING, "temperature fifty five degrees", seconds=0.0)
    assert believable(whole, READING, START.later(after_ms), START, ALONE)


def test_the_age_of_a_number_is_that_of_its_beginning() -> None:
    slow = heard(NUMBER, "fifty five", seconds=4.0)
    assert believable(slow, NUMBER, START.later(NUMBER_MS + 4_000), START, ALONE)


def test_nothing_asked_and_a_number_by_itself_is_nobodys() -> None:
    assert not believable(heard(NUMBER, "fifty five"), NUMBER, START, None, ALONE)


def test_talk_is_forgotten_in_a_minute() -> None:
    assert AMONG.here(START)
    assert AMONG.here(START.later(FORGOTTEN_MS // 2))
    assert not AMONG.here(START.later(FORGOTTEN_MS))
    assert AMONG.heard(1_000, START).lately(START) == AMONG.ms + 1_000
    assert Company(10 * FORGOTTEN_MS, START).heard(1, START).lately(START) == FORGOTTEN_MS


def test_among_others_an_answer_is_given_at_once() -> None:
    for after_ms, taken in ((ANSWER_MS, True), (ANSWER_MS + 1, False)):
        one = heard(NUMBER, "fifty five", seconds=0.0)
        among = Company(FORGOTTEN_MS, START)
        assert believable(one, NUMBER, START.later(after_ms), START, among) is taken


@pytest.mark.parametrize(
    ("one", "taken"),
    [
        (heard(READING, "temperature fifty five degrees celsius"), True),
        (heard(Meaning("next"), "next step"), True),
        (heard(READING, "temperature fifty five degrees celsius", share=0.9), False),
        (heard(READING, "temperature fifty five degrees celsius", sure=False), False),
        (heard(Meaning("done"), "done"), False),
        (heard(Meaning("number", "15232"), "one five two three two"), False),
        (heard(Meaning("drained", "1", "litre", (("correcting", "yes"),)), "no one litre out"), False),
    ],
)
def test_among_others_what_answers_nothing_must_be_whole_and_sure(one: Heard, taken: bool) -> None:
    assert isinstance(one.meaning, Meaning)
    long_ago = START.later(-600_000)
    assert believable(one, one.meaning, START.later(3_000), long_ago, AMONG) is taken


def test_the_job_hears_a_whole_sentence_among_others_and_no_stray_number() -> None:
    bench = awake("measure-temperature")
    visitors(bench)

    assert bench.hear_so(heard(NUMBER, "fifty five"), 30.0) == []
    assert bench.events == []
    bench.hear_so(heard(READING, "temperature fifty five degrees celsius"), 3.0)

    assert any(isinstance(event, e.ReadingHeard) for event in bench.events)


@pytest.mark.parametrize("reason", ["unknown", "trap", "implausible", "torn", "noisy", "not-now"])
def test_talk_among_others_is_answered_by_silence(reason: str) -> None:
    bench = awake("measure-temperature")
    visitors(bench)
    bench.wait(20.0)

    for _ in range(20):
        said = heard(NoMatch(reason, "three eighty or so"), "three eighty or so", share=0.9, seconds=2.5)
        assert [key for key in bench.hear_so(said, 2.0) if key not in ("still-there", "ask")] == []
    assert [event for event in bench.events if isinstance(event, e.Refused)] == []


def test_alone_what_was_nearly_a_sentence_is_answered_and_what_was_not_is_not() -> None:
    """A mechanic who is not understood is told; a radio's single word is left alone."""
    for one, answered in (
        (heard(NoMatch("torn", "temperature seventy"), "temperature seventy", share=0.9), True),
        (heard(NoMatch("trap", "oh point five litres"), "oh point five litres", share=0.0), True),
        (heard(NoMatch("noisy", "first can three litres"), "first can three litres", share=0.4), True),
        (heard(NoMatch("trap", "stop"), "stop", share=0.0), False),
        (heard(NoMatch("torn", "temperature seventy"), "temperature seventy", share=0.1), False),
        (heard(NoMatch("unknown", "jug"), "jug", share=0.9), False),
        (heard(NoMatch("not-now", "four five two eight"), "four five two eight"), False),
    ):
        bench = awake("measure-temperature")
        bench.wait(29.0)
        assert bool(bench.hear_so(one, 0.5)) is answered, one


def test_a_sentence_tried_again_and_again_does_not_send_the_ear_to_sleep() -> None:
    """Not taken ten times: after three answers it is silent, but the eleventh time it is heard."""
    bench = bench_at("measure-temperature")
    bench.session.attention = Attention()
    tried = heard(
        NoMatch("trap", "oh point five five degrees"), "oh point five five degrees", 0.2, seconds=2.5
    )
    said = [key for _ in range(10) for key in bench.hear_so(tried, 4.0)]
    assert len([key for key in said if key.startswith("not-understood")]) == 3
    assert bench.session.attention.open

    whole = heard(READING, "temperature fifty five degrees celsius", share=0.92, seconds=2.0)

    assert bench.hear_so(whole, 4.0) != []


def test_short_words_of_others_are_company_too() -> None:
    """Each counts for a second, also where it was answered because it came just after the assistant."""
    bench = awake("measure-temperature")
    word = heard(NoMatch("trap", "stop"), "stop", share=0.0, seconds=0.3)
    said = [key for _ in range(12) for key in bench.hear_so(word, 4.0)]
    assert len([key for key in said if key.startswith("not-understood")]) <= 3
    bench.wait(9.0)
    assert bench.hear_so(heard(NUMBER, "fifty five"), 0.5) == []


def test_what_was_spoken_into_a_reply_changes_nothing_and_is_asked_for_once() -> None:
    """Again so soon it may be the echo of that very question."""
    bench = awake("measure-temperature")
    into = Heard(READING, "temperature fifty five degrees", over=True, seconds=1.0)

    assert bench.hear_so(into) == ["spoken-over"]
    assert bench.hear_so(into) == []
    assert bench.events == []
    assert bench.hear_so(into, 20.0)[-1] == "spoken-over"
