"""The shipped service has the order, the gates, the exits and the findings of the trade.

The order of the work (drain warm, new washer, torque, refill by what came out, levels in their window) is
common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from assistant.grammar.meaning import HAPPENINGS
from assistant.job.procedure import STOP, Procedure, Step, procedure_from_data
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import list_procedures, load_procedure

NAME = "automatic-drain-refill"
TEXT = (procedures_folder() / f"{NAME}.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def procedure() -> Procedure:
    """Return the shipped procedure as the job sees it."""
    return procedure_from_data(load_procedure(NAME))


def main(procedure: Procedure) -> list[Step]:
    """Return the steps in the order of the work."""
    return [step for step in procedure.steps if not step.aside]


# ---------------------------------------------------------------- the shipped procedure


def test_it_is_listed_and_loads_by_name_and_by_path() -> None:
    """A name and a path give the same data, and the data hold nothing but plain values."""
    assert NAME in list_procedures()
    data = load_procedure(NAME)

    assert data == load_procedure(procedures_folder() / f"{NAME}.toml")
    assert plain(data)


def plain(value: object) -> bool:
    """Say whether a value is made of texts, whole numbers, truth values, lists and tables only."""
    if isinstance(value, dict):
        return all(isinstance(key, str) and plain(one) for key, one in value.items())
    return all(plain(one) for one in value) if isinstance(value, list) else isinstance(value, str | int)


def test_the_work_is_in_the_order_of_the_trade(procedure: Procedure) -> None:
    """Common practice, no source: level before, safe, drained, torqued, measured, poured, levels."""
    order = [step.id for step in main(procedure)]

    assert [step for step in order if step in LANDMARKS] == LANDMARKS


LANDMARKS = [
    "confirm",
    "lay-out",
    "level-before",
    "switch-off",
    "raise",
    "clean-plug",
    "open-plug",
    "look",
    "old-washer",
    "magnet",
    "drain-wait",
    "close-plug",
    "torque",
    "measure",
    "measure-temperature",
    "keep-old",
    "plan",
    "pour",
    "lower",
    "run",
    "level-cold",
    "drive",
    "level-hot",
    "close",
    "waste",
]


def test_every_engine_on_step_is_gated_and_on_its_wheels(procedure: Procedure) -> None:
    """Nobody is under a vehicle whose engine is started; no lever sequence on stands."""
    starts = [step for step in main(procedure) if "engine=on" in step.sets]

    assert len(starts) == 3
    for step in starts:
        assert step.gate == "everyone-clear"
        assert "vehicle=on-wheels" in step.requires
    for step in main(procedure):
        if "lever through" in step.title or step.mark:
            assert {"vehicle=on-wheels", "engine=on"} <= set(step.requires)


def test_nothing_is_poured_or_run_before_the_plug_is_in(procedure: Procedure) -> None:
    """Washer and torque hold the pour, the torque holds every engine-on step after it."""
    place = [step.id for step in main(procedure)].index("torque")

    assert set(procedure.step("pour").requires) == {"washer=new", "drain-plug=torqued", "fluid=agrees"}
    for step in main(procedure)[place + 1 :]:
        if "engine=on" in (*step.sets, *step.requires):
            assert "drain-plug=torqued" in step.requires


@pytest.mark.parametrize(
    "what",
    [
        *("plug-stuck", "plug-rounded", "plug-spins", "plug-dropped", "gushing", "pan-full", "will-not-take"),
        *("runs-back", "stick-missing", "stick-unreadable", "level-high", "no-thermometer", "wrong-vehicle"),
        *("wrong-unit", "part-missing", "plate-unreadable", "plate-mismatch", "fluid-mismatch"),
        *(
            "drip-endless",
            "leak",
            "nothing-comes",
            "tube-blocked",
            "spilled-unknown",
            "drained-doubtful",
            "far-less",
        ),
    ],
)
def test_everything_that_can_happen_leads_somewhere(procedure: Procedure, what: str) -> None:
    """Each happening has an exit at a step or anywhere, with words."""
    exits = [*procedure.exits, *(one for step in procedure.steps for one in step.exits)]

    assert any(one.on == what and one.say for one in exits)


def test_no_happening_the_grammar_knows_is_forgotten() -> None:
    """A sentence the mechanic can say never falls into the void."""
    every = [procedure_from_data(load_procedure(name)) for name in list_procedures()]
    exits = {one.on for service in every for one in service.exits}
    exits |= {one.on for service in every for step in service.steps for one in step.exits}

    assert set(HAPPENINGS) <= exits


def test_findings_decide(procedure: Procedure) -> None:
    """Coolant, foam or fuel in the fluid end the refill; burnt fluid and fuzz go on, chips do not."""
    look = {one.name: one for one in procedure.step("look").findings}
    magnet = {one.name: one for one in procedure.step("magnet").findings}

    for name in ("coolant-in-fluid", "foam-in-fluid", "fuel-in-fluid"):
        assert look[name].then == "hand-back"
    assert procedure.step("hand-back").after == STOP
    assert {look[name].then for name in ("sound", "burnt", "dark")} == {"stay"}
    assert magnet["magnet-fuzz"].then == "stay"
    assert magnet["magnet-chips"].then == "broken-metal"


def test_an_end_has_no_step_after_it_and_an_aside_goes_on(procedure: Procedure) -> None:
    """`after` names the following step, "stop" none."""
    after = procedure.following("stuck-plug")

    assert procedure.following("hand-back") is None
    assert after is not None
    assert after.id == "open-plug"


def test_the_step_that_makes_a_fact_true_is_the_nearest_before(procedure: Procedure) -> None:
    """Held for the wheels after the refill, the job goes to the lowering, not to the start of the day."""
    early = procedure.setting("vehicle=on-wheels", before="start-before")
    late = procedure.setting("vehicle=on-wheels", before="run")

    assert early is not None
    assert late is not None
    assert (early.id, late.id) == ("stand-flat", "lower")


def test_each_washer_question_takes_its_own_answer(procedure: Procedure) -> None:
    """The used washer answers the search, the new one the closing."""
    used, fresh = (procedure.step(name).awaited("washer") for name in ("old-washer", "close-plug"))

    assert used is not None
    assert fresh is not None
    assert [used.answered_by({"state": state}) for state in ("on-pan", "new-on")] == [True, False]
    assert [fresh.answered_by({"state": state}) for state in ("on-pan", "new-on")] == [False, True]


@pytest.mark.parametrize("name", list_procedures())
def test_short_texts_are_short(name: str) -> None:
    """What is spoken unasked stays below what one remembers: 24 words, sentences of 14."""
    for step in procedure_from_data(load_procedure(name)).steps:
        assert len(step.say.split()) <= 24, step.id
        for sentence in re.split(r"(?<=[.?!])\s", step.say):
            assert len(sentence.split()) <= 14, sentence


# ---------------------------------------------------------------- each check, broken one by one
