"""The end of a timer, announced: until it was heard out, stopped, or cut short often enough."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from assistant.display.record import record
from assistant.job.state import fold
from tests.straight_job import bench_at


def test_an_end_that_is_cut_short_each_time_is_given_up_and_that_is_kept() -> None:
    """Four announcements with ten seconds between them in which it can be stopped, then no more; no endless
    ringing, and the record tells that nobody heard it out.
    """
    bench = bench_at("lay-out")
    bench.hear("cooling timer 2 minutes")
    said: list[float] = []
    begun = bench.clock.now().up_ms

    def cut(_: Sequence[str]) -> bool:
        said.append((bench.clock.now().up_ms - begun) / 1000)
        return False

    bench.session.say = cut
    bench.wait(170.0)

    assert said == [pytest.approx(at, abs=0.1) for at in (120, 130, 140, 150)]
    names = [type(event).__name__ for event in bench.history]
    assert names.count("TimerDue") == 4
    assert names[-1] == "TimerUnacknowledged"
    assert "TimerSaid" not in names
    assert fold(bench.history) == bench.session.state
    assert record(bench.history)["timers"][-1]["unacknowledged"]


def test_an_alarm_can_be_stopped_between_two_announcements() -> None:
    """By the words that end the timer."""
    bench = bench_at("lay-out")
    bench.hear("cooling timer 2 minutes")
    bench.session.say = lambda _: False
    bench.wait(125.0)
    bench.hear("stop the timer")
    bench.forget()
    bench.wait(60.0)

    assert not [key for key in bench.keys if key.startswith("timer")]


def test_a_step_done_again_starts_the_timer_that_was_given_up() -> None:
    """Nobody heard its end; it is over all the same."""
    bench = bench_at("open-plug")
    bench.hear("it is running")
    bench.session.say = lambda _: False
    bench.wait(700.0)
    (drain,) = (one for one in bench.session.state.timers.values() if one.name == "drain")
    assert drain.given_up
    bench.session.say = bench._say
    while bench.step != "open-plug":
        bench.hear("step back")
    bench.hear("it is running")

    (drain,) = (one for one in bench.session.state.timers.values() if one.name == "drain")
    assert drain.running
