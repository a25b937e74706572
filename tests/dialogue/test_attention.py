"""Whom the ear listens to: by script, with time as an argument."""

from __future__ import annotations

import pytest

from assistant.dialogue.attention import (
    CALLED_MS,
    DOZE_AFTER_MS,
    HOLD_MS,
    Attention,
    Openness,
    Way,
)
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job import events as e
from tests.bench import Bench
from tests.straight_job import bench_at

WORD = "workbench"
REMINDERS = ("still-there", "ask")
"""What the assistant says by itself to a mechanic it has not heard for long."""
KEY = Heard(NoMatch("empty"), typed=True, key=True)


def said(kind: str, words: str = "", seconds: float = 1.0, **slots: str) -> Heard:
    """A sentence, spoken."""
    return Heard(
        Meaning(kind, slots=tuple(sorted(slots.items()))), words or kind.replace("-", " "), seconds=seconds
    )


def talk(seconds: float = 3.0) -> Heard:
    """Speech with no sentence in it."""
    return Heard(NoMatch("talk", ""), "", seconds=seconds)


def listening(step: str = "lay-out", way: Way = "always", address: str = "") -> tuple[Bench, list[str]]:
    """A job at a step whose ear listens so, and the signs it gives."""
    bench, signs = bench_at(step), list[str]()
    bench.session.attention = Attention(way, address)
    bench.session.sign = signs.append
    return bench, signs


def visitor(bench: Bench, times: int = 6, seconds: float = 3.0, pause: float = 1.0) -> None:
    """Somebody talks to somebody else."""
    for _ in range(times):
        answers = bench.hear_so(talk(seconds), seconds + pause)
        assert [key for key in answers if key not in REMINDERS] == []


def test_twenty_seconds_of_other_talk_and_the_ear_dozes() -> None:
    """Not before; then nothing is heard, written or said until it is called."""
    bench, signs = listening(address=WORD)
    visitor(bench, DOZE_AFTER_MS // 4_000)
    assert signs == []

    visitor(bench, 1)

    assert signs == ["dozing"]
    assert bench.hear_so(said("all-clear")) == []
    assert bench.hear_so(said("done")) == []
    assert bench.events == []
    assert bench.hear_so(said("next", f"{WORD} next step")) != []
    assert signs == ["dozing", "open"]
    assert bench.hear_so(said("say-again")) != []


@pytest.mark.parametrize("pause", [9.0, 30.0])
def test_talk_with_long_pauses_is_no_stretch_of_talk(pause: float) -> None:
    """A remark now and then keeps nobody from working."""
    bench, signs = listening()

    visitor(bench, 12, 3.0, pause)

    assert signs == []


def test_a_sentence_in_between_begins_the_count_anew() -> None:
    """Somebody is working here."""
    bench, signs = listening()
    visitor(bench, 5)

    assert bench.hear_so(said("say-again")) != []
    visitor(bench, 5)

    assert signs == []


def test_short_noises_for_long_are_not_talk() -> None:
    """Blows that were taken for speech: hardly any of the time is speech."""
    bench, signs = listening()

    visitor(bench, 20, 0.3, 2.0)

    assert signs == []


@pytest.mark.parametrize(
    "wakes", [KEY, said("ear", "ear open", state="open"), said("ear", WORD, state="open")]
)
def test_what_wakes_it(wakes: Heard) -> None:
    """A key, its word alone, and being told so."""
    bench, signs = listening(address=WORD)
    visitor(bench)

    assert bench.hear_so(wakes) == []

    assert signs == ["dozing", "open"]
    assert bench.hear_so(said("say-again")) != []


def test_a_timer_speaks_and_wakes_it() -> None:
    """What is due is announced whatever the ear does; nobody is reminded of anything meanwhile."""
    bench, signs = listening()
    bench.hear("start a timer for five minutes")
    visitor(bench)
    bench.wait(200.0)
    assert signs == ["dozing"]

    assert "timer-over" in bench.wait(100.0)

    assert signs == ["dozing", "open"]


def test_nobody_is_reminded_while_it_dozes() -> None:
    """It does not claim to listen when it does not."""
    bench, _ = listening()
    assert bench.session.wait_ms() is not None
    visitor(bench)

    assert bench.wait(900.0) == []


def test_an_emergency_is_heard_whatever_the_ear_does() -> None:
    """Dozing and closed, by every way of opening; afterwards "I am back" is heard."""
    ways: tuple[Way, ...] = ("always", "question", "addressed", "key")
    for way in ways:
        for ear in Openness:
            bench, _ = listening(way=way, address=WORD)
            bench.session.attention = Attention(way, WORD, ear)
            assert bench.hear_so(said("emergency"), 120.0)[-1] == "emergency"
            assert isinstance(bench.events[-1], e.EmergencyCalled)


def test_closed_by_voice_it_hears_nothing_until_it_is_opened() -> None:
    """Neither its word nor a timer opens what was closed on purpose; the timer speaks all the same."""
    bench, signs = listening(address=WORD)
    bench.hear("start a timer for five minutes")
    assert bench.hear_so(said("ear", "ear closed", state="closed")) == []
    assert signs == ["closed"]

    assert bench.hear_so(said("next", f"{WORD} next step")) == []
    assert bench.hear_so(said("ear", WORD, state="open")) == []
    assert "timer-over" in bench.wait(300.0)
    assert bench.hear_so(said("say-again")) == []
    assert bench.hear_so(said("ear", "ear open", state="open")) == []

    assert signs == ["closed", "open"]
    assert bench.hear_so(said("say-again")) != []


def test_closed_and_opened_by_keyboard() -> None:
    """What is typed is meant, whatever the ear does; it opens a dozing ear, not a closed one."""
    bench, signs = listening()
    bench.hear("ear closed")
    assert bench.hear("say again") != []
    assert signs == ["closed"]

    bench.hear("ear open")
    visitor(bench)
    assert bench.hear("say again") != []

    assert signs == ["closed", "open", "dozing", "open"]


def test_open_only_after_a_question() -> None:
    """While a question is open, and for half a minute after anything the assistant said."""
    bench, _ = listening("stand-flat", "question")
    assert bench.hear_so(said("say-again"), 5.0) != []
    assert bench.hear_so(said("say-again"), 25.0) != []
    bench.hear_so(said("done"), 5.0)
    assert bench.session.state.question is not None
    bench.wait(600.0)
    assert bench.hear_so(said("all-clear"), 5.0) != []
    assert bench.session.state.question is None
    bench.wait(600.0)

    assert bench.hear_so(said("say-again"), 5.0) == []
    assert bench.hear_so(KEY) == []
    assert bench.hear_so(said("say-again"), 3.0) != []


def test_addressed_by_a_word() -> None:
    """With the word before the sentence, or alone and then the sentence; answers need none."""
    bench, _ = listening("stand-flat", "addressed", WORD)
    bench.wait(60.0)
    assert bench.hear_so(said("next")) == []
    assert bench.hear_so(said("say-again", f"{WORD} say again")) != []
    assert bench.hear_so(said("say-again"), 10.0) == []

    assert bench.hear_so(said("ear", WORD, state="open")) == []
    assert bench.hear_so(said("say-again"), CALLED_MS / 1000 - 1) != []
    assert bench.hear_so(said("done", f"{WORD} done"), 10.0) == ["gate"]
    assert bench.hear_so(said("all-clear")) != []
    assert bench.step == "start-before"


def test_held_by_a_key() -> None:
    """What is said while it is down, or just after it was pressed; nothing else."""
    bench, _ = listening(way="key")
    bench.wait(60.0)
    assert bench.hear_so(said("say-again")) == []
    assert bench.hear_so(KEY, 5.0) == []
    assert bench.hear_so(said("say-again", seconds=1.0), HOLD_MS / 1000 + 0.9) != []
    assert bench.hear_so(said("say-again", seconds=1.0), 5.0) == []

    for _ in range(40):
        bench.hear_so(KEY, 0.1)
    assert bench.hear_so(said("say-again", seconds=3.0), 0.2) != []


def test_a_note_is_whatever_is_said() -> None:
    """Long talk is the note there, and is not counted as talk to somebody else."""
    bench, signs = listening()
    bench.hear("take a note")

    bench.hear_so(talk(30.0), 31.0)

    assert any(isinstance(one, e.NoteTaken) for one in bench.events)
    assert signs == []


def test_standing_by_it_does_not_doze() -> None:
    """The mechanic talks to a customer and comes back: "I am back" must be heard."""
    bench, signs = listening()
    bench.hear("stand by")
    visitor(bench, 30)

    assert bench.hear_so(said("im-back")) != []
    assert signs == []


def test_what_is_said_while_standing_by_or_stopped_is_met_with_silence() -> None:
    """It is meant for somebody else; only what is typed is answered."""
    for halt in ("stand by", "emergency"):
        bench = bench_at("torque")
        bench.hear(halt)
        assert bench.hear_so(Heard(Meaning("next"), "next step", seconds=1.0)) == []
