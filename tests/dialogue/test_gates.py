"""Every gate of every service tried against: refused with its reason, then done right.

What guards a step is taken from the service itself: the facts it requires, its question, its timer, what it
counts. For each the step that makes it true is left out, and the work goes on until the guarded step is
held; then what was left out is done, and the step is entered. (The gates are common practice, no source.)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from assistant.dialogue.steps import reading_for
from assistant.job import events as e
from assistant.job.procedure import Step
from tests.dialogue.straight import Run, items, lines, service_of, services
from tests.straight_job import say


@dataclass(frozen=True)
class Case:
    """What is left out of a service, and which step is held for it."""

    service: str
    fact: str
    makers: tuple[str, ...]
    """The steps that make it true, from where it is not true on."""
    held: str
    """The first step that requires it."""

    def __str__(self) -> str:
        return f"{self.service} {self.held} {self.fact}"


def guarded(name: str) -> Iterator[Case]:
    """Yield every fact a step of the straight run is the first to require, of each unit apart."""
    main = [one for one in service_of(name).steps if not one.aside and one.id in lines(name)]
    for place, held in enumerate(main):
        for fact in held.requires:
            before = [one for one in main[:place] if one.unit in ("", held.unit)]
            known, _, value = fact.partition("=")
            undone = [at for at, one in enumerate(before) if any(_other(s, known, value) for s in one.sets)]
            before = before[max(undone, default=-1) + 1 :]
            makers = [at for at, one in enumerate(before) if makes(one, fact)]
            if makers and not any(fact in one.requires for one in before[makers[0] :]):
                yield Case(name, fact, tuple(before[at].id for at in makers), held.id)


def _other(fact: str, name: str, value: str) -> bool:
    return fact.partition("=")[0] == name and fact.partition("=")[2] != value


def makes(step: Step, fact: str) -> bool:
    """Say whether a step makes a fact true: it sets it, counts it, or waits for its reading."""
    reading = reading_for(fact)
    if reading is None:
        return fact in step.sets or step.until == fact
    kind, slots = reading
    plug = fact.partition("=")[0].removesuffix("-plug").removesuffix("-washer") if "-" in fact else "drain"
    waits = step.awaited(kind)
    fits = waits is not None and waits.answered_by({**slots, "colour": "red"})
    return fits and (kind not in ("torque", "washer") or step.plug == plug)


CASES = [one for name in services() for one in guarded(name)]


@pytest.mark.full
@pytest.mark.parametrize("case", CASES, ids=str)
def test_what_a_step_requires_holds_it_until_it_is_done(case: Case) -> None:
    """Left out, it is missed by name; the job leads to where it is done, and goes on from there."""
    run, service = Run(case.service), service_of(case.service)
    left = [service.step(one) for one in case.makers]
    facts = {case.fact} | {fact for one in left for fact in one.sets if fact in service.labels}
    keys: list[str] = []
    for _ in range(100):
        assert run.step != case.held, f"{case.held} was entered without {case.fact}"
        first = run.step in case.makers and run.step not in run.left
        keys = leave_out(run) if first else run.do_step()
        if "held" in keys and any(service.labels[fact] in " ".join(run.spoken) for fact in facts):
            break
    assert "held" in keys, f"{case.held} was never held for {case.fact}"
    assert not entered(run, case.held), f"{case.held} was entered without {case.fact}"
    for _ in range(100):
        if entered(run, case.held):
            return
        run.do_step()
    raise AssertionError(f"{case.held} is never entered any more, the job stands at {run.step}")


def leave_out(run: Run) -> list[str]:
    """Skip the current step by voice; return the keys of the replies."""
    run.left.append(run.step)
    run.bench.forget()
    keys = run.bench.hear("skip step not needed")
    run.spoken = list(run.bench.sentences)
    return keys


def entered(run: Run, step: str) -> bool:
    """Say whether a step was entered after something was left out."""
    skipped = False
    for event in run.bench.history:
        skipped = skipped or isinstance(event, e.StepSkipped)
        if skipped and isinstance(event, e.StepEntered) and event.step == step:
            return True
    return False


# ---------------------------------------------------------------- questions, timers, fluid, another fluid


@pytest.mark.full
@pytest.mark.parametrize("name", services())
def test_every_question_that_guards_a_step_holds_it(name: str) -> None:
    """Neither "no" nor "next step" nor "done" opens it: only the answer it asks for."""
    run, asked = Run(name), set[str]()
    for item in items(name):
        question = run.bench.session.state.question
        if question is not None and question.name == "gate":
            asked.add(question.about)
            for line in ("no", "next step", "that is done"):
                assert run.bench.hear(line) == ["holding"], (question.about, line)
                assert run.bench.session.state.question == question
            assert question.about not in [one.step for one in entries(run)][-1:]
        say(run.bench, item)
    assert run.bench.session.state.ended == "complete"
    assert asked == {one.id for one in service_of(name).steps if one.gate and one.id in lines(name)}


def entries(run: Run) -> list[e.StepEntered]:
    """The steps entered so far, in order."""
    return [event for event in run.bench.history if isinstance(event, e.StepEntered)]


WAITED = [
    (name, step.id) for name in services() for step in service_of(name).steps if step.waits and not step.aside
]


@pytest.mark.full
@pytest.mark.parametrize(("name", "held"), WAITED, ids=["-".join(one) for one in WAITED])
def test_a_step_that_waits_for_a_timer_is_not_entered_before(name: str, held: str) -> None:
    """A level that has not settled is not read, hot coolant not opened: the minutes left are told."""
    run, service = Run(name), service_of(name)
    timed = [one for one in service.steps if one.timer and one.timer.name == service.step(held).waits]
    run.to(timed[0].id)
    assert "held-by-timer" in run.bench.hear("done")
    assert run.step == timed[0].id

    assert timed[0].timer is not None
    run.bench.wait(float(timed[0].timer.minutes) * 60 + 5)
    for _ in range(5):
        if run.step == held:
            return
        run.bench.hear(run.go_on())
    raise AssertionError(f"the job stands at {run.step}")


POURED = [(name, step.unit) for name in services() for step in service_of(name).steps if step.kind == "pour"]


@pytest.mark.full
@pytest.mark.parametrize(("name", "unit"), POURED, ids=["-".join(one) for one in POURED])
def test_no_engine_runs_on_too_little(name: str, unit: str) -> None:
    """With a fifth of a litre in, the engine is refused; with the rest in, it may be started."""
    run, service = Run(name), service_of(name)
    pour = next(one for one in service.steps if one.kind == "pour" and one.unit == unit)
    run.to(pour.id)
    run.visits[pour.id] = 1
    drop(run)
    for _ in range(120):
        if "held-by-fluid" in run.do_step():
            break
    else:
        raise AssertionError("the engine was never refused for want of fluid")
    assert not [one for one in entries(run) if starts(service.step(one.step)) and after(run, one, pour.id)]
    assert run.step == pour.id
    go = run.bench.session.state.at_unit(unit).last_advice("refill")
    assert go is not None
    rest = float(go.spoken.value) - 0.2
    run.bench.hear(f"another {rest:.1f} {'litres' if go.spoken.unit == 'litre' else go.spoken.unit}")
    for _ in range(120):
        if any(starts(service.step(one.step)) and after(run, one, pour.id) for one in entries(run)):
            return
        run.bench.hear(run.go_on()) if run.step == pour.id else run.do_step()
    raise AssertionError(f"the engine is never started any more, the job stands at {run.step}")


def drop(run: Run) -> None:
    """Pour a fifth of a litre and call it done, whatever is said to it."""
    run.bench.hear("poured 0.2 litres")
    step = run.step
    for _ in range(3):
        if run.step == step:
            run.bench.hear(run.go_on())


def starts(step: Step) -> bool:
    """Say whether an engine is started at a step."""
    return "engine=on" in step.sets


def after(run: Run, entry: e.StepEntered, pour: str) -> bool:
    """Say whether a step was entered after the first pour."""
    told = entries(run)
    return told.index(entry) > [one.step for one in told].index(pour)


STRANGE = {"automatic": "honey", "continuously": "red", "twin": "green", "transfer": "green"}
"""A colour the sheets of the conversations do not name, by the first word of the service; else red."""


@pytest.mark.full
@pytest.mark.parametrize("name", services())
def test_a_strange_fluid_stops_before_the_plug_is_out_and_before_any_pour(name: str) -> None:
    """Told and confirmed, nothing is drained; called the wrong unit, nothing is opened at all."""
    run, service = Run(name), service_of(name)
    first = next(one for one in service.steps if one.awaited("look"))
    opened = {one.id for one in service.steps if {"drain-plug=open", "cock=open"} & set(one.sets)}
    run.to(first.id)
    run.bench.hear(STRANGE.get(name.partition("-")[0], "red"))
    run.bench.hear("yes")
    taken = [event for event in run.bench.history if isinstance(event, e.ExitTaken)]
    assert [one.what for one in taken] == ["fluid-mismatch"]
    assert service.step(run.step).aside

    run.bench.hear("wrong gearbox")
    for _ in range(6):
        if not run.bench.session.state.ended:
            run.bench.hear(run.go_on())
    of_unit = {one.id for one in service.steps if one.unit == first.unit}
    assert not opened & of_unit & {one.step for one in entries(run)}
    assert not [one for one in entries(run) if service.step(one.step).kind == "pour"]
