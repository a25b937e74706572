"""The laws of the trade a procedure must keep, and that its gates can be passed at all.

An engine is started on the wheels with everybody away; a vehicle goes up with the engine off; where fluid
goes in is found and open before any goes out; the plug is confirmed and the fluid agrees with the sheet;
nothing is poured before washer, torque and old gasket are in; a level is judged in its window only; what
is opened is closed; caps and plugs are looked over last. What a step requires is made true before it.
(Common practice, no source.)
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.dialogue.steps import reading_for
from assistant.job.procedure import Procedure, Step
from assistant.shelf.procedure_schema import Fault

ENGINE_ON, ENGINE_OFF = "engine=on", "engine=off"
ON_WHEELS, ON_STANDS = "vehicle=on-wheels", "vehicle=on-stands"
LAST = "last=checked"
DRAIN_OPEN = "drain-plug=open"
HAZARDS = {
    DRAIN_OPEN: "hot fluid",
    "cap=open": "pressure and heat",
    ON_STANDS: "a load overhead",
    ENGINE_ON: "exhaust gas and moving parts",
}
OPEN = frozenset({"open", "loose", "by-hand"})
"""What a plug, cap or cock is that has to be closed again."""
COUNTED = "bolts=torqued"
"""The fact that is counted aloud."""
FILLERS = ("fill-plug=", "filler=")
"""Where fluid goes in: a plug that was loosened, or an opening that was found."""


def law_faults(procedure: Procedure) -> Iterator[Fault]:
    """Return the faults of a procedure whose references are right."""
    before: list[Step] = []
    for step in procedure.steps:
        yield from _engine_and_stands(step)
        yield from _pour(procedure, step)
        yield from _drain(step)
        yield from _level(step)
        yield from _filter(step)
        yield from _way_out(procedure, step)
        if not step.aside:
            yield from _provided(step, before)
            before.append(step)
    yield from _last(procedure)
    yield from _closed(procedure)


def _engine_and_stands(step: Step) -> Iterator[Fault]:
    if ENGINE_ON in step.sets:
        if not step.gate:
            yield (step.id,), f"step {step.id} has the engine on and no gate", 'give gate = "..."'
        if ON_WHEELS not in step.requires:
            yield (step.id,), f"step {step.id} has the engine on, maybe on stands", f'require "{ON_WHEELS}"'
    if ON_STANDS in step.sets and not {ENGINE_OFF} & {*step.requires, *step.sets}:
        yield (step.id,), f"step {step.id} raises the vehicle with the engine on", f'require "{ENGINE_OFF}"'
    for fact, hazard in HAZARDS.items():
        if fact in step.sets and not step.aside and not step.cautions:
            yield (step.id,), f"step {step.id} meets {hazard} without a caution", 'give cautions = ["..."]'


def _of_unit(procedure: Procedure, unit: str) -> list[Step]:
    return [one for one in procedure.steps if one.unit == unit]


def _pour(procedure: Procedure, step: Step) -> Iterator[Fault]:
    """A pour waits for washer and torque of the drain, for a look and for the old gasket, where awaited."""
    if step.kind != "pour" or step.aside:
        return
    others = _of_unit(procedure, step.unit)
    needs = {
        "drain-plug=torqued": ("torque", "before the torque is in"),
        "washer=new": ("washer", "before the washer is in"),
        "fluid=agrees": ("look", "before the old fluid was held against the sheet"),
        "gasket=off": ("gasket", "before the old gasket is off"),
    }
    for fact, (reading, why) in needs.items():
        awaited = [
            one
            for one in others
            if one.awaited(reading) and (reading not in ("torque", "washer") or one.plug == "drain")
        ]
        if awaited and fact not in step.requires:
            yield (step.id,), f"step {step.id} pours {why}", f'require "{fact}"'


def _drain(step: Step) -> Iterator[Fault]:
    """No drain is opened before the way in is open, the plug confirmed and no mismatch seen."""
    if DRAIN_OPEN not in step.sets or step.aside:
        return
    if not any(fact.startswith(FILLERS) for fact in step.requires):
        cure = 'require "fill-plug=loose", or "filler=found" where a tube or cap is the way in'
        yield (step.id,), f"step {step.id} opens the drain before the way in is sure", cure
    if "plug=confirmed" not in step.requires:
        yield (step.id,), f"step {step.id} opens a plug nobody confirmed", 'require "plug=confirmed"'
    if "fluid=agrees" not in step.requires:
        cure = 'require "fluid=agrees", and let a look be read before: at the stick, or at the fill hole'
        yield (step.id,), f"step {step.id} opens the drain whatever fluid is in it", cure


def _level(step: Step) -> Iterator[Fault]:
    """A level is judged warm where it is warm, idling at an overflow, settled on a stick, still at a hole."""
    reads = {one.reading for one in step.awaits}
    if step.kind == "overflow":
        if not {"temperature", "drip-state"} <= reads or step.mark != "overflow":
            cure = 'await temperature and drip-state, and give mark = "overflow"'
            yield (step.id,), f"step {step.id} judges an overflow without warmth and flow", cure
        if ENGINE_ON not in step.requires:
            yield (
                (step.id,),
                f"step {step.id} judges an overflow, maybe with the engine off",
                f'require "{ENGINE_ON}"',
            )
    if step.kind == "check" and step.mark == "hot" and "temperature" not in reads:
        yield (
            (step.id,),
            f"step {step.id} judges a hot level at any temperature",
            "await temperature before it",
        )
    if step.kind == "check" and step.mark == "full" and not step.waits:
        yield (step.id,), f"step {step.id} judges a level that has not settled", 'give waits = "wait"'
    if step.kind == "check" and step.mark == "hole" and ENGINE_OFF not in step.requires:
        yield (step.id,), f"step {step.id} judges a level at a hole while it runs", f'require "{ENGINE_OFF}"'


def _filter(step: Step) -> Iterator[Fault]:
    """A new filter goes on once the old gasket is off: two of them blow out at the first start."""
    if "filter=new" in step.sets and "gasket=off" not in step.requires:
        cure = 'require "gasket=off", as the piece "filter-in" does'
        yield (step.id,), f"step {step.id} fits a filter, maybe on the old gasket", cure


def _way_out(procedure: Procedure, step: Step) -> Iterator[Fault]:
    """What a step waits for, or an aside requires, comes true somewhere; what is forbidden can be changed."""
    ours = [one for one in procedure.steps if one.unit in ("", step.unit) or not step.unit]
    made = {fact for one in ours for fact in one.sets} | {COUNTED}
    waited = (step.until,) if step.until else ()
    for fact in (*waited, *(step.requires if step.aside else ())):
        reading = reading_for(fact)
        if fact not in made and not (reading and any(one.awaited(reading[0]) for one in ours)):
            what = f"step {step.id} waits for {fact}, which nothing makes true"
            yield (step.id, fact), what, f'let a step set it; only "{COUNTED}" is counted aloud'
    for fact in step.forbids:
        name = fact.partition("=")[0]
        seen_anew = name == "fluid" and any(one.awaited("look") for one in ours)
        if not seen_anew and not {other for other in made if other.partition("=")[0] == name} - {fact}:
            cure = f"let an aside set {name} to something else, once it is put right"
            yield (step.id, fact), f"step {step.id} forbids {fact}, which nothing can change", cure


def _closed(procedure: Procedure) -> Iterator[Fault]:
    """What a main step opens is closed by a later one: a plug by its torque, a cap or cock by being shut."""
    main = [one for one in procedure.steps if not one.aside]
    for place, step in enumerate(main):
        later = [one for one in main[place + 1 :] if one.unit in ("", step.unit)]
        for fact in step.sets:
            name, _, value = fact.partition("=")
            plug = name.removesuffix("-plug")
            if value not in OPEN or name == "filler":
                continue
            if plug != name and not any(one.awaited("torque") and one.plug == plug for one in later):
                cure = f'await a torque in a later step with plug = "{plug}"'
                yield (step.id, fact), f"step {step.id} opens the {plug} plug, and nobody closes it", cure
            shut = any(other.partition("=")[0] == name for one in later for other in one.sets)
            if plug == name and not shut:
                cure = f'let a later step set "{name}=shut"'
                yield (step.id, fact), f"step {step.id} opens the {name}, and nobody shuts it", cure


def _provided(step: Step, before: Sequence[Step]) -> Iterator[Fault]:
    """Every fact a step requires is made true by a main step before it, of its unit or of none."""
    for fact in step.requires:
        reading = reading_for(fact)
        ours = [one for one in before if one.unit in ("", step.unit) or not step.unit]
        if not any(
            fact in one.sets or fact == one.until or (reading and one.awaited(reading[0])) for one in ours
        ):
            yield (
                (step.id, fact),
                f"step {step.id} requires {fact}, which no step before it makes true",
                "let an earlier main step set it",
            )
    for timer in (step.waits,) if step.waits else ():
        if not any(one.timer is not None and one.timer.name == timer for one in before):
            yield (
                (step.id, timer),
                f"step {step.id} waits for a timer nobody starts",
                "start it in a step before",
            )


def _last(procedure: Procedure) -> Iterator[Fault]:
    """After the last pour and the last run somebody looks over caps, plugs and what was left lying."""
    main = [one for one in procedure.steps if not one.aside]
    works = [one for one in main if one.kind == "pour" or ENGINE_ON in one.sets or DRAIN_OPEN in one.sets]
    if not works:
        return
    after = main[main.index(works[-1]) + 1 :]
    checks = [one for one in after if LAST in one.sets]
    if not checks:
        cure = f'end with a step that sets "{LAST}", such as the one of the piece "close"'
        yield (works[-1].id,), f"nothing is looked over after step {works[-1].id}", cure
    for one in checks:
        if ENGINE_OFF not in one.requires:
            yield (
                (one.id,),
                f"step {one.id} looks it over, maybe with the engine on",
                f'require "{ENGINE_OFF}"',
            )
