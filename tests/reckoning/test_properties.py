"""Properties every computation has to keep: units do not matter, more in is more out, inverses, limits."""

from __future__ import annotations

from fractions import Fraction
from math import exp

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.reckoning import (
    coolant,
    dilution,
    draining,
    fluid_class,
    level,
    pouring,
    refill,
    torque,
    viscosity,
    warming,
)
from assistant.reckoning.figure import NOTES, Figure, Formula, figure_of, told
from assistant.reckoning.given import read
from assistant.units import Measure, add, compare, convert, measured, total, units_of

few = settings(max_examples=25, deadline=None)
LITRES = st.decimals("0.1", "9.9", places=2).map(lambda d: Measure(str(d), "litre"))
VOLUME_UNITS = st.sampled_from(units_of("volume"))
TORQUE_UNITS = st.sampled_from(units_of("torque"))
WARM = st.integers(0, 110).map(lambda t: Measure(str(t), "celsius"))


def number(figure: Figure, unit: str | None = None) -> float:
    """Return a figure's value as a float, in `unit` where given."""
    return float(convert(figure.value, unit or figure.value.unit).exact)


@few
@given(parts=st.lists(st.tuples(LITRES, WARM), min_size=1, max_size=4), unit=VOLUME_UNITS, low=LITRES)
def test_refill_does_not_depend_on_the_unit(
    parts: list[tuple[Measure, Measure]], unit: str, low: Measure
) -> None:
    """The same readings in other units of volume and in Fahrenheit give the same refill."""
    assume(unit != "cup")
    before = measured(-low.exact, "litre")
    plain = refill.refill(parts=parts, level_before=before)
    other = refill.refill(
        parts=[(convert(amount, unit), convert(warm, "fahrenheit")) for amount, warm in parts],
        level_before=convert(before, unit),
        unit="litre",
    )

    assert number(other) == pytest.approx(number(plain), rel=1e-6)
    assert other.notes == plain.notes


@few
@given(
    parts=st.lists(st.tuples(LITRES, WARM), min_size=1, max_size=4),
    more=LITRES,
    pour=st.integers(0, 40).map(lambda t: Measure(str(t), "celsius")),
)
def test_refill_rises_with_what_came_out_and_falls_with_its_warmth(
    parts: list[tuple[Measure, Measure]], more: Measure, pour: Measure
) -> None:
    """More out is more in; the same litres measured warmer are less in; order does not matter."""
    plain = number(refill.refill(parts=parts, pour_at=pour))

    assert number(refill.refill(parts=[*parts, (more, pour)], pour_at=pour)) == pytest.approx(
        plain + float(more.exact), rel=1e-6
    )
    hotter = [(amount, add_degrees(warm, 10)) for amount, warm in parts]
    assert number(refill.refill(parts=hotter, pour_at=pour)) < plain
    assert number(refill.refill(parts=parts[::-1], pour_at=pour)) == pytest.approx(plain, rel=1e-9)


def add_degrees(warm: Measure, degrees: int) -> Measure:
    """Return a temperature so many degrees higher."""
    return measured(warm.exact + degrees, warm.unit)


@few
@given(parts=st.lists(LITRES, min_size=1, max_size=5), poured=st.lists(LITRES, max_size=5), unit=VOLUME_UNITS)
def test_to_go_is_the_exact_difference(parts: list[Measure], poured: list[Measure], unit: str) -> None:
    """What is left is the refill less the pours, in whatever unit it is told."""
    assume(unit != "cup")
    wanted = total(parts, "litre")

    figure = refill.still_to_pour(refill=convert(wanted, unit), poured=poured)

    left = float(wanted.exact - total(poured, "litre").exact)
    assert number(figure, "litre") == pytest.approx(left, abs=1e-5)
    assert ("still-over" in figure.notes) == (left < -0.05)


@few
@given(drains=st.lists(st.decimals("0.1", "7.9", places=2), min_size=1, max_size=6), unit=VOLUME_UNITS)
def test_old_share_is_the_product_of_what_stays(drains: list[object], unit: str) -> None:
    """Between nothing and all, falling with each drain, whatever the order and the unit."""
    capacity = Measure("8", "litre")
    measures = [Measure(str(drain), "litre") for drain in drains]
    expected = 1.0
    for drain in measures:
        expected *= 1 - float(drain.exact) / 8

    figure = dilution.old_left(capacity=convert(capacity, unit), drains=measures[::-1])

    assert number(figure) == pytest.approx(100 * expected, rel=1e-6)
    shares = [float(figure.part(f"after-{n}").exact) for n in range(1, len(drains) + 1)]
    assert shares == sorted(shares, reverse=True)


@few
@given(drain=st.decimals("0.5", "7.5", places=1), old=st.integers(1, 90))
def test_cycles_are_enough_and_not_one_too_many(drain: object, old: int) -> None:
    """The number found reaches the share, one less does not."""
    capacity, each = Measure("8", "litre"), Measure(str(drain), "litre")

    count = int(dilution.cycles(capacity=capacity, drain=each, old=Measure(str(old), "percent")).value.exact)

    kept = 1 - each.exact / 8
    assert kept**count * 100 <= old + Fraction(1, 10**9)
    assert count == 1 or kept ** (count - 1) * 100 > old


@few
@given(volume=st.integers(1, 60))
def test_many_small_changes_tend_to_the_line_exchange(volume: int) -> None:
    """A thousand tiny drains of the same fluid are the fully mixed exchange."""
    share = number(
        dilution.line_exchange(capacity=Measure("10", "litre"), volume=Measure(str(volume), "litre"))
    )

    assert share == pytest.approx(100 * (1 - volume / 10 / 100_000) ** 100_000, rel=1e-2)
    assert share == pytest.approx(100 * exp(-volume / 10), rel=1e-6)


@few
@given(
    capacity=st.integers(4, 20),
    out=st.integers(1, 20),
    left=st.integers(0, 100),
    target=st.integers(1, 99),
)
def test_coolant_ends_at_its_target(capacity: int, out: int, left: int, target: int) -> None:
    """Concentrate plus what stayed is the target share, exactly; else the drain it asks for makes it so."""
    assume(out <= capacity)
    full = Measure(str(capacity), "litre")
    share, goal = Measure(str(left), "percent"), Measure(str(target), "percent")

    figure = coolant.concentrate(capacity=full, drained=Measure(str(out), "litre"), target=goal, left=share)
    drained = Fraction(out)
    if "not-reachable" in figure.notes:
        drained = figure.part("drain-at-least").exact
        assert out < drained <= capacity
        figure = coolant.concentrate(
            capacity=full, drained=measured(drained, "litre"), target=goal, left=share
        )
        if "not-reachable" in figure.notes:  # the least to drain has no finite decimal form
            slack = measured(drained + Fraction(1, 10**9), "litre")
            drained = slack.exact
            figure = coolant.concentrate(capacity=full, drained=slack, target=goal, left=share)
    assert "not-reachable" not in figure.notes
    concentrate = figure.value.exact
    assert float((capacity - drained) * left / 100 + concentrate) == pytest.approx(
        float(Fraction(capacity * target, 100)), abs=1e-6
    )
    assert float(concentrate + figure.part("water").exact) == pytest.approx(float(drained), abs=1e-9)
    assert figure.part("water").exact >= -Fraction(1, 10**6)


@few
@given(value=st.decimals("1", "200", places=1), one=TORQUE_UNITS, other=TORQUE_UNITS)
def test_a_torque_checks_as_itself_in_any_unit(value: object, one: str, other: str) -> None:
    """The sheet's torque said in another unit matches; converting back gives the number."""
    spec = Measure(str(value), one)
    said = torque.convert(torque=spec, unit=other).value

    assert torque.check(said=said, spec=spec).verdict == "match"
    assert float(torque.convert(torque=said, unit=one).value.exact) == pytest.approx(
        float(spec.exact), rel=1e-12
    )


@few
@given(
    length=st.integers(150, 1000),
    adapter=st.integers(0, 120),
    angle=st.integers(0, 180),
    unit=TORQUE_UNITS,
)
def test_an_adapter_straight_on_lowers_the_setting(length: int, adapter: int, angle: int, unit: str) -> None:
    """Forward it lowers, backward it raises, at a right angle nothing; undone by its own formula."""
    wanted = convert(Measure("60", "newton_metre"), unit)

    figure = torque.with_adapter(
        torque=wanted,
        length=Measure(str(length), "millimetre"),
        adapter=Measure(str(adapter), "millimetre"),
        angle=Measure(str(angle), "angle_degree"),
    )

    setting = number(figure, "newton_metre")
    if adapter and angle < 90:
        assert setting < 60
    elif adapter and angle > 90:
        assert setting > 60
    else:
        assert setting == pytest.approx(60, rel=1e-6)


@few
@given(bolts=st.integers(3, 64))
def test_every_bolt_is_turned_once_in_each_round(bolts: int) -> None:
    """The order names each bolt once, and of a pair the second lies across."""
    order = torque.criss_cross(bolts)

    assert sorted(order) == list(range(1, bolts + 1))
    if bolts % 2 == 0:
        assert all(abs(a - b) == bolts // 2 for a, b in zip(order[::2], order[1::2], strict=True))


@few
@given(interval=st.decimals("0.5", "60", places=1), minutes=st.integers(1, 120), wait=st.integers(1, 120))
def test_film_to_come_shrinks_and_waits_add_up(interval: object, minutes: int, wait: int) -> None:
    """A wait brings less than there is; slower drops mean less; two waits bring what one long one does."""
    every, since = Measure(str(interval), "second"), Measure(str(minutes), "minute")
    figure = draining.still_to_come(interval=every, since_drops=since, wait=Measure(str(wait), "minute"))
    brings = float(figure.part("next-wait").exact)

    assert 0 < brings < number(figure)
    slower = draining.still_to_come(interval=measured(every.exact * 2, "second"), since_drops=since)
    assert number(slower) == pytest.approx(number(figure) / 2, rel=1e-6)
    rest = number(figure) - brings
    later = rest * (1 - ((minutes + wait) / (minutes + 2 * wait)) ** 0.5)
    twice = draining.still_to_come(interval=every, since_drops=since, wait=Measure(str(2 * wait), "minute"))
    assert float(twice.part("next-wait").exact) == pytest.approx(brings + later, rel=1e-5)


def test_emptying_takes_so_much_longer_than_half() -> None:
    """Full emptying is 2 + sqrt 2 times the time to half the head (recomputed)."""
    pan = {"area": Measure("0.06", "square_metre"), "hole": Measure("12", "millimetre")}
    half = draining.time_to_drain(
        **pan, head=Measure("80", "millimetre"), head_left=Measure("40", "millimetre")
    )
    whole = draining.time_to_drain(**pan, head=Measure("80", "millimetre"))

    assert number(whole) / number(half) == pytest.approx(2 + 2**0.5, rel=1e-6)


@few
@given(at=st.integers(0, 120), hot=st.integers(3, 30))
def test_viscosity_falls_with_warmth_and_meets_its_points(at: int, hot: int) -> None:
    """The curve passes through both points and never rises."""
    first, second = Measure(str(hot * 6), "centistokes"), Measure(str(hot), "centistokes")

    def course(celsius: int) -> float:
        return number(viscosity.course(at=Measure(str(celsius), "celsius"), first=first, second=second))

    assert course(40) == pytest.approx(hot * 6, rel=1e-6)
    assert course(100) == pytest.approx(hot, rel=1e-6)
    if at < 100 or hot > 5:
        assert course(at) > course(at + 1)


@few
@given(one=st.integers(3, 400), other=st.integers(3, 400), share=st.integers(1, 99))
def test_a_blend_lies_between_its_parts(one: int, other: int, share: int) -> None:
    """Never thinner than the thinner, never thicker than the thicker; order does not matter."""
    parts = [
        (Measure(str(one), "centistokes"), Measure(str(share), "percent")),
        (Measure(str(other), "centistokes"), Measure(str(100 - share), "percent")),
    ]

    mixed = number(viscosity.blend(parts=parts))

    assert min(one, other) * (1 - 1e-9) <= mixed <= max(one, other) * (1 + 1e-9)
    assert number(viscosity.blend(parts=parts[::-1])) == pytest.approx(mixed, rel=1e-9)


@few
@given(v=st.decimals("3.8", "60", places=2))
def test_every_gear_oil_has_exactly_one_class(v: object) -> None:
    """From 3.8 cSt up the gear classes leave no gap and do not overlap."""
    viscosity100 = Measure(str(v), "centistokes")
    names = [n for n in fluid_class.classes_of(table="gear", viscosity=viscosity100) if not n.endswith("W")]

    assert len(names) == 1
    assert fluid_class.of_class(table="gear", grade=names[0], viscosity=viscosity100).verdict == "of-class"


@few
@given(need=LITRES, cans=st.lists(LITRES, max_size=5))
def test_a_pour_plan_spends_what_is_needed(need: Measure, cans: list[Measure]) -> None:
    """Pours and what is missing are the need; no container gives more than it holds."""
    figure = pouring.plan(need=need, at_hand=cans)
    pours = {name: m for name, m in figure.also if name.startswith("pour-")}

    assert add(total(pours.values(), "litre"), figure.value) == add(need, Measure("0", "litre"))
    for name, poured in pours.items():
        assert compare(poured, cans[int(name.removeprefix("pour-")) - 1]) <= 0


@few
@given(end=st.integers(60, 120), rate=st.floats(0.02, 0.2), goal=st.integers(51, 58))
def test_a_first_order_course_is_found_again(end: int, rate: float, goal: int) -> None:
    """With its surroundings known, the time it takes by its own law comes back."""
    readings = [
        (Measure(f"{end - (end - 20) * exp(-rate * t):.9f}", "celsius"), Measure(str(t), "minute"))
        for t in (0, 4)
    ]
    assume(readings[-1][0].exact < 50)

    figure = warming.time_until(
        goal=Measure(str(goal), "celsius"), readings=readings, surroundings=Measure(str(end), "celsius")
    )

    reached = end - (end - float(readings[-1][0].exact)) * exp(-rate * number(figure))
    assert reached == pytest.approx(goal, abs=1e-4)


@few
@given(place=st.sampled_from(["above", "below"]), mm=st.integers(0, 30), span=st.integers(2, 30))
def test_a_level_and_its_correction_cancel(place: str, mm: int, span: int) -> None:
    """The offset is what has to be taken out or put in to come back to the mark."""
    spans = {"span_litres": Measure("0.4", "litre"), "span_mm": Measure(str(span), "millimetre")}
    away = level.offset(place=place, amount=Measure(str(mm), "millimetre"), **spans)
    reading = Measure(str(mm if place == "above" else -mm), "millimetre")

    back = level.add_or_drain(reading=reading, target=Measure("0", "millimetre"), **spans)

    assert number(away) == pytest.approx(-number(back), abs=1e-9)


def test_doubt_is_carried_and_grows_with_the_parts() -> None:
    """Four parts are known worse than one of the same kind; a temperature not known worse than one read."""
    part, warm = Measure("2", "litre"), Measure("55", "celsius")
    one, four = (refill.refill(parts=[(part, warm)] * n) for n in (1, 4))
    unknown = refill.refill(parts=[(part, None)] * 4)

    assert one.plus_minus is not None
    assert four.plus_minus is not None
    assert unknown.plus_minus is not None
    assert one.plus_minus.exact < four.plus_minus.exact < unknown.plus_minus.exact
    assert "temperature-unknown" in unknown.notes


def test_a_cup_is_an_estimate_even_when_said_without_about() -> None:
    """A cup is known to 30 %: it widens the doubt as 'about' does."""
    cup, same = Measure("1", "cup"), Measure("0.2365882365", "litre")

    assert read("spilled", cup, "litre").magnitude.std_dev == pytest.approx(0.071, abs=0.001)
    assert read("spilled", same, "litre", about=True).magnitude.std_dev == pytest.approx(0.071, abs=0.001)
    assert "spill-estimated" in refill.refill(parts=[(same, None)], spills=[(cup, False)]).notes


def test_a_wrong_plug_leaves_a_surplus_and_a_debt() -> None:
    """Public question, recomputed: 3.5 L of engine oil poured on a full engine, the gearbox drained."""
    drained = {"gearbox": [Measure("3.5", "litre")]}
    poured = {"engine": [Measure("3.5", "litre")]}

    found = dict(refill.mixed_up(drained=drained, poured=poured))

    assert found["engine"].value == Measure("-3.5", "litre")
    assert found["gearbox"].value == Measure("3.5", "litre")
    for figure in found.values():
        assert {"do-not-run", "level-check-compulsory"} <= set(figure.notes)
    put_right = dict(
        refill.mixed_up(
            drained={**drained, "engine": [Measure("3.5", "litre")]},
            poured={**poured, "gearbox": [Measure("3.5", "litre")]},
        )
    )
    assert all("even" in figure.notes and "do-not-run" not in figure.notes for figure in put_right.values())


def test_a_note_nobody_has_words_for_is_refused() -> None:
    """A note key outside the list is a mistake of the program."""
    formula = Formula("x", "always", "here")
    volume = read("x", Measure("1", "litre"), "litre")
    with pytest.raises(KeyError):
        figure_of("x", volume, "litre", inputs=told(), by=formula, notes=("whatever",))
    assert all(text and not text[0].isupper() for text in NOTES.values())


@pytest.mark.parametrize("unit", ["quart", "pint", "gallon", "fluid_ounce"])
def test_nothing_is_reckoned_from_an_unsettled_unit(unit: str) -> None:
    """A bare quart stays a question in every room."""
    with pytest.raises(WrongInput, match="say which"):
        refill.refill(parts=[(Measure("4", unit), None)])
    with pytest.raises(WrongInput, match="say which"):
        refill.still_to_pour(refill=Measure("4", "litre"), poured=[Measure("1", unit)])
