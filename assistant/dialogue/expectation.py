"""What the job awaits now: the kinds of sentence that answer it, for the ear and for "list the words"."""

from __future__ import annotations

from assistant.job import commands
from assistant.job.state import State

ANSWERS = {
    "confirm": ("yes", "no", "correction"),
    "implausible": ("yes", "no", "correction"),
    "which-system": ("which-system",),
    "which-unit": ("unit-tail",),
    "which-measure": ("which-system",),
    "which-form": ("which-form",),
    "which-plug": ("which-plug",),
    "gate": ("all-clear", "no"),
    "advice": ("yes", "no", "correction"),
    "finish": ("yes", "no"),
    "repeat": ("yes", "no"),
    "keep-figures": ("yes", "no"),
    "timer": ("yes", "no"),
    "skip": ("skip",),
    "note": (),
}


def expected_kinds(state: State) -> tuple[str, ...]:
    """Return the kinds of meaning that answer what is open, most wanted first."""
    question = state.question
    if state.frozen is not None:
        return ("all-clear", "im-back")
    if state.standing_by:
        return ("im-back",)
    if question is not None and question.name == "figure":
        return ("number", "torque", "temperature", "amount")
    if question is not None and question.name == "gate":
        starts = commands.ENGINE_ON in state.procedure.step(question.about).sets
        # A start is let go by the words for it alone: "yes" is said too often, and to others.
        return ANSWERS["gate"] if starts else ("yes", *ANSWERS["gate"])
    if question is not None:
        kinds = ANSWERS[question.name]
        reading = state.readings.get(question.reading) if question.reading is not None else None
        return (*kinds, reading.kind) if reading is not None else kinds
    if not state.step_id:
        return ()
    step = state.step
    needed = commands.missing(state, step)
    wanted = needed or tuple(one.reading for one in step.awaits)
    wanted += tuple(other for one in wanted for other in commands.INSTEAD.get(one, ()))
    ends = () if needed and step.kind in ("read", "overflow", "cool") else ("done", "next")
    running = ("running",) if step.timer is not None and step.timer.on == "running" else ()
    bolts = ("bolt", "bolt-round") if state.fact("bolt-round") else ()
    return (*running, *bolts, *wanted, *ends)
