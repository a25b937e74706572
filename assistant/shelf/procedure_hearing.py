"""Whether what a procedure waits for can be said: each reading, exit, unit and timer in the grammar."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.grammar import Grammar
from assistant.grammar.meaning import HAPPENINGS, TIMER_NAMES, UNIT_NAMES
from assistant.job.procedure import Procedure
from assistant.shelf.procedure_schema import Fault

Op = tuple[str, str]


def hearing_faults(procedure: Procedure, grammar: Grammar) -> Iterator[Fault]:
    """Return what a procedure awaits and nobody could say in this grammar."""
    said = grammar.said
    for step in procedure.steps:
        for one in step.awaits:
            if not _sayable(said, one.reading, {}):
                cure = "add a sentence of that kind to the grammar, or await another reading"
                yield (step.id, one.reading), f"step {step.id}: no sentence says a {one.reading}", cure
            elif not _sayable(said, one.reading, one.when):
                slots = ", ".join(f"{slot} {' or '.join(values)}" for slot, values in one.when.items())
                what = f"step {step.id}: no sentence says {one.reading} with {slots}"
                yield (step.id, one.reading, *one.when), what, "await what can be said, or add a sentence"
        for leads in step.exits:
            if leads.on in HAPPENINGS and not _sayable(said, "happened", {"what": (leads.on,)}):
                yield (step.id, leads.on), f"step {step.id}: no sentence says {leads.on}", "add a sentence"
        name = step.timer.name if step.timer is not None else ""
        if name in TIMER_NAMES and not any(("name", name) in one for one in said):
            yield (step.id, name), f"no sentence names the timer {name}", "add one, or use another timer"
    for unit in procedure.units:
        if unit in UNIT_NAMES and not _sayable(said, "switch-unit", {"to": (unit,)}):
            yield (unit,), f"no sentence switches to {unit}", "add a sentence"


def _sayable(said: frozenset[frozenset[Op]], kind: str, when: Mapping[str, tuple[str, ...]]) -> bool:
    """Say whether a sentence has this kind with one of the values in each of these slots."""
    return any(
        ("kind", kind) in one
        and all(any((slot, value) in one for value in values) for slot, values in when.items())
        for one in said
    )
