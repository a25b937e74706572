"""Checks of a procedure whose shape is right: names agree, every step can be reached and left, gates hold.

`findings` returns every fault with its line and cure; a procedure without any runs to its end. The
figures of speech are checked where the caller knows the words: `speakable` says whether a word can be
spoken, `acted_on` whether a run of words is a sentence the assistant would act on if it heard itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import chain, islice

from assistant.dialogue.readings import KINDS as READABLE
from assistant.grammar.meaning import HAPPENINGS, KINDS, TIMER_NAMES, UNIT_NAMES
from assistant.job.procedure import (
    ENDINGS,
    LEAVE,
    STOP,
    Data,
    Procedure,
    Step,
    procedure_from_data,
)
from assistant.job.sheet import FIGURES
from assistant.shelf.procedure_laws import law_faults
from assistant.shelf.procedure_places import Places, places_of
from assistant.shelf.procedure_schema import MOST_FINDINGS, Fault, Finding, found
from assistant.shelf.procedure_words import Known, text_faults, word_faults

READINGS = READABLE - {"amount", "number"}
"""What a step may await: a bare amount or number is of the step it is said at."""
OUTCOMES = (
    *("far-less", "level-high", "plate-mismatch", "fluid-mismatch", "air-trapped", "not-reachable"),
    *("short-of-stock", "overflow-short", "overflow-over", "other-class"),
    *(f"{kind}-doubtful" for kind in ("drained", "poured", "can-left", "spilled", "torque", "temperature")),
)
"""What the assistant itself finds out, and an exit may be for."""
COOL_BY = ("cap-below", "overflow-low")
"""Figures something may have to be cooler than."""
PARTNERS = {"drip-state": "drip", "temperature-band": "temperature"}
"""Readings that answer where another is awaited."""
BANDS = frozenset(KINDS["temperature-band"].slots["band"])
ENDS = "name a step, stay, stop, park or leave"


def findings(data: Data, text: str | Places = "", known: Known | None = None) -> list[Finding]:
    """Return the faults of a procedure that passed the schema, `MOST_FINDINGS` at most.

    `text` is the file, for the lines.
    """
    places = places_of(text)
    procedure = procedure_from_data(data)
    parts: tuple[Callable[[Procedure], Iterator[Fault]], ...] = (
        _ids,
        _targets,
        _readings,
        _exits,
        _timers,
        _units,
        _references,
        text_faults,
        law_faults,
    )
    # Every part relies on what these two found in order.
    for part in parts[:2]:
        if faults := list(islice(part(procedure), MOST_FINDINGS)):
            return [found(places, *fault) for fault in faults]
    every = chain.from_iterable(part(procedure) for part in parts)
    spoken = word_faults(procedure, known) if known is not None else ()
    return [found(places, *fault) for fault in islice(chain(every, spoken), MOST_FINDINGS)]


def _ids(procedure: Procedure) -> Iterator[Fault]:
    """Step ids are unique, none is a reserved word, and the job begins with a main step."""
    seen: set[str] = set()
    for step in procedure.steps:
        if step.id in seen:
            yield (step.id,), f"two steps are called {step.id!r}", "give each its own id"
        if step.id in ENDINGS:
            yield (step.id,), f"a step cannot be called {step.id!r}", "that word is an end of its own"
        seen.add(step.id)
    if procedure.steps[0].aside:
        yield (procedure.steps[0].id,), "the first step is an aside", "begin with a main step"


def _leads(step: Step) -> list[tuple[str, str]]:
    """Return (what leads away, target) of a step's exits and findings."""
    found = [(one.on, one.then) for one in step.exits]
    return found + [(one.name, one.then) for one in step.findings]


def _targets(procedure: Procedure) -> Iterator[Fault]:
    """Every target is a step or an end, every aside is reached and has a way back."""
    steps = {step.id: step for step in procedure.steps}
    anywhere = [one.then for one in procedure.exits]
    for where, then in [("[[exit]]", one) for one in anywhere]:
        if then not in steps and then not in ENDINGS:
            yield (
                (where, then),
                f"an exit leads to {then!r}, which is no step",
                f"{ENDS}; a service without the piece confirm-plate writes exits for wrong-vehicle and -unit",
            )
    for step in procedure.steps:
        for name, then in _leads(step):
            if then not in steps and then not in ENDINGS:
                yield (
                    (step.id, name, then),
                    f"step {step.id}: {name} leads to {then!r}, which is no step",
                    ENDS,
                )
        yield from _after(step, steps)
    yield from _unreached(procedure, anywhere)


def _after(step: Step, steps: dict[str, Step]) -> Iterator[Fault]:
    """An aside names the step after it, and following those ends at a main step or an end."""
    if not step.aside:
        if step.after:
            yield (step.id, "after"), f"step {step.id} is no aside and has after", "leave after out"
        return
    if not step.after:
        yield (step.id,), f"aside {step.id} has no way back", 'give after = "STEP", or "stop"'
        return
    passed, here = [step.id], step
    while here.aside and here.after and here.after not in (STOP, LEAVE):
        if here.after not in steps:
            yield (
                (here.id, "after"),
                f"aside {here.id} goes on to {here.after!r}, which is no step",
                "name a step, stop or leave",
            )
            return
        here = steps[here.after]
        if here.id in passed:
            yield (
                (step.id, "after"),
                f"aside {step.id} goes round in a ring and has no way back",
                "let one of the ring go on to a main step",
            )
            return
        passed.append(here.id)


def _unreached(procedure: Procedure, anywhere: Sequence[str]) -> Iterator[Fault]:
    """An aside nobody is sent to is a dead text."""
    steps = {step.id: step for step in procedure.steps}
    reached = {step.id for step in procedure.steps if not step.aside} | set(anywhere)
    open_ones = list(reached)
    while open_ones:
        step = steps.get(open_ones.pop())
        targets = [then for _, then in _leads(step)] + [step.after] if step is not None else []
        for then in targets:
            if then not in reached:
                reached.add(then)
                open_ones.append(then)
    for step in procedure.steps:
        if step.id not in reached:
            yield (step.id,), f"aside {step.id} is never reached", "lead an exit or a finding to it"


def _readings(procedure: Procedure) -> Iterator[Fault]:
    """What is awaited and found is a reading with slots of the grammar, and fits the kind of step."""
    for step in procedure.steps:
        for awaited in step.awaits:
            yield from _slots(step, awaited.reading, awaited.when)
        wanted = {one.reading for one in step.awaits}
        for one in step.findings:
            yield from _slots(step, one.reading, one.when)
            if (
                one.reading in READINGS
                and PARTNERS.get(one.reading, one.reading) not in wanted | {one.reading} & wanted
            ):
                yield (
                    (step.id, one.name),
                    f"step {step.id}: finding {one.name} is of {one.reading}, which the step does not await",
                    "await it there",
                )
        yield from _kind(step)
        lacking = sorted(BANDS - set(procedure.bands))
        if "temperature" in wanted and lacking:
            yield (
                (step.id, "temperature"),
                f"step {step.id} awaits a temperature, and [bands] lacks {', '.join(lacking)}",
                "give every band a number",
            )


def _slots(step: Step, reading: str, when: object) -> Iterator[Fault]:
    if reading not in READINGS:
        yield (
            (step.id, reading),
            f"step {step.id}: there is no reading {reading!r}",
            f"known are {', '.join(sorted(READINGS))}",
        )
        return
    slots = KINDS[reading].slots
    for name, values in dict(when).items():  # type: ignore[call-overload]
        allowed = slots.get(name)
        unknown = [one for one in values if allowed is not None and allowed != ("*",) and one not in allowed]
        if allowed is None:
            yield (step.id, reading, name), f"{reading} has no slot {name!r}", f"it has {', '.join(slots)}"
        elif unknown:
            yield (
                (step.id, reading, unknown[0]),
                f"{reading}: {name} is never {unknown[0]!r}",
                f"it is one of {', '.join(allowed)}",
            )


def _kind(step: Step) -> Iterator[Fault]:
    """A step can end the way its kind says."""
    needed = [one.reading for one in step.awaits if not one.optional]
    if step.kind == "read" and not needed:
        yield (step.id,), f"step {step.id} reads nothing and would end at once", "await a reading, or kind do"
    if step.kind == "check" and ("level" not in needed or not step.mark):
        yield (step.id,), f"step {step.id} checks no level", "await a level and give mark"
    if step.kind == "pour" and "poured" not in {one.reading for one in step.awaits}:
        yield (step.id,), f"step {step.id} pours and awaits no amount", 'await "poured"'
    if step.kind == "cool" and ("temperature" not in needed or not {*step.figures} & {*COOL_BY}):
        cure = f"await temperature, and give one figure of {', '.join(COOL_BY)}"
        yield (step.id,), f"step {step.id} waits for a coolness nobody tells", cure
    if step.kind == "repeat" and not step.to:
        yield (step.id,), f"step {step.id} repeats from nowhere", 'give to = "STEP", where a round begins'
    if step.kind == "mix" and not {"capacity", "coolant-share", "coolant-left"} <= set(step.figures):
        cure = 'figures = ["capacity", "coolant-share", "coolant-left"]'
        yield (step.id,), f"step {step.id} mixes without its figures", cure
    if step.kind in ("plan", "mix", "repeat") and step.awaits:
        yield (step.id,), f"step {step.id} plans and awaits a reading", "await it in the step before"


def _exits(procedure: Procedure) -> Iterator[Fault]:
    """Every exit is for something that can be heard or found out, once; what waits has one of its own."""
    for where, exits in [("[[exit]]", procedure.exits), *((s.id, s.exits) for s in procedure.steps)]:
        seen: set[str] = set()
        for one in exits:
            if one.on not in (*HAPPENINGS, *OUTCOMES):
                yield (
                    (where, one.on),
                    f"an exit is for {one.on!r}, which nobody can say",
                    f"known are {', '.join((*HAPPENINGS, *OUTCOMES))}",
                )
            if one.on in seen:
                yield (where, one.on), f"{where}: two exits for {one.on}", "keep one"
            seen.add(one.on)
    for step in procedure.steps:
        if step.awaits and not step.exits:
            yield (
                (step.id,),
                f"step {step.id} awaits a reading and has no exit",
                "say what else may come",
            )


def _units(procedure: Procedure) -> Iterator[Fault]:
    """A step's unit is one of the procedure's, whose names can be said, and has steps of its own."""
    for unit in procedure.units:
        if unit not in UNIT_NAMES:
            known = ", ".join(UNIT_NAMES)
            yield (unit,), f"nobody can say the unit {unit!r}", f"known are {known}"
        if not any(step.unit == unit and not step.aside for step in procedure.steps):
            yield (unit,), f"no step works on the unit {unit!r}", f'give steps unit = "{unit}"'
    for step in procedure.steps:
        if step.unit and step.unit not in procedure.units:
            yield (step.id, step.unit), f"step {step.id}: {step.unit!r} is not under [units]", "name it there"
        if step.to and step.to not in {one.id for one in procedure.steps}:
            yield (step.id, step.to), f"step {step.id} repeats from {step.to!r}, which is no step", ENDS
        for figure in step.adds:
            if FIGURES.get(figure) != "volume":
                yield (
                    (step.id, figure),
                    f"step {step.id} adds {figure!r}, which is no volume",
                    "name a volume",
                )


def _timers(procedure: Procedure) -> Iterator[Fault]:
    minutes: dict[tuple[str, str], str] = {}
    for step in procedure.steps:
        timer = step.timer
        if timer is None:
            continue
        if timer.name not in TIMER_NAMES:
            yield (
                (step.id, timer.name),
                f"step {step.id}: nobody can ask for a timer {timer.name!r}",
                f"known are {', '.join(TIMER_NAMES)}",
            )
        if not 0 < float(timer.minutes) <= 240:
            yield (step.id, "minutes"), f"step {step.id}: {timer.minutes} minutes", "above 0, at most 240"
        if minutes.setdefault((timer.name, step.unit), timer.minutes) != timer.minutes:
            yield (
                (step.id, timer.name),
                f"timer {timer.name} has two lengths",
                "give it one length",
            )


def _references(procedure: Procedure) -> Iterator[Fault]:
    """Cautions, gates, labels and figures exist, and none is written for nothing."""
    used: set[str] = set()
    for step in procedure.steps:
        for caution in step.cautions:
            used.add(caution)
            if caution not in procedure.cautions:
                yield (step.id, caution), f"there is no caution {caution!r}", "write it under [cautions]"
        if step.gate:
            used.add(step.gate)
            if step.gate not in procedure.gates:
                yield (step.id, step.gate), f"there is no gate {step.gate!r}", "write it under [gates]"
        for fact in (*step.requires, *step.forbids, *((step.until,) if step.until else ())):
            if fact not in procedure.labels:
                yield (step.id, fact), f"the fact {fact!r} has no words", "write them under [labels]"
        for figure in step.figures:
            if figure not in FIGURES:
                yield (
                    (step.id, figure),
                    f"no sheet has a figure {figure!r}",
                    f"known are {', '.join(FIGURES)}",
                )
    for name in procedure.signals:
        if name not in procedure.cautions:
            yield ("[signals]", name), f"there is no caution {name!r}", "write it under [cautions]"
    for name in (*procedure.cautions, *procedure.gates):
        if name not in used:
            yield (name,), f"{name!r} is used by no step", "name it in a step, or take it out"
