"""What somebody says of engine, stands or cap that is against the step is no "done"."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.job.commands import CLAIMS, contradicted
from tests.bench import Bench
from tests.dialogue.straight import begun, services
from tests.straight_job import bench_at


def stands_still(bench: Bench, line: str) -> list[str]:
    """What is said to a line that must not move the job."""
    before = standing(bench)
    said = bench.hear(line)
    assert standing(bench) == before
    return said


def standing(bench: Bench) -> tuple[object, ...]:
    """Where the job is, what is so of engine and vehicle, and which timers there are."""
    state = bench.session.state
    return state.step_id, state.facts.get("engine"), state.facts.get("vehicle"), set(state.timers)


@pytest.mark.parametrize(
    ("step", "line", "said", "words"),
    [
        ("switch-off", "engine is running", "held", "the engine switched off"),
        ("raise", "on the ground", "step", "rated stands"),
        ("open-plug", "engine is running", "held", "the engine switched off"),
        ("old-washer", "engine is running", "held", "the engine switched off"),
    ],
)
def test_what_is_against_the_step_moves_nothing(step: str, line: str, said: str, words: str) -> None:
    """The drain plug is loosened with the engine off, whatever "running" means there else."""
    bench = bench_at(step)

    assert stands_still(bench, line) == [said]
    assert words in " ".join(bench.sentences)


def test_what_agrees_with_the_step_is_done() -> None:
    bench = bench_at("switch-off")
    bench.hear("engine is off")
    assert bench.session.state.step_id == "raise"
    bench.hear("it's on the stands")
    assert bench.session.state.step_id != "raise"


def test_fluid_that_runs_is_no_engine() -> None:
    bench = bench_at("open-plug")
    bench.hear("running")
    assert bench.session.state.timers


@pytest.mark.parametrize("service", services())
def test_no_service_takes_the_contrary_for_done(service: str) -> None:
    """At every step that makes something true of engine, vehicle or cap, or requires it."""
    state = begun(service).session.state
    for step in state.procedure.steps:
        here = replace(state, step_id=step.id)
        for says, (name, value) in CLAIMS.items():
            facts = [fact for fact in step.sets if fact.startswith(f"{name}=")]
            facts = facts or [fact for fact in step.requires if fact.startswith(f"{name}=")]
            if facts:
                agrees = f"{name}={value}" in facts
                assert contradicted(here, says) == ("" if agrees else facts[0]), (step.id, says)
