"""The rules that hold whatever happens in a job, each with its test.

Those of reading a number back and of not hearing oneself are tested with the phrasing, those of the
grammar with the grammar, the outbox with the journal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.app import READ_BACK
from assistant.dialogue.reply import Heard
from assistant.errors import NotSaved
from assistant.grammar.meaning import Meaning
from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import DAY_MS, Instant
from assistant.job.state import fold
from assistant.journal.memory import MemoryJournal
from assistant.journal.open import open_journal, read_journal
from tests.bench import START, Bench
from tests.straight_job import SAID, bench_at, say

# ---------------------------------------------------------------- written before spoken


class Frail(MemoryJournal):
    """A journal that can be switched to failing, as a full disk does."""

    def __init__(self) -> None:
        super().__init__()
        self.full = False

    def append(self, job: str, events: Sequence[e.Event]) -> None:
        """Keep the events, or refuse."""
        if self.full:
            raise NotSaved("no space left")
        super().append(job, events)


def test_what_is_read_back_is_durable_before_it_is_said(tmp_path: Path) -> None:
    """A second connection, opened at the moment the sentence is spoken, already finds the event."""
    path = tmp_path / "journal.sqlite"
    bench = Bench(journal=open_journal(path, START))
    told: list[int] = []

    def spy(sentences: Sequence[str]) -> bool:
        with read_journal(path) as second:
            kept = second.read(bench.session.state.job)
        assert fold(kept) == bench.session.state
        told.append(sum(isinstance(one, e.ReadingHeard) for one in kept))
        return True

    bench.session.say = spy
    bench.hear("plate reads quebec four tango eight", "first can 4 litres", "how much out")

    assert told == [1, 2, 2]
    bench.journal.close()


def test_what_is_not_saved_is_never_read_back_as_kept() -> None:
    """It is told to be written down; once saving works again it goes first, in order."""
    journal = Frail()
    bench = Bench(journal=journal)
    journal.full = True
    bench.hear("first can 4 litres")
    spoken = " ".join(bench.sentences)

    assert "Not saved" in spoken
    assert "four litres" in spoken
    assert not {reply.key for reply in bench.session.last} & set(READ_BACK)
    assert bench.history[-1] != bench.events[-1]

    journal.full = False
    bench.hear("how much out")  # nothing new to write: the old events wait for the next
    bench.hear("another 0.5 litres")

    assert fold(bench.history) == bench.session.state
    amounts = [event.value for event in bench.history if isinstance(event, e.ReadingHeard)]
    assert amounts == ["4", "0.5"]
    assert any("Saved now" in line or "saved" in line.lower() for line in bench.sentences)


# ---------------------------------------------------------------- heard, then standing


def stood(bench: Bench) -> list[str]:
    """How readings became standing, since the last page."""
    return [event.how for event in bench.events if isinstance(event, e.ReadingStood)]


def test_an_amount_stands_by_the_next_sentence_that_is_no_correction() -> None:
    """A question about something else says nothing about it; the next amount does."""
    bench = bench_at("measure")
    bench.hear("first can 4 litres")
    bench.hear("how much out")
    assert stood(bench) == []
    bench.hear("correction 3.9 litres")
    assert stood(bench) == []
    bench.hear("another 0.2 litres")
    assert stood(bench) == ["next-sentence"]


def test_an_amount_stands_by_time_or_by_yes() -> None:
    """Nobody objected for as long as one more sentence takes; or somebody said so."""
    bench = bench_at("measure")
    bench.hear("first can 4 litres")
    bench.wait(11.0)
    assert stood(bench) == []
    bench.wait(2.0)
    assert stood(bench) == ["time"]

    bench.hear("another 0.2 litres", "yes")
    assert "next-sentence" in stood(bench)


def test_a_drip_stands_at_once_and_a_torque_only_by_yes() -> None:
    """Low consequence and high."""
    bench = bench_at("drain-wait")
    bench.hear("a drop every six seconds")
    assert stood(bench)[-1] == "low"

    bench = bench_at("torque")
    bench.hear("36 nm")
    bench.wait(3600.0)
    bench.hear("how long")
    assert stood(bench) == []
    bench.hear("yes")
    assert stood(bench) == ["yes"]


def test_an_unsure_hearing_or_a_likely_twin_needs_a_yes() -> None:
    """Three litres are as likely here as one point three, ninety nine are not; and one heard badly."""
    slots = (("form", "bare"),)
    likely = Heard(Meaning("drained", "1.3", "litre", slots), "drained one point three litres", twin="3")
    assert bench_at("measure").hear_so(likely) == ["confirm"]
    assert bench_at("measure").hear_so(replace(likely, twin="99")) == ["heard"]

    bench = bench_at("measure")
    unsure = Heard(Meaning("drained", "4", "litre", (("form", "bare"),)), "drained four litres", sure=False)
    assert bench.hear_so(unsure) == ["confirm"]
    assert bench.hear("yes") == ["standing"]


def test_advice_is_built_on_standing_readings_only() -> None:
    """Every reading the refill is made of stands when the advice is given."""
    bench = bench_at("keep-old")
    bench.hear("done")
    history = bench.history
    given = [place for place, one in enumerate(history) if isinstance(one, e.AdviceGiven)]
    before = fold(history[: given[-1]])

    assert before.readings
    assert all(one.standing or one.withdrawn for one in before.readings.values())


# ---------------------------------------------------------------- what happened is never refused


@pytest.mark.parametrize("amount", ["0.001", "9", "14", "40", "99"])
def test_an_amount_is_never_refused(amount: str) -> None:
    """Challenged at most; said again it is in the record and in the balance."""
    bench = bench_at("measure")
    heard = Heard(Meaning("drained", amount, "litre", (("form", "bare"),)), f"drained {amount} litres")
    assert bench.hear_so(heard) == ["implausible"]

    bench.hear_so(heard)

    out = balance.drained(bench.session.state)
    assert out is not None
    assert Decimal(out.value) == Decimal(amount)
    assert bench.session.state.last_reading("drained").doubtful  # type: ignore[union-attr]
    assert bench.step == "far-more"


# ---------------------------------------------------------------- replay


def floats(value: object) -> list[object]:
    """Every float inside an event."""
    if isinstance(value, float):
        return [value]
    if is_dataclass(value):
        return [one for field in fields(value) for one in floats(getattr(value, field.name))]
    if isinstance(value, dict):
        return [one for held in value.items() for one in floats(held)]
    if isinstance(value, tuple | list):
        return [one for held in value for one in floats(held)]
    return []


def test_the_journal_alone_rebuilds_a_whole_job(tmp_path: Path) -> None:
    """After every line, through a real file, timers included; and no event holds a float."""
    path = tmp_path / "journal.sqlite"
    bench = Bench(journal=open_journal(path, START))
    for lines in SAID.values():
        for item in lines:
            say(bench, item)
            assert fold(bench.history) == bench.session.state
    assert floats(list(bench.history)) == []
    bench.journal.close()

    with read_journal(path) as again:
        state = fold(again.read(bench.session.state.job))
    assert state == bench.session.state
    assert state.ended == "complete"
    assert {one.name for one in state.timers.values()} == {"drain", "warming"}


def test_replay_speaks_nothing_and_advises_nothing() -> None:
    """The fold is a function of the events: no reply, no new figure."""
    bench = bench_at("pour")
    history = bench.history
    spoken = len(bench.sentences)

    state = fold(history)

    assert len(bench.sentences) == spoken
    assert len(bench.history) == len(history)
    assert [one.spoken for one in state.advice.values()] == [
        one.spoken for one in bench.session.state.advice.values()
    ]


# ---------------------------------------------------------------- announced at least once


def test_due_is_written_before_and_said_after() -> None:
    """At the moment the end is spoken the journal holds due, not said."""
    bench = bench_at("lay-out")
    bench.hear("cooling timer 5 minutes")
    seen: list[list[str]] = []

    def spy(_: Sequence[str]) -> bool:
        seen.append([type(event).__name__ for event in bench.history[-2:]])
        return True

    bench.session.say = spy
    bench.wait(301.0)

    assert [names for names in seen if names[-1] == "TimerDue"] != []
    assert type(bench.history[-1]).__name__ == "TimerSaid"


def test_after_a_restart_only_what_was_due_and_not_said_comes_again() -> None:
    """One of three timers was cut off in mid-sentence: it alone is repeated, beginning with again."""
    bench = bench_at("lay-out")
    bench.hear("cooling timer 2 minutes", "washing timer 5 minutes", "wait timer 50 minutes")
    bench.wait(130.0)
    bench.session.say = lambda _: False  # killed while it speaks
    bench.wait(175.0)

    bench.restart(gone_s=20.0)
    bench.forget()
    bench.wait(11.0)

    assert bench.keys == ["timer-over-again"]
    assert bench.sentences[0].startswith("Again")
    assert "ashing" in " ".join(bench.sentences)
    bench.forget()
    bench.wait(600.0)
    assert not [key for key in bench.keys if key.startswith("timer")]


# ---------------------------------------------------------------- one kind of time


def test_a_wall_clock_that_jumps_moves_no_timer() -> None:
    """Within a boot the clock since boot counts: an hour on or back, no difference."""
    for jump in (3_600_000, -3_600_000):
        bench = bench_at("lay-out")
        bench.hear("cooling timer 10 minutes")
        now = bench.clock.now()
        bench.clock.set(Instant(now.utc_ms + jump, now.boot, now.up_ms))
        assert "timer-over" not in bench.wait(590.0)
        assert "timer-over" in bench.wait(15.0)


def test_across_boots_the_wall_clock_counts() -> None:
    """The power was off for five of the ten minutes."""
    bench = bench_at("lay-out")
    bench.hear("cooling timer 10 minutes")
    bench.restart(boot="next", gone_s=300.0)
    assert "timer-over" not in bench.wait(290.0)
    assert "timer-over" in bench.wait(15.0)


@pytest.mark.parametrize("gone_ms", [-5_000_000, DAY_MS + 1_000_000])
def test_a_clock_that_ran_back_or_a_gap_over_a_day_is_asked(gone_ms: int) -> None:
    """The timer is not announced on a figure nobody can know."""
    bench = bench_at("lay-out")
    bench.hear("cooling timer 10 minutes")
    now = bench.clock.now()
    bench.clock.set(Instant(now.utc_ms + gone_ms, "next", 30_000))
    bench.forget()
    bench.wait(0.0)

    assert bench.keys == ["timer-doubtful"]
    question = bench.session.state.question
    assert question is not None
    assert (question.name, question.about) == ("timer", "cooling")
    assert bench.hear("no") == ["timer-on"]


# ---------------------------------------------------------------- figures are data


FIGURES = {
    "capacity": "12.4 litre",
    "drain-expected": "6.3 litre",
    "drain-least": "5 litre",
    "drain-most": "8 litre",
    "container": "1 litre",
    "drain-plug-torque": "53 newton metre",
    "hot-low": "42 degree celsius",
    "hot-high": "51 degree celsius",
}


def test_spoken_figures_follow_the_sheet(tmp_path: Path) -> None:
    """The same sentences with another sheet: what is challenged, asked and spoken is the sheet's."""
    other = tmp_path / "other.toml"
    head = 'format = 1\n[vehicle]\nname = "a van"\n[[unit]]\nname = "automatic transmission"\n'
    other.write_text(head + "".join(f'{name} = "{value}"\n' for name, value in FIGURES.items()), "utf-8")

    assert "three six newton metres" in told_at("close-plug", "new washer on")
    assert "five three newton metres" in told_at("close-plug", "new washer on", sheet=other)
    assert "more than" in told_at("measure", "first can 7 litres")
    assert "more than" not in told_at("measure", "first can 7 litres", sheet=other)
    assert "seven nought" in told_at("level-hot", "55 c") or "seventy" in told_at("level-hot", "55 c")


def told_at(step: str, line: str, sheet: Path | None = None) -> str:
    """What is spoken to a line at a step."""
    bench = bench_at(step) if sheet is None else reached(step, sheet)
    bench.hear(line)
    return " ".join(bench.sentences)


def reached(step: str, sheet: Path) -> Bench:
    """The straight job on another sheet: a torque of its own."""
    bench = Bench(sheet=sheet)
    for lines in SAID.values():
        if bench.step == step:
            return bench
        for item in lines:
            said = item.replace("36 nm", "53 nm") if isinstance(item, str) else item
            say(bench, said)
    raise AssertionError(f"not at {step} but at {bench.step}")


# ---------------------------------------------------------------- a missing part degrades, and says so


def test_a_job_goes_on_without_a_journal() -> None:
    """Nothing can be written: every reading is told to be written down, and the sums go on."""
    journal = Frail()
    journal.full = True
    bench = Bench(journal=journal)
    bench.hear("first can 4 litres", "another 0.5 litres")

    assert bench.keys.count("heard") == 2
    assert sum("Not saved" in line for line in bench.sentences) == 2
    out = balance.drained(bench.session.state)
    assert out is not None
    assert out.value == "4.5"
    assert bench.history == []


def test_a_job_goes_on_without_a_voice() -> None:
    """Nothing that is said is said to its end: what hangs on that is simply not written."""
    bench = bench_at("lay-out")
    bench.session.say = lambda _: False
    bench.hear("cooling timer 2 minutes", "all laid out")
    bench.wait(200.0)

    assert bench.step == "stand-flat"
    assert not [one for one in bench.history if isinstance(one, e.TimerSaid)]
    assert fold(bench.history) == bench.session.state
