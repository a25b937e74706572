"""The series of a report's plots: what they show, before they are drawn."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from assistant.display.document import series
from assistant.display.document.fit import fitted
from assistant.job import balance
from assistant.job.events import TimerStarted
from tests.bench import Bench
from tests.display.document.test_document import straight
from tests.display.test_report import bench as troubled
from tests.display.test_several_units import three


def test_the_amounts_go_as_they_were_told_and_corrected() -> None:
    """Out: 4, then 44 with the doubtful forty, then 5.1 by its correction."""
    [found] = series.amounts(troubled().history)

    assert [value for _, value in found.out][:2] == [0.0, 4.0]
    assert found.out[-1][1] == pytest.approx(5.1)
    assert any(value > 40 for _, value in found.out)
    assert found.into[-1][1] == pytest.approx(4.0)
    assert found.band is not None
    assert found.band[0] < found.band[1]


def test_the_temperatures_have_their_windows_and_a_course_through_them() -> None:
    """The curve is of the readings while it warms, not of the can before; it goes on half as long."""
    [found] = series.warmth(straight().history)

    assert [warm for _, warm in found.readings] == [55.0, 40.0, 52.0, 60.0, 75.0]
    assert [name for name, _, _ in found.windows] == ["hot", "cold"]
    warming = found.readings[1:]
    assert found.curve[0][0] == pytest.approx(warming[0][0])
    read_for = warming[-1][0] - warming[0][0]
    assert found.curve[-1][0] - warming[-1][0] == pytest.approx(read_for / 2, abs=0.01)
    # a straight line through the same readings by numpy's own polynomial fit: they bend nowhere
    line = np.poly1d(np.polyfit(*zip(*warming, strict=True), 1))
    assert [warm for _, warm in found.curve] == pytest.approx([line(at) for at, _ in found.curve], abs=0.5)


@pytest.mark.parametrize(("end", "begin", "rate"), [(85.0, 25.0, 0.12), (18.0, 95.0, 0.05)])
def test_the_fitted_curve_finds_the_law_the_readings_are_of(end: float, begin: float, rate: float) -> None:
    """Warming and cooling by Newton's law, read to the degree, against the law itself."""
    times = [0.0, 2.5, 7.0, 11.0, 18.0]
    law = [end + (begin - end) * np.exp(-rate * at) for at in times]
    curve = fitted([(at, round(warm)) for at, warm in zip(times, law, strict=True)])
    assert curve is not None

    for at in np.linspace(0, 27, 28):
        assert curve(at) == pytest.approx(end + (begin - end) * np.exp(-rate * at), abs=1.5)


def test_there_is_no_curve_through_one_reading() -> None:
    """Nor through two of one instant."""
    assert fitted([(1.0, 40.0)]) is None
    assert fitted([(1.0, 40.0), (1.0, 41.0)]) is None


def test_the_course_has_steps_without_a_gap_timers_and_breaks() -> None:
    """Each step ends where the next begins; the drain timer is ten minutes; a break is as long as it was."""
    bench = Bench()
    bench.hear("plate reads quebec four tango eight", "stand by")
    bench.wait(300)
    bench.hear("i am back")
    spans = series.course(bench.history)
    [rest] = [one for one in spans if one.lane == "break"]
    assert rest.end - rest.start == pytest.approx(304 / 60)

    spans = series.course(straight().history)
    steps = [one for one in spans if one.lane == "step"]
    assert all(one.end == pytest.approx(two.start) for one, two in pairwise(steps))
    drain = next(one for one in spans if one.lane == "timer" and one.name == "drain")
    assert drain.end - drain.start == pytest.approx(10.0)


def test_a_timer_that_still_runs_is_called_as_one_that_has_ended() -> None:
    """By its unit first, where a job has several; before, the key it is kept by was shown."""
    history = three().history
    end = next(at for at, one in enumerate(history) if isinstance(one, TimerStarted) and one.of) + 1
    name = [one.name for one in series.course(history[:end]) if one.lane == "timer"][-1]

    assert name in [one.name for one in series.course(history) if one.lane == "timer"]
    assert ": " in name


def test_the_share_of_new_fluid_grows_with_each_service() -> None:
    """Drain d of capacity c: old share times (1 - d / c) each time (perfect mixing)."""
    history = straight().history
    state = straight().session.state
    drained, capacity = balance.drained(state), state.sheet.figure("capacity")
    assert drained is not None
    assert capacity is not None
    left = 1 - float(drained.exact) / float(capacity.exact)
    [(name, found)] = series.shares([history, history, history])

    assert name == ""
    assert [share for _, share in found] == pytest.approx([100 * (1 - left**n) for n in (1, 2, 3)], abs=0.01)
