"""The laws of the trade a procedure must keep, and that its gates can be passed at all.

An engine is started on the wheels with everybody away; a vehicle goes up with the engine off; nothing
is poured before the washer and the torque are in; what a step requires is made true before it.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.dialogue.steps import PROVIDERS
from assistant.job.procedure import Procedure, Step
from assistant.shelf.procedure_schema import Fault

ENGINE_ON, ENGINE_OFF = "engine=on", "engine=off"
ON_WHEELS, ON_STANDS = "vehicle=on-wheels", "vehicle=on-stands"


def law_faults(procedure: Procedure) -> Iterator[Fault]:
    """Return the faults of a procedure whose references are right."""
    before: list[Step] = []
    for step in procedure.steps:
        yield from _engine_and_stands(step)
        yield from _pour(procedure, step)
        if not step.aside:
            yield from _provided(step, before)
            before.append(step)


def _engine_and_stands(step: Step) -> Iterator[Fault]:
    if ENGINE_ON in step.sets:
        if not step.gate:
            yield (step.id,), f"step {step.id} has the engine on and no gate", 'give gate = "..."'
        if ON_WHEELS not in step.requires:
            yield (step.id,), f"step {step.id} has the engine on, maybe on stands", f'require "{ON_WHEELS}"'
    if ON_STANDS in step.sets and not {ENGINE_OFF} & {*step.requires, *step.sets}:
        yield (step.id,), f"step {step.id} raises the vehicle with the engine on", f'require "{ENGINE_OFF}"'


def _pour(procedure: Procedure, step: Step) -> Iterator[Fault]:
    """A pour waits for every washer and every torque the procedure awaits."""
    if step.kind != "pour":
        return
    awaited = {one.reading for other in procedure.steps for one in other.awaits}
    if "torque" in awaited and not any(fact.endswith("-plug=torqued") for fact in step.requires):
        yield (step.id,), f"step {step.id} pours before the torque is in", 'require "drain-plug=torqued"'
    if "washer" in awaited and "washer=new" not in step.requires:
        yield (step.id,), f"step {step.id} pours before the washer is in", 'require "washer=new"'


def _provided(step: Step, before: list[Step]) -> Iterator[Fault]:
    """Every fact a step requires is made true by a main step before it."""
    for fact in step.requires:
        kind = PROVIDERS.get(fact)
        makers = [one for one in before if fact in one.sets or (kind is not None and one.awaited(kind))]
        if not makers:
            yield (
                (step.id, fact),
                f"step {step.id} requires {fact}, which no step before it makes true",
                "let an earlier main step set it",
            )
