"""Questions that are reckoned, typed: figures against published ones, what is missing named, advice kept.

"Public question" is a figure from a forum or a question-and-answer page, recomputed. Wording is tested
elsewhere; here it is read only where the rounding is what is said.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.job.events import AdviceGiven, FigureSupplied
from assistant.reckoning.again import recheck
from assistant.units import Measure
from tests.dialogue.reckoning_bench import bench_with
from tests.straight_job import BARE, bench_at


def advice_of(bench: object) -> AdviceGiven:
    """Return the last advice of the page."""
    return [one for one in bench.events if isinstance(one, AdviceGiven)][-1]  # type: ignore[attr-defined]


# ---------------------------------------------------------------- shares and changes


def test_how_much_is_old_after_one_change(tmp_path: Path) -> None:
    """Public question: 9.8 US quarts, 4 drained: 5.80 quarts, 59.2 %. Two parts are one change."""
    bench = bench_with(tmp_path, capacity="9.8 US quart")
    bench.hear("drained three US quarts", "another one US quart")

    assert bench.hear("how much is old") == ["old-left"]
    assert bench.replies[-1].args["share"] == Measure("59", "percent")
    assert bench.replies[-1].args["amount"] == Measure("5.8", "us_quart")


@pytest.mark.parametrize(
    ("capacity", "drained", "asked", "count", "fluid"),
    [
        ("10 litre", "four litres", "how many changes until five percent old", 6, Measure("24", "litre")),
        ("17.5 US quart", "seven point five US quarts", "how many changes for ten percent old", 5,
         Measure("37.5", "us_quart")),
        ("10 litre", "four litres", "how many changes to get to ninety percent", 5, Measure("20", "litre")),
        ("10 litre", "four litres", "how many changes to nine five percent new", 6, Measure("24", "litre")),
        ("7 litre", "four litres", "how many changes to ninety percent", 3, Measure("12", "litre")),
    ],
)  # fmt: skip
def test_how_many_changes(
    tmp_path: Path, capacity: str, drained: str, asked: str, count: int, fluid: Measure
) -> None:
    """Public questions (six changes and 24 L; five and 37.5 quarts) and logarithms, recomputed."""
    bench = bench_with(tmp_path, capacity=capacity)
    bench.hear(f"drained {drained}")

    assert bench.hear(asked) == ["changes"]
    assert bench.replies[-1].args["count"] == count
    assert bench.replies[-1].args["fluid"] == fluid
    assert (advice_of(bench).name, advice_of(bench).value) == ("cycles", str(count))


def test_before_the_drain_the_amount_of_the_sheet_counts_and_is_said_to(tmp_path: Path) -> None:
    """A plan made before anything is open: 4 of 10 L to 90 %, five changes (logarithms)."""
    bench = bench_with(tmp_path, capacity="10 litre", drain_expected="4 litre")

    assert bench.hear("how many changes to ninety percent") == ["changes"]
    assert bench.replies[-1].args["count"] == 5
    assert bench.replies[-1].args["by_sheet"] is True


# ---------------------------------------------------------------- torque


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        ("what does three five newton metres make in foot pounds", Measure("26", "pound_foot")),  # 25.815
        ("what is one zero six inch pounds in newton metres", Measure("12", "newton_metre")),  # 11.98
        ("what is one zero six inch pounds in foot pounds", Measure("8.8", "pound_foot")),  # 8.833
        ("convert one zero six foot pounds to newton metres", Measure("144", "newton_metre")),  # 143.7
        ("what is seven zero inch pounds in newton metres", Measure("7.9", "newton_metre")),  # 7.909
    ],
)
def test_a_torque_in_another_unit(tmp_path: Path, asked: str, answer: Measure) -> None:
    """NIST SP 811: 1 lbf ft = 1.355818 N m; public questions for the mix-ups of inch and foot."""
    bench = bench_with(tmp_path)

    assert bench.hear(asked) == ["torque-makes"]
    assert bench.replies[-1].args["torque"] == answer
    assert advice_of(bench).spoken_value == answer.value


def test_an_adapter_needs_the_length_of_the_wrench_and_asks_for_it(tmp_path: Path) -> None:
    """A tool page's worked example: 80 N m, 40 cm and 5 cm, set 71.1 N m."""
    bench = bench_with(tmp_path, drain_plug_torque="80 newton metre")

    assert bench.hear("what do i set with a five centimetre adapter") == ["needs-figure"]
    assert bench.replies[-1].args == {"figure": "wrench-length"}
    assert bench.hear("wrench is four zero centimetres long") == ["figure-kept"]
    assert bench.hear("what do i set with a five centimetre adapter") == ["adapter-setting"]
    assert bench.replies[-1].args["setting"] == Measure("71", "newton_metre")
    assert float(advice_of(bench).value) == pytest.approx(71.1, abs=0.02)


def test_two_different_plugs_are_asked_apart(tmp_path: Path) -> None:
    """Public question: drain 20 N m, fill 15 N m; no plug named, no figure said."""
    bench = bench_with(
        tmp_path,
        drain_plug_torque="20 newton metre",
        fill_plug_torque="15 newton metre",
        wrench_length="25 centimetre",
    )

    assert bench.hear("what do i set with a five centimetre adapter") == ["which-plug-torque"]
    bench.hear("what do i set with a five centimetre adapter on the fill plug")
    assert bench.replies[-1].args["setting"] == Measure("13", "newton_metre")  # 15 * 25 / 30 = 12.5


# ---------------------------------------------------------------- owed, bought, poured


def test_what_is_owed(tmp_path: Path) -> None:
    """Public question: 1 and 3.9 quarts came out, 3 went in, 1.9 quarts are owed."""
    bench = bench_with(tmp_path)
    bench.hear("drained one US quart", "another three point nine US quarts", "poured three US quarts")

    assert bench.hear("what is owed") == ["owed"]
    assert bench.replies[-1].args == {"how": "still-short", "amount": Measure("1.9", "us_quart")}


def test_what_to_buy_for_the_amount_of_the_sheet(tmp_path: Path) -> None:
    """Division: 5.26 L from litre cans, six of them, 0.74 L over; with 4 L on the shelf two."""
    bench = bench_with(tmp_path, drain_expected="5.26 litre", container="1 litre")

    assert bench.hear("what do i buy") == ["buy"]
    assert bench.replies[-1].args["count"] == 6
    assert float(bench.replies[-1].args["left"].value) == pytest.approx(0.74, abs=0.03)  # type: ignore[attr-defined]
    assert bench.hear("in stock four litres", "what do i buy") == ["figure-kept", "buy"]
    assert bench.replies[-1].args["count"] == 2
    assert advice_of(bench).name == "buy"


def test_a_litre_jug_for_quarts(tmp_path: Path) -> None:
    """Public question: 5 US quarts on the shelf for 5 L are 0.27 L short."""
    bench = bench_with(tmp_path, drain_expected="5 litre", container="5 US quart", stock="5 US quart")

    assert bench.hear("how much from each can") == ["pour-plan"]
    assert bench.replies[-1].args["full"] == 1
    assert bench.replies[-1].args["short"] == Measure("0.25", "litre")


def test_how_much_from_each_can(tmp_path: Path) -> None:
    """Subtraction: 4.7 L from cans of 4 L are one full can and 0.7 L of the next, 3.3 L stay in it."""
    bench = bench_with(tmp_path, drain_expected="4.7 litre", container="4 litre")

    bench.hear("how much from each can")
    assert bench.replies[-1].args == {
        "full": 1, "last": Measure("0.7", "litre"), "left": Measure("3.3", "litre"), "short": None,
    }  # fmt: skip


# ---------------------------------------------------------------- warmth


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("temperature three zero degrees celsius", "too-cold"),
        ("temperature five zero degrees celsius", "too-hot"),
        ("temperature one one three degrees fahrenheit", "in-window"),
        ("temperature nine nine degrees fahrenheit", "in-window"),
    ],
)
def test_is_it_warm_enough(tmp_path: Path, told: str, said: str) -> None:
    """Public questions: window 35 to 45 C; 30 would overfill, 50 underfill, 113 F is 45 C and still in."""
    bench = bench_with(tmp_path, hot_low="35 degree celsius", hot_high="45 degree celsius")

    bench.hear(told)
    assert bench.hear("is it warm enough") == [said]


def test_a_temperature_of_long_ago_is_not_the_temperature_now(tmp_path: Path) -> None:
    """Ten minutes, common practice, no source."""
    bench = bench_with(tmp_path, hot_low="35 degree celsius", hot_high="45 degree celsius")
    bench.hear("temperature four zero degrees celsius")

    assert bench.hear("is it warm enough", after_s=601)[-1] == "temperature-too-old"


def test_how_long_until_fifty_degrees(tmp_path: Path) -> None:
    """A straight line: 30 C, five minutes later 40, five more to 50; counted from the question."""
    bench = bench_with(tmp_path)
    bench.hear("temperature three zero degrees celsius")
    assert bench.hear("how long until five zero degrees") == ["needs-second-temperature"]
    bench.hear("temperature four zero degrees celsius", after_s=296)

    assert bench.hear("how long until five zero degrees", after_s=0) == ["wait-left"]
    assert bench.replies[-1].args["minutes"] == Measure("5", "minute")
    assert bench.replies[-1].args["goal"] == Measure("50", "celsius")
    assert bench.hear("how long until five zero degrees", after_s=120)[-1] == "wait-left"
    assert bench.replies[-1].args["minutes"] == Measure("3", "minute")
    assert bench.hear("how long until nine zero degrees fahrenheit") == ["there-by-now"]


def test_what_cools_does_not_get_warmer(tmp_path: Path) -> None:
    """45 C, then 44: 50 is not on the way."""
    bench = bench_with(tmp_path)
    bench.hear("temperature four five degrees celsius")
    bench.hear("temperature four four degrees celsius", after_s=300)

    assert bench.hear("how long until five zero degrees") == ["not-on-its-way"]


def test_when_it_can_be_touched(tmp_path: Path) -> None:
    """Newton's law: 200 F, two minutes later 180, in 70 F: 140 F (60 C) after 2 ln(110/70) / ln(130/110)."""
    bench = bench_with(tmp_path, workshop="70 degree fahrenheit")
    bench.hear("temperature two zero zero degrees fahrenheit")
    bench.hear("temperature one eight zero degrees fahrenheit", after_s=120)

    assert bench.hear("when can i touch it", after_s=0) == ["wait-left"]
    assert float(bench.replies[-1].args["minutes"].value) == pytest.approx(5.41, abs=0.6)  # type: ignore[attr-defined]


def test_what_the_stick_should_read_cold(tmp_path: Path) -> None:
    """The 54D form: 8.373 L full at 80 C stand 6.2 mm lower at 20 C on a stick of 6 mm for 0.36 L."""
    bench = bench_with(
        tmp_path,
        capacity="8.373 litre",
        span="0.36 litre",
        span_length="6 millimetre",
        fluid_density="860 kilogram per cubic metre",
        hot_low="75 degree celsius",
        hot_high="85 degree celsius",
    )
    bench.hear("temperature two zero degrees celsius")

    assert bench.hear("what should the stick read") == ["reads-away"]
    assert bench.replies[-1].args["away"] == Measure("6", "millimetre")
    assert bench.replies[-1].args["lower"] is True


# ---------------------------------------------------------------- drips


def test_is_it_worth_waiting(tmp_path: Path) -> None:
    """Film formula: a drop every 0.5 s after five minutes, 60 mL to come; every 6 s after ten hardly pays."""
    bench = bench_with(tmp_path)
    bench.hear("start drain timer ten minutes")
    bench.hear("drip interval nought point five seconds", after_s=300)

    assert bench.hear("is it worth waiting") == ["worth-waiting"]
    assert bench.replies[-1].args["left"] == Measure("60", "millilitre")
    assert bench.replies[-1].args["worth"] is True
    bench.hear("a drop every six seconds", after_s=296)
    assert bench.hear("is it worth waiting") == ["worth-waiting"]
    assert bench.replies[-1].args["worth"] is False
    bench.hear("no more drips")
    assert bench.hear("is it worth waiting") == ["drip-verdict"]


def test_how_bad_the_leak_is(tmp_path: Path) -> None:
    """A lubrication journal: a drop a second is 420 US gallons a year, 4.35 L a day; known to about half."""
    bench = bench_with(tmp_path)
    bench.hear("a drop a second")

    assert bench.hear("how bad is the leak") == ["leak"]
    assert float(bench.replies[-1].args["a_day"].value) == pytest.approx(4.35, abs=1)  # type: ignore[attr-defined]


# ---------------------------------------------------------------- what is due, other fluids


def test_when_the_next_service_falls(tmp_path: Path) -> None:
    """Addition."""
    bench = bench_with(tmp_path)
    assert bench.hear("when is the next service") == ["needs-distance"]
    bench.hear("clock reads one two three four five six kilometres")
    assert bench.hear("when is the next service") == ["needs-figure"]
    bench.hear("service every six zero thousand kilometres")

    assert bench.hear("when is the next service") == ["due-at"]
    assert advice_of(bench).value == "183456"


def test_concentrate_and_water(tmp_path: Path) -> None:
    """Public question: 8 quarts flushed with water, 5 out: 4 quarts of concentrate and 1 of water."""
    bench = bench_with(tmp_path, capacity="8 US quart")
    bench.hear("drained five US quarts")
    assert bench.hear("how much concentrate for fifty percent") == ["needs-figure"]
    bench.hear("flushed with water")

    assert bench.hear("how much concentrate for fifty percent") == ["mixture"]
    assert bench.replies[-1].args["concentrate"] == Measure("4", "us_quart")
    assert bench.replies[-1].args["water"] == Measure("1", "us_quart")


def test_a_share_out_of_reach(tmp_path: Path) -> None:
    """The same with 3 quarts out: at least 4 must come out."""
    bench = bench_with(tmp_path, capacity="8 US quart")
    bench.hear("drained three US quarts", "flushed with water")

    assert bench.hear("how much concentrate for fifty percent") == ["mixture-out-of-reach"]
    assert bench.replies[-1].args["drain"] == Measure("4", "us_quart")


@pytest.mark.parametrize(
    ("viscosity", "verdict"), [("15", "of-class"), ("20", "too-thick"), ("12", "too-thin")]
)
def test_is_it_the_right_class(tmp_path: Path, viscosity: str, verdict: str) -> None:
    """SAE J306 of 2019: a 75W-90 has 13.5 to under 18.5 cSt at 100 C."""
    bench = bench_with(tmp_path, fluid_grade="gear 75W-90", fluid_viscosity=f"{viscosity} centistokes")

    assert bench.hear("is it the right class") == ["class-verdict"]
    assert bench.replies[-1].args == {"verdict": verdict}


# ---------------------------------------------------------------- what is missing, what is kept


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("how much is old", "nothing-measured"),
        ("how many changes", "share-needed"),
        ("how many changes to ninety percent", "needs-figure"),
        ("what do i set with an adapter", "adapter-needed"),
        ("what do i set with a five centimetre adapter", "needs-figure"),
        ("is it warm enough", "needs-figure"),
        ("what should the stick read", "needs-figure"),
        ("how long until five zero degrees celsius", "needs-temperature"),
        ("how long until five zero degrees", "scale-needed"),
        ("how long until it is warm", "needs-figure"),
        ("when can i touch it", "needs-figure"),
        ("is it worth waiting", "needs-drip"),
        ("how bad is the leak", "needs-drip"),
        ("what is owed", "nothing-measured"),
        ("what do i buy", "needs-figure"),
        ("how much from each can", "needs-figure"),
        ("next service", "needs-distance"),
        ("how much concentrate", "needs-figure"),
        ("is it the right class", "no-grade"),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_written(tmp_path: Path, asked: str, said: str) -> None:
    """Nothing is assumed in its place."""
    bench = bench_with(tmp_path)

    assert bench.hear(asked) == [said]
    assert bench.events == []


def test_a_figure_of_the_sheet_changes_only_by_a_correction(tmp_path: Path) -> None:
    """The vehicle's own data come first."""
    bench = bench_with(tmp_path, capacity="8.8 litre")

    assert bench.hear("capacity is nine litres") == ["figure-stands"]
    assert bench.hear("correction capacity is nine litres") == ["figure-kept"]
    assert [one.value for one in bench.events if isinstance(one, FigureSupplied)] == ["9"]
    assert bench.session.state.sheet.figure("capacity") == Measure("9", "litre")


def test_a_figure_without_its_system_is_not_taken(tmp_path: Path) -> None:
    """A quart is never guessed."""
    bench = bench_with(tmp_path)

    assert bench.hear("in stock five quarts") == ["figure-which-system"]
    assert bench.session.state.sheet.figure("stock") is None


def test_an_advice_can_be_reckoned_again_from_the_record(tmp_path: Path) -> None:
    """Inputs, formula and figure are in the event, and a restart knows it."""
    bench = bench_with(tmp_path, capacity="10 litre", drain_expected="4.7 litre", container="4 litre")
    bench.hear("drained four litres")
    for asked in (
        "how many changes to ninety percent", "what does three five newton metres make in foot pounds",
        "what do i buy",
    ):  # fmt: skip
        bench.hear(asked)
        one = advice_of(bench)
        assert recheck(one.name, one.inputs, Measure(one.value, one.unit), one.formula).verdict == "same"
    before = bench.session.state.advice
    bench.restart()
    assert bench.session.state.advice == before


def test_a_question_with_a_figure_in_it_answers_no_question() -> None:
    """The drain plug's torque is asked; a torque to be converted is not it, and the question stays open."""
    bench = bench_at("close-plug", BARE)
    bench.hear("new washer on")
    asked = bench.session.state.question
    assert asked is not None
    assert asked.name == "figure"

    assert bench.hear("what does three five newton metres make in foot pounds") == ["torque-makes"]
    assert bench.session.state.sheet.figure("drain-plug-torque") is None
    assert bench.session.state.question == asked
