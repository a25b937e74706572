"""Properties of conversion, levels, dates, wrenches and rounds: inverses, units, order, limits."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from assistant.reckoning import conversion, due, level, torque, warming
from assistant.units import Measure, compare, convert, kind_of, settled, units_of

few = settings(max_examples=40, deadline=None)
NUMBERS = st.decimals("0.01", "9999", places=2).map(str)
UNITS = st.sampled_from(
    [unit for kind in ("volume", "torque", "length", "distance") for unit in units_of(kind)]
)
NEWTON_METRES = st.integers(1, 400).map(lambda n: Measure(str(n), "newton_metre"))


@few
@given(value=NUMBERS, unit=UNITS, into=UNITS)
def test_converting_back_gives_what_was_given(value: str, unit: str, into: str) -> None:
    assume(kind_of(unit) == kind_of(into) and settled(unit) and settled(into))
    there = conversion.convert(amount=Measure(value, unit), unit=into).value
    back = conversion.convert(amount=there, unit=unit).value
    assert float(back.exact) == pytest.approx(float(value), rel=1e-6)


@few
@given(warm=st.integers(-40, 300))
def test_both_scales_of_temperature_meet_where_they_should(warm: int) -> None:
    """F = 1.8 C + 32."""
    made = conversion.convert(amount=Measure(str(warm), "celsius"), unit="fahrenheit").value
    assert float(made.exact) == pytest.approx(1.8 * warm + 32)


@few
@given(
    wanted=NEWTON_METRES,
    low=NEWTON_METRES,
    high=NEWTON_METRES,
    unit=st.sampled_from(("pound_foot", "pound_inch")),
)
def test_a_wrench_fits_in_any_unit_and_only_inside_its_marks(
    wanted: Measure, low: Measure, high: Measure, unit: str
) -> None:
    assume(compare(low, high) < 0)
    plain = torque.wrench_fits(torque=wanted, lowest=low, highest=high).verdict
    assert (plain == "fits") == (low.exact <= wanted.exact <= high.exact)
    if wanted.exact not in (low.exact, high.exact):  # at a mark itself a conversion may fall on either side
        assert torque.wrench_fits(torque=convert(wanted, unit), lowest=low, highest=high).verdict == plain


@few
@given(wanted=NEWTON_METRES)
def test_a_band_lies_around_its_torque(wanted: Measure) -> None:
    figure = torque.band(torque=wanted)
    assert figure.part("least").exact + figure.part("most").exact == 2 * wanted.exact
    assert figure.part("least").exact < wanted.exact


@few
@given(wanted=NEWTON_METRES, bolts=st.integers(3, 64))
def test_rounds_rise_and_every_bolt_comes_once(wanted: Measure, bolts: int) -> None:
    figure = torque.bolt_rounds(torque=wanted, bolts=bolts)
    rounds = [figure.part(f"round-{n}").exact for n in (1, 2, 3)]
    assert rounds == sorted(rounds)
    assert rounds[-1] == figure.part("check-round").exact == wanted.exact
    assert sorted(torque.criss_cross(bolts)) == list(range(1, bolts + 1))


@few
@given(height=st.integers(-60, 60), span=st.integers(2, 100))
def test_what_moves_a_level_there_and_back_adds_up_to_nothing(height: int, span: int) -> None:
    here, there = Measure(str(height), "millimetre"), Measure("0", "millimetre")
    stick = {"span_litres": Measure("0.5", "litre"), "span_mm": Measure(str(span), "millimetre")}
    up = level.add_or_drain(reading=here, target=there, **stick).value.exact
    down = level.add_or_drain(reading=there, target=here, **stick).value.exact
    assert up == -down


@few
@given(day=st.dates(date(2000, 1, 1), date(2090, 12, 31)), months=st.integers(1, 120))
def test_a_date_some_months_later_is_in_the_month_it_should(day: date, months: int) -> None:
    later = due.months_later(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day <= day.day


@few
@given(now=st.integers(0, 900_000), every=st.integers(1, 90_000))
def test_the_distance_left_to_the_next_service_is_its_interval(now: int, every: int) -> None:
    here, far = Measure(str(now), "kilometre"), Measure(str(every), "kilometre")
    at = due.at_distance(now=here, every=far).value
    assert due.distance_left(now=here, due=at).value == far


@pytest.mark.parametrize(("seconds", "sure"), [(300, True), (312, True), (360, False)])
def test_three_readings_may_be_a_little_uneven(seconds: int, sure: bool) -> None:
    """Read by hand nothing is equal to the second: 5 % are taken, a fifth is not."""
    times = ("0", "300", str(300 + seconds))
    readings = [
        (Measure(warm, "celsius"), Measure(at, "second"))
        for warm, at in zip(("38", "52", "60.4"), times, strict=True)
    ]
    figure = warming.time_until(goal=Measure("65", "celsius"), readings=readings)
    assert ("straight-line" not in figure.notes) == sure
