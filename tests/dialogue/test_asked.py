"""Questions asked by the name of their computation, typed: figures against published or recomputed ones.

"Public question" is a figure from a forum or a question-and-answer page, recomputed; "derived" is the
formula of the computation's own docstring worked by hand. What is missing is named, nothing is assumed.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.dialogue.reckonings import BY_NAME
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import RECKONED
from assistant.job.events import AdviceGiven, FigureSupplied
from assistant.reckoning.again import recheck
from assistant.units import Measure
from tests.bench import grammar
from tests.dialogue.reckoning_bench import answered, bench_with

C, L, P = "celsius", "litre", "percent"


def test_every_named_computation_has_its_answer() -> None:
    assert set(BY_NAME) == set(RECKONED)


# ---------------------------------------------------------------- units


@pytest.mark.parametrize(
    ("asked", "made"),
    [
        ("what is four litres in us quarts", Measure("4.2", "us_quart")),  # 4.227
        ("what are nine point eight us quarts in litres", Measure("9.3", L)),  # 9.274
        ("convert four litres to imperial quarts", Measure("3.5", "imperial_quart")),  # 3.520
        ("what is half a us pint in millilitres", Measure("250", "millilitre")),  # 236.6, said to 50
        ("what is one one three fahrenheit in celsius", Measure("45", C)),  # public question
        ("what is six zero celsius in fahrenheit", Measure("140", "fahrenheit")),
    ],
)
def test_an_amount_in_another_unit(tmp_path: Path, asked: str, made: Measure) -> None:
    """Exact definitions: US gallon 231 cubic inches, imperial gallon 4.54609 L, F = 1.8 C + 32."""
    key, told = answered(bench_with(tmp_path), asked)

    assert (key, told["made"]) == ("makes", made)


@pytest.mark.parametrize(
    ("system", "made"), [("american", Measure("3.8", L)), ("imperial", Measure("4.5", L))]
)
def test_a_quart_is_never_guessed(tmp_path: Path, system: str, made: Measure) -> None:
    """Four US quarts are 3.785 L, four imperial ones 4.546 L (definitions)."""
    bench = bench_with(tmp_path)

    assert bench.hear("what are four quarts in litres") == ["which-measure"]
    assert answered(bench, system) == ("makes", {"given": bench.replies[-1].args["given"], "made": made})


def test_a_job_that_spoke_of_us_quarts_is_asked_all_the_same(tmp_path: Path) -> None:
    """Said of another amount it may be another quart."""
    bench = bench_with(tmp_path)
    bench.hear("drained four us quarts")

    assert bench.hear("what is four litres in quarts") == ["which-measure"]
    assert bench.hear("quarts") == ["which-measure"]
    assert bench.hear("american quarts")[-1] == "makes"
    assert bench.replies[-1].args["made"] == Measure("4.2", "us_quart")


def test_which_quart_is_left_open_by_anything_else(tmp_path: Path) -> None:
    bench = bench_with(tmp_path)
    bench.hear("what are four quarts in litres", "how much out")

    assert bench.session.state.question is None


def test_volume_and_warmth_do_not_mix(tmp_path: Path) -> None:
    """It is no sentence at all."""
    assert bench_with(tmp_path).hear("what is four litres in celsius") == ["not-understood"]


# ---------------------------------------------------------------- wrench


@pytest.mark.parametrize(
    ("asked", "verdict"),
    [
        ("will this wrench do", "fits"),
        ("will this wrench do for one five newton metres", "below-range"),
        ("will this wrench do for one zero zero foot pounds", "above-range"),  # 135.6 N m
    ],
)
def test_will_this_wrench_do(tmp_path: Path, asked: str, verdict: str) -> None:
    """Below the lowest marked value it must not be used (ISO 6789 of 2017, as makers quote it)."""
    bench = bench_with(tmp_path, drain_plug_torque="80 newton metre")
    assert bench.hear("will this wrench do") == ["needs-figure"]
    assert bench.hear("wrench from two zero to one zero zero newton metres") == ["figure-kept"] * 2

    key, told = answered(bench, asked)
    assert (key, told["verdict"]) == ("wrench-fits", verdict)


def test_a_range_that_ends_below_its_beginning_is_none(tmp_path: Path) -> None:
    bench = bench_with(tmp_path)

    assert bench.hear("wrench from one zero zero to two zero newton metres") == ["figure-anew"]
    assert bench.events == []


def test_what_the_wrench_really_gives(tmp_path: Path) -> None:
    """ISO 6789 as a tool's manual quotes it: 30 N m at 4 % are 28.8 to 31.2; at 6 % 28.2 to 31.8."""
    bench = bench_with(tmp_path, drain_plug_torque="30 newton metre")

    key, told = answered(bench, "what does the wrench really give")
    assert (key, told["least"], told["most"]) == (
        "torque-band", Measure("28.8", "newton_metre"), Measure("31.2", "newton_metre"),
    )  # fmt: skip
    assert told["by_standard"] is True
    bench.hear("wrench tolerance six percent")
    _, told = answered(bench, "what is the band")
    assert (told["least"], told["most"]) == (
        Measure("28.2", "newton_metre"), Measure("31.8", "newton_metre"),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("spec", "said", "verdict"),
    [
        ("17.6 newton metre", "check two five foot pounds", "far"),  # 33.9 N m, 192 %: threads stripped
        ("106 pound inch", "check one zero six foot pounds", "unit-mixup"),  # 143.7 for 11.98 N m
        ("11.98 newton metre", "check one zero six inch pounds", "match"),
        ("35 newton metre", "check four zero newton metres", "off"),
    ],
)
def test_is_this_torque_the_right_one(tmp_path: Path, spec: str, said: str, verdict: str) -> None:
    """Public questions, recomputed."""
    key, told = answered(bench_with(tmp_path, drain_plug_torque=spec), said)

    assert (key, told["verdict"]) == ("torque-check", verdict)


def test_two_plugs_are_asked_apart_before_a_torque_is_judged(tmp_path: Path) -> None:
    """Public question: drain 20 N m, fill 15 N m; 15 is also what the drain plug has in foot pounds."""
    bench = bench_with(tmp_path, drain_plug_torque="20 newton metre", fill_plug_torque="15 newton metre")

    assert bench.hear("check one five newton metres") == ["which-plug-torque"]
    assert answered(bench, "check one five newton metres on the fill plug")[1]["verdict"] == "match"
    assert answered(bench, "check one five newton metres on the drain plug")[1]["verdict"] == "unit-mixup"


def test_clamping_force(tmp_path: Path) -> None:
    """A handbook page: K 0.20, 10 mm, 50 N m are 25 kN."""
    bench = bench_with(tmp_path, drain_plug_torque="50 newton metre")
    assert bench.hear("what is the clamping force") == ["needs-figure"]
    bench.hear("bolt diameter one zero millimetres", "friction nought point two")

    assert answered(bench, "what is the clamping force")[1]["force"] == Measure("25", "kilonewton")


# ---------------------------------------------------------------- thick and thin


def test_viscosity_at_a_temperature_both_scales(tmp_path: Path) -> None:
    """A published example of the two-point method: 32 at 40 C, 5.4 at 100 C, 8.5 at 80 C (176 F)."""
    bench = bench_with(tmp_path)
    assert bench.hear("how thick is it at eight zero degrees celsius") == ["needs-figure"]
    bench.hear("viscosity at forty is three two", "viscosity at one hundred is five point four")

    for asked in ("eight zero degrees celsius", "one seven six degrees fahrenheit"):
        _, told = answered(bench, f"how thick is it at {asked}")
        assert told["viscosity"] == Measure("8.5", "centistokes")
    assert bench.hear("how thick is it at three zero zero degrees celsius") == ["out-of-range"]


def test_viscosity_index(tmp_path: Path) -> None:
    """The standard's worked example as printed on public pages: 73.30 and 8.86 cSt, 92."""
    bench = bench_with(tmp_path, fluid_viscosity="8.86 centistokes", fluid_viscosity_40="73.30 centistokes")

    assert answered(bench, "what is the viscosity index")[1]["index"] == Measure("92", "one")


def test_viscosity_of_old_and_new(tmp_path: Path) -> None:
    """Derived: 60 % of 5 cSt and 40 % of 20 cSt by the blending number, 8.109."""
    bench = bench_with(tmp_path, capacity="10 litre", fluid_viscosity="20 centistokes")
    bench.hear("drained four litres", "old viscosity five")

    _, told = answered(bench, "how thick is the mixture")
    assert (told["viscosity"], told["share"]) == (Measure("8.1", "centistokes"), Measure("60", P))


# ---------------------------------------------------------------- warm and cold


@pytest.mark.parametrize(
    ("asked", "cold"),
    [
        (
            "what do five point five litres at eight zero degrees celsius make cold",
            "5.3",
        ),  # 5.258, table form
        ("what do five point five litres at one seven six degrees fahrenheit make cold", "5.3"),
        ("what do eight litres of water at nine zero degrees celsius make cold", "7.7"),  # V90/V15 = 1.035
        (
            "what do eight litres of coolant at nine zero degrees celsius make cold",
            "7.7",
        ),  # ASHRAE 1.0412 60-190 F
    ],
)
def test_what_it_makes_cold(tmp_path: Path, asked: str, cold: str) -> None:
    """Petroleum measurement form for oil of 870 kg/m3; ASHRAE densities of 50 % glycol; steam tables."""
    bench = bench_with(tmp_path, fluid_density="870 kilogram per cubic metre")

    _, told = answered(bench, asked)
    assert (told["cold"], told["to"]) == (Measure(cold, L), Measure("20", C))


def test_the_scale_of_a_temperature_is_not_guessed(tmp_path: Path) -> None:
    assert bench_with(tmp_path).hear("what do four litres at five five degrees make cold") == ["scale-needed"]


def test_correction_factor(tmp_path: Path) -> None:
    """Derived from the petroleum measurement form: 870 kg/m3 at 80 C, 0.95250."""
    bench = bench_with(tmp_path, fluid_density="870 kilogram per cubic metre")

    _, told = answered(bench, "correction factor at eight zero degrees celsius")
    assert told["factor"] == Measure("0.9525", "one")


def test_how_warm_it_will_be(tmp_path: Path) -> None:
    """A straight line: 30 C, five minutes later 40, ten more minutes to 60."""
    bench = bench_with(tmp_path)
    bench.hear("temperature three zero degrees celsius")
    assert bench.hear("how warm will it be in ten minutes") == ["needs-second-temperature"]
    bench.hear("temperature four zero degrees celsius", after_s=296)

    _, told = answered(bench, "how warm will it be in ten minutes")
    assert (told["temperature"], told["rough"]) == (Measure("60", C), True)


def test_where_it_settles(tmp_path: Path) -> None:
    """Derived: 38, 52, 60.4 C at equal times tend to 73.0; two readings do not tell."""
    bench = bench_with(tmp_path)
    bench.hear("temperature three eight degrees celsius")
    bench.hear("temperature five two degrees celsius", after_s=300)
    assert bench.hear("where does it settle") == ["needs-third-temperature"]
    bench.hear("temperature six zero point four degrees celsius", after_s=296)

    _, told = answered(bench, "where does it settle")
    assert told["sure"] is True
    assert float(told["temperature"].value) == pytest.approx(73, abs=3)  # type: ignore[attr-defined]


# ---------------------------------------------------------------- exchange, drum, coolant


def test_an_exchange_through_the_lines(tmp_path: Path) -> None:
    """Stirred tank: 12 L through 10 L leave exp(-1.2) = 30.1 % old; to 10 % old 10 ln 10 = 23.0 L."""
    bench = bench_with(tmp_path, capacity="10 litre")

    assert bench.hear("what does an exchange leave") == ["needs-figure"]
    _, told = answered(bench, "what is left after an exchange of twelve litres")
    assert (told["mixed"], told["plug"]) == (Measure("30", P), Measure("0", P))
    for asked in (
        "how much for an exchange to ninety percent",
        "how much for an exchange to ten percent old",
    ):
        assert answered(bench, asked)[1]["volume"] == Measure("23", L)
    assert bench.hear("what is left after an exchange of twelve quarts") == ["system-needed"]


def test_when_the_drum_runs_out(tmp_path: Path) -> None:
    """Public question: a drum of 20 L for 10 L, 4 L a drain: five changes, 7.8 % old; 5 % lacks 4 L."""
    bench = bench_with(tmp_path, capacity="10 litre", drain_expected="4 litre")
    assert bench.hear("when does the drum run out") == ["needs-figure"]
    bench.hear("in stock twenty litres")

    _, told = answered(bench, "when does the drum run out")
    assert (told["count"], told["old"], told["wanted"]) == (5, Measure("8", P), None)  # 7.78
    _, told = answered(bench, "when does the drum run out for five percent old")
    assert (told["wanted"], told["short"]) == (6, Measure("4", L))


def test_fresh_mixture(tmp_path: Path) -> None:
    """Arithmetic."""
    bench = bench_with(tmp_path)
    assert bench.hear("how much concentrate in five litres") == ["needs-figure"]

    _, told = answered(bench, "how much concentrate for four zero percent in five litres")
    assert (told["concentrate"], told["water"]) == (Measure("2", L), Measure("3", L))
    bench.hear("coolant share is fifty percent")
    assert answered(bench, "how much concentrate in five litres")[1]["concentrate"] == Measure("2.5", L)


@pytest.mark.parametrize(
    ("capacity", "left", "share", "amount", "water"),
    [
        ("3.6 litre", "60", "five zero", Measure("0.6", L), True),
        ("7 US quart", "35", "five zero", Measure("1.6", "us_quart"), False),  # 1.615
        ("16 US quart", "25", "four zero", Measure("3.2", "us_quart"), False),
    ],
)
def test_drain_and_replace_for_another_share(
    tmp_path: Path, capacity: str, left: str, share: str, amount: Measure, water: bool
) -> None:
    """Published mixture problems, recomputed."""
    bench = bench_with(tmp_path, capacity=capacity, coolant_left=f"{left} percent")

    _, told = answered(bench, f"how much do i exchange for {share} percent")
    assert (told["amount"], told["water"]) == (amount, water)


def test_a_share_by_weight(tmp_path: Path) -> None:
    """Published example: 1000 gallons at 30 % by weight, density ratio 1.1155: 277.6 gallons."""
    bench = bench_with(tmp_path, capacity="1000 US gallon", density_ratio="1.1155 one")

    _, told = answered(bench, "how much concentrate by weight for thirty percent")
    assert told["concentrate"] == Measure("278", "us_gallon")


def test_air_in_the_coolant(tmp_path: Path) -> None:
    """Public question: about half fits when air is trapped."""
    bench = bench_with(tmp_path)
    assert bench.hear("is air trapped") == ["nothing-measured"]
    bench.hear("drained six litres", "poured three litres")
    assert answered(bench, "is air trapped")[1]["trapped"] is True
    bench.hear("poured another two point five litres")
    assert answered(bench, "is air trapped")[1]["trapped"] is False


# ---------------------------------------------------------------- figures


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("friction nought", "figure-anew"),
        ("viscosity at forty is nought", "figure-anew"),
        ("pan is zero by two zero centimetres", "not-understood"),
    ],
)
def test_figures_that_are_not_taken(tmp_path: Path, said: str, key: str) -> None:
    """Nothing is no figure."""
    bench = bench_with(tmp_path)

    assert bench.hear(said) == [key]
    assert [one for one in bench.events if isinstance(one, FigureSupplied)] == []


def test_a_torque_with_a_sound_alike_is_to_be_said_digit_by_digit(tmp_path: Path) -> None:
    """Thirteen is easily heard as thirty."""
    bench = bench_with(tmp_path)
    meaning = grammar().parse("bolt torque thirteen newton metres")

    assert bench.hear_so(Heard(meaning, "bolt torque thirteen newton metres", twin="30")) == ["figure-digits"]
    assert bench.hear_so(Heard(meaning, "bolt torque one three newton metres")) == ["figure-kept"]


def test_what_was_reckoned_can_be_reckoned_again_from_the_record(tmp_path: Path) -> None:
    """Every figure answered is advice with its inputs and formula."""
    bench = bench_with(
        tmp_path, capacity="10 litre", drain_expected="4 litre", stock="20 litre", coolant_left="30 percent",
        drain_plug_torque="30 newton metre", density_ratio="1.11 one", pan_area="600 square centimetre",
        hole="12 millimetre", fluid_viscosity="5.4 centistokes", fluid_viscosity_40="32 centistokes",
    )  # fmt: skip
    bench.hear("a drop a second")
    asked = (
        "what is four litres in us quarts", "what does the wrench really give",
        "how thick is it at eight zero degrees celsius", "what is the viscosity index",
        "what do four litres at five five degrees celsius make cold",
        "what do four litres of coolant at five five degrees celsius make cold",
        "correction factor at eight zero degrees celsius", "what does an exchange leave",
        "how much for an exchange to ninety percent", "when does the drum run out for five percent old",
        "how much concentrate for four zero percent in five litres",
        "how much concentrate by weight for thirty percent", "how much do i exchange for five zero percent",
        "how much does it drip", "how long does it take to drain",
        "how much is one five millimetres in the pan", "how much first",
    )  # fmt: skip
    for words in asked:
        bench.hear(words)
        advice = [one for one in bench.events if isinstance(one, AdviceGiven)]
        assert len(advice) == 1, words
        one = advice[0]
        again = recheck(one.name, one.inputs, Measure(one.value, one.unit), one.formula)
        assert (again.verdict, again.formula_changed) == ("same", False), words
