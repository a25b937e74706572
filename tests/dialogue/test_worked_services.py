"""Worked examples of the trade on the services they belong to, by keyboard, each to its figure.

The inputs are of public questions by people who do these jobs, the results recomputed; what a mistake
there was, is refused or asked here.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.job import events as e
from assistant.units import Measure
from tests.dialogue.straight import Run, changed_sheet, of_step, told


def rounds(run: Run, amount: str, most: int) -> list[str]:
    """Drain and pour the same amount again and again; return the share that is new after each round."""
    shares: list[str] = []
    said = {
        "measure": (f"drained {amount}", "done"),
        "plan": ("yes",),
        "pour": (f"poured {amount}", "done"),
        "level_cold": ("on the cold mark",),
        "enough": ("yes",),
    }
    for _ in range(400):
        question = run.bench.session.state.question
        again = question is not None and question.name == "repeat"
        run.bench.hear("yes") if again else of_step(run, **said)
        new = [one.args["share"] for one in run.bench.replies if one.key == "share-new"]
        shares += [one.value for one in new if isinstance(one, Measure)]
        if any(isinstance(event, e.RoundBegun) for event in run.bench.events):
            run.visits.clear()
        if len(shares) == most or run.step == "short":
            break
    return shares


@pytest.mark.full
def test_each_round_leaves_the_share_it_did_not_reach(tmp_path: Path) -> None:
    """9.8 US quarts, 4 a drain: 40.8, 65.0, 79.3, 87.7, 92.7 % new; never by the drained share alone."""
    sheet = changed_sheet(
        tmp_path, "automatic-repeat", capacity="9.8 us quart", drain_expected="4 us quart",
        drain_least="2 us quart", drain_most="5 us quart", run_minimum="6 us quart", new_wanted="95 percent",
    )  # fmt: skip

    assert rounds(Run("automatic-repeat", sheet), "four US quarts", 5) == ["41", "65", "79", "88", "93"]


@pytest.mark.full
def test_a_drum_of_twenty_litres_is_used_up_after_five_rounds(tmp_path: Path) -> None:
    """10 L, 4 L a drain: 40, 64, 78.4, 87.0, 92.2 % new; 95 % would take a sixth, four litres short."""
    sheet = changed_sheet(
        tmp_path, "automatic-repeat", capacity="10 litre", drain_expected="4 litre", drain_least="2 litre",
        drain_most="5 litre", run_minimum="7 litre", new_wanted="95 percent", stock="20 litre",
    )  # fmt: skip
    run = Run("automatic-repeat", sheet)

    assert rounds(run, "four litres", 5) == ["40", "64", "78", "87", "92"]
    assert told(run, "ask-round")["count"] == 1
    assert told(run, "ask-round")["short"] == Measure("4", "litre")
    run.bench.hear("yes")
    assert run.step == "short"


@pytest.mark.full
def test_the_total_is_not_the_refill_of_one_change(tmp_path: Path) -> None:
    """17.5 US quarts in all, 7.5 in the pan: 7.5 go in; seventeen point five is challenged."""
    sheet = changed_sheet(
        tmp_path, "automatic-drain-refill", capacity="17.5 us quart", drain_expected="7.5 us quart",
        drain_least="5 us quart", drain_most="9 us quart", run_minimum="12 us quart", span="0.4 us quart",
    )  # fmt: skip
    run = Run("automatic-drain-refill", sheet)
    while run.step != "pour":
        of_step(
            run, level_before=("on the hot mark",), measure=("drained seven point five US quarts", "done"),
            measure_temperature=("20 c",), plan=("yes",),
        )  # fmt: skip
    assert run.bench.session.state.last_advice("refill").spoken == Measure("7.5", "us_quart")  # type: ignore[union-attr]

    assert run.bench.hear("poured seventeen point five US quarts") == ["implausible"]


@pytest.mark.parametrize(
    ("out", "key", "figures"),
    [
        ("5", "advise-mixture", {"concentrate": Measure("4", "us_quart"), "water": Measure("1", "us_quart")}),
        ("3", "mixture-out-of-reach", {"drain": Measure("4", "us_quart")}),
    ],
)
def test_coolant_that_was_flushed_with_water(
    tmp_path: Path, out: str, key: str, figures: dict[str, object]
) -> None:
    """8 US quarts, water inside, 50 % wanted: 5 out take 4 of concentrate and 1 of water; 3 are too few."""
    sheet = changed_sheet(
        tmp_path, "coolant", capacity="8 us quart", drain_expected="5 us quart", drain_least="2 us quart",
        drain_most="7 us quart", run_minimum="7 us quart",
    )  # fmt: skip
    run = Run("coolant", sheet)
    for _ in range(20):
        of_step(run, old_share=("zero percent",), measure=(f"drained {out} US quarts", "done"))
        if key in run.bench.keys:
            break

    assert figures.items() <= told(run, key).items()
    assert (run.step == "drain-more") is (out == "3")


OVERFLOW = [
    # service, temperature, what comes, caught, what is said
    ("continuously-variable", "55 c", "thin stream", "", "overflow-close"),
    ("continuously-variable", "55 c", "still a stream", "950 ml", "overflow-let-run"),
    ("continuously-variable", "55 c", "nothing comes out", "", "overflow-add"),
    ("continuously-variable", "45 c", "thin stream", "", "too-cold"),
    ("continuously-variable", "65 c", "thin stream", "", "too-hot"),
    ("automatic-overflow", "30 c", "just drops", "", "too-cold"),
    ("automatic-overflow", "50 c", "nothing comes out", "", "too-hot"),
    ("automatic-overflow", "40 c", "nothing comes out", "", "overflow-add"),
    ("automatic-overflow", "113 f", "thin stream", "", "overflow-close"),
    ("automatic-overflow", "99 f", "thin stream", "", "overflow-close"),
]


@pytest.mark.parametrize(("service", "warmth", "flow", "caught", "key"), OVERFLOW)
def test_an_overflow_is_judged_in_its_window_only(
    service: str, warmth: str, flow: str, caught: str, key: str
) -> None:
    """A thin stream is right, a full one after 0.9 L too much, nothing short; elsewhere it says nothing."""
    run = Run(service)
    run.to("overflow")
    said = run.bench.hear(warmth, *((f"drained {caught}",) if caught else ()), flow)

    assert key in said, said
    judged = {"overflow-close", "overflow-add", "overflow-let-run"} & set(said)
    assert judged == ({key} if key.startswith("overflow") else set())
    assert (run.step == "close-overflow") is (key == "overflow-close")


def test_a_bare_temperature_is_read_back_with_its_unit() -> None:
    """Forty at a gearbox that idles is Celsius, and said so; a judgement on it can be taken back."""
    run = Run("automatic-overflow")
    run.to("overflow")

    run.bench.hear("forty degrees")
    assert "degrees Celsius" in " ".join(run.bench.sentences)
    assert run.step == "overflow"


def test_engine_filter_and_cooler_are_added_up(tmp_path: Path) -> None:
    """4.3 L drained, filter and cooler 0.3 L each: 4.9 L go in."""
    run = Run("engine-oil-filter", changed_sheet(tmp_path, "engine-oil-filter", workshop="20 degree celsius"))
    while run.step != "plan":
        of_step(run, measure_temperature=("20 c",))

    assert told(run, "advise-refill")["amount"] == Measure("4.9", "litre")


def test_red_and_thin_from_the_engine_stops_everything() -> None:
    """The wrong pan was opened: nothing is poured and nothing started until both units are right."""
    run = Run("engine-oil-filter")
    run.to("out-look")
    run.bench.hear("red", "yes")
    assert run.step == "wrong-plug"
    run.bench.hear("wrong gearbox")

    state = run.bench.session.state
    assert state.standing_by or state.ended
    entered = [one.step for one in run.bench.history if isinstance(one, e.StepEntered)]
    assert not {"pour", "first-start"} & set(entered)


def test_an_engine_that_was_filled_on_top_of_its_own_oil_gives_back_just_that(tmp_path: Path) -> None:
    """4 US quarts were the gearbox's, 3.5 L went into the full engine: 3.5 out again, 4 quarts owed."""
    run = Run("engine-oil-filter")
    while run.step != "pour":
        of_step(run, measure=("drained four US quarts", "done"), plan=("yes",))
    run.bench.hear("poured 3.5 litres")
    run.bench.hear("wrong gearbox")

    owed = [dict(one.args) for one in run.bench.replies if one.key == "unit-owed"]
    assert owed == [
        {"unit": "engine", "how": "still-over", "amount": Measure("3.5", "litre")},
        {"unit": "the other unit", "how": "still-short", "amount": Measure("4", "us_quart")},
    ]
    run.bench.hear("drained 3.5 litres", "done")
    run.bench.hear("what does each unit need")
    owed = [dict(one.args) for one in run.bench.replies if one.key == "unit-owed"]
    assert owed[0] == {"unit": "engine", "how": "even", "amount": Measure("0", "litre")}
    assert owed[1]["how"] == "still-short", "the gearbox has nothing back yet"
    assert run.step == "give-back"
    run.bench.hear("done", "done")
    entered = [one.step for one in run.bench.history if isinstance(one, e.StepEntered)]
    assert "both-levels" in entered, "each has its level read before it runs"
    assert "first-start" not in entered


TOO_MUCH = [
    ("manual-gearbox", "3.2 litres", "Look under it, at the seals, and at the vent on top."),
    ("engine-oil-filter", "8 litres", "Look beneath it, then read the stick."),
    ("automatic-overflow", "6 litres", "Look where it went, beneath it and at the vent."),
    ("automatic-drain-refill", "8 litres", "The stick decides before another drop goes in."),
]


@pytest.mark.parametrize(("service", "amount", "words"), TOO_MUCH)
def test_far_more_than_came_out_is_asked_then_kept_and_its_way_looked_for(
    service: str, amount: str, words: str
) -> None:
    """Over 1.2 times the amount: asked once; kept as doubtful if it is so, and nothing more is poured."""
    run = Run(service)
    run.to("pour")
    assert run.bench.hear(f"poured {amount}") == ["implausible"]

    assert "kept-doubtful" in run.bench.hear(amount)
    assert words in " ".join(run.bench.sentences)


@pytest.mark.parametrize(
    ("spec", "said", "about"),
    [
        ("13 pound foot", "25 foot pounds", "torque-far"),
        ("106 pound inch", "106 foot pounds", "torque-unit"),
    ],
)
def test_a_torque_of_habit_is_challenged(tmp_path: Path, spec: str, said: str, about: str) -> None:
    """33.9 N m where 17.6 are asked, and foot pounds for inch pounds: neither is taken as it is."""
    run = Run("manual-gearbox", changed_sheet(tmp_path, "manual-gearbox", drain_plug_torque=spec))
    run.to("torque")

    assert run.bench.hear(f"drain plug {said}") == ["implausible"]
    question = run.bench.session.state.question
    assert question is not None
    assert question.about == about
    assert run.step == "torque"


def test_two_torques_of_one_case_are_asked_apart(tmp_path: Path) -> None:
    """20 N m for the drain plug, 15 for the fill plug: both are told by name where none is said."""
    run = Run("manual-gearbox", changed_sheet(tmp_path, "manual-gearbox", drain_plug_torque="20 newton metre",
                                              fill_plug_torque="15 newton metre"))  # fmt: skip
    run.to("find-plugs")

    assert run.bench.hear("which torque") == ["torque-both"]


def test_an_amount_in_two_parts_with_some_poured_already(tmp_path: Path) -> None:
    """1 and 3.9 US quarts out, 3 in: 1.9 to go; a cup spilled makes it a guess and the level compulsory."""
    sheet = changed_sheet(tmp_path, "automatic-overflow", drain_least="2 litre", drain_most="6 litre",
                          drain_expected="4.5 litre")  # fmt: skip
    run = Run("automatic-overflow", sheet)
    while run.step != "pour":
        of_step(run, measure=("drained one US quart", "another three point nine US quarts", "done"),
                measure_temperature=("20 c",), plan=("yes",))  # fmt: skip
    run.bench.hear("poured three US quarts")

    run.bench.hear("how much to go")
    assert told(run, "pour-to-go")["left"] == Measure("1.9", "us_quart")
    run.bench.hear("how much in")
    assert "three" in " ".join(run.bench.sentences).lower()

    run.bench.hear("spilled about a cup", "how much to go")
    left = told(run, "pour-to-go")
    assert (left["left"], left["estimate"]) == (Measure("2.2", "us_quart"), True)  # 1.9 and a quarter
    run.bench.hear("another two US quarts", "done")
    run.to("overflow")
    assert run.bench.hear("skip step not needed") == ["level-first"]
    assert run.step == "overflow"
