"""The procedure: the steps of a service as data, built from a checked plain mapping.

A step has a text, what it awaits, what must be true before it, what it makes true, what else can
happen and where the job goes from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import cast

Data = Mapping[str, object]

SIGNAL_WORDS = ("warning", "caution", "notice")
"""How grave a caution is: warning and caution are of people, notice of equipment alone (ANSI Z535.4)."""

STAY, STOP, PARK, LEAVE = "stay", "stop", "park", "leave"
ENDINGS = frozenset({STAY, STOP, PARK, LEAVE})
"""Targets of an exit that are no step: stay here, end the job handed back, keep it for later, leave this
unit as it is and go on with the next."""


@dataclass(frozen=True, slots=True)
class Await:
    """A reading the step waits for."""

    reading: str
    ask: str = ""
    """The question, in the procedure's language; empty: the step's own text asks."""
    many: bool = False
    """Several may come (amounts in parts); the step ends with "done"."""
    optional: bool = False
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Slot values only a reading of which answers; empty: any of its kind does."""

    def answered_by(self, slots: Mapping[str, str]) -> bool:
        """Say whether a reading of this kind with these slots is one the step waits for."""
        return all(slots.get(name) in values for name, values in self.when.items())


@dataclass(frozen=True, slots=True)
class Exit:
    """What else can happen at a step, what is said then, and where the job goes."""

    on: str
    say: str
    then: str = STAY


@dataclass(frozen=True, slots=True)
class Finding:
    """A reading with these slot values decides something."""

    name: str
    reading: str
    when: Mapping[str, tuple[str, ...]]
    say: str
    then: str = STAY
    sets: tuple[str, ...] = ()
    """Facts it makes true."""


@dataclass(frozen=True, slots=True)
class TimerPlan:
    """A timer the step starts when `on` is said, and what is asked when it ends."""

    name: str
    minutes: str
    on: str = "running"
    ask: str = ""


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long a step is expected to take beside a hand's work, in minutes, and what the time is for."""

    what: str
    """warm-up, cool-down, drain or wait."""
    least: str
    most: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step; texts are in the procedure's language and may hold `{figure}` places."""

    id: str
    say: str
    full: str = ""
    title: str = ""
    kind: str = "do"
    """do: ends with "done"; read: ends when its readings are in; plan: gives the refill advice;
    mix: gives concentrate and water; pour: ends when the advised amount is in; check: judges a level;
    overflow: judges what runs from an open plug; repeat: goes round again until enough is new."""
    unit: str = ""
    """The unit it works on, by its key in `Procedure.units`; empty: the vehicle, or the only unit."""
    plug: str = "drain"
    """The plug its washer and torque belong to."""
    awaits: tuple[Await, ...] = ()
    cautions: tuple[str, ...] = ()
    gate: str = ""
    """A question that must be answered with a yes before the step is entered."""
    requires: tuple[str, ...] = ()
    """Facts (`name=value`) that must be true before the step is entered."""
    forbids: tuple[str, ...] = ()
    """Facts that must not be true then."""
    opens: tuple[str, ...] = ()
    """Plugs that may be open although the engine runs."""
    waits: str = ""
    """A timer that must be over before anything is judged here."""
    until: str = ""
    """A fact that must be true before the step can end, such as one the mechanic counts aloud."""
    adds: tuple[str, ...] = ()
    """Figures of the sheet a plan adds to what came out: what a new filter takes up."""
    to: str = ""
    """For a repeat: the step where the next round begins."""
    tells: str = ""
    """What is reckoned and told on entering it: old-left, still-owed, oil-class or mixed-up."""
    sets: tuple[str, ...] = ()
    """Facts that completing the step makes true."""
    figures: tuple[str, ...] = ()
    """Figures of the sheet the step needs; a missing one is asked first."""
    parts: tuple[str, ...] = ()
    """New parts that are fitted when it is done."""
    tool: str = ""
    timer: TimerPlan | None = None
    lasts: Lasting | None = None
    exits: tuple[Exit, ...] = ()
    findings: tuple[Finding, ...] = ()
    aside: bool = False
    """Only reached by an exit; goes on to `after`: a step, or "stop" where the job ends there."""
    after: str = ""
    mark: str = ""
    """For level steps: hot, cold, overflow, full or hole."""

    def awaited(self, reading: str) -> Await | None:
        """Return what the step awaits under this reading's name, or None."""
        return next((one for one in self.awaits if one.reading == reading), None)


@dataclass(frozen=True, slots=True)
class Procedure:
    """A service: its steps in order, cautions and gates by name, and exits valid anywhere."""

    name: str
    title: str
    language: str
    steps: tuple[Step, ...]
    cautions: Mapping[str, str]
    gates: Mapping[str, str]
    exits: tuple[Exit, ...]
    bands: Mapping[str, str]
    """What "cold", "warm to the hand" and "hot" are taken as, in degrees Celsius: estimates."""
    labels: Mapping[str, str]
    """Words for a fact a gate requires, for the sentence that says what is missing."""
    units: Mapping[str, str] = field(default_factory=dict)
    """What each unit of a job is called, in speech and in the sheet; empty where there is but one."""
    signals: Mapping[str, str] = field(default_factory=dict)
    """Signal words of cautions; one that is not named is a warning."""
    unit: str = ""
    """The unit of a sheet it is for, where there is one."""
    waste: str = "oil"
    """The kind of what comes out, for the waste log."""
    wastes: Mapping[str, str] = field(default_factory=dict)
    """The same by unit, where units differ."""

    def waste_of(self, unit: str) -> str:
        """Return the kind of what comes out of a unit."""
        return self.wastes.get(unit, self.waste)

    def step(self, step_id: str) -> Step:
        """Return the step of that id; KeyError where there is none (a checked file has all)."""
        for step in self.steps:
            if step.id == step_id:
                return step
        raise KeyError(step_id)

    def following(self, step_id: str) -> Step | None:
        """Return the step after this one in the main order (an aside names its own), or None at an end."""
        here = self.step(step_id)
        if here.after in (STOP, LEAVE):
            return None
        if here.after:
            return self.step(here.after)
        main = [step for step in self.steps if not step.aside or step.id == step_id]
        place = main.index(here)
        return main[place + 1] if place + 1 < len(main) else None

    def preceding(self, step_id: str) -> Step | None:
        """Return the main step before this one, past those of other units; None at the first."""
        here = self.step(step_id)
        place = self.steps.index(here)
        mine = ("", here.unit) if here.unit else ("", *self.units)
        before = (one for one in reversed(self.steps[:place]) if not one.aside and one.unit in mine)
        return next(before, None)

    def block(self, step_id: str) -> tuple[Step, ...]:
        """Return the main steps of any units that stand together around a step, up to those of no unit."""
        place = self.steps.index(self.step(step_id))
        main = [one for one in self.steps if not one.aside or one.id == step_id]
        here = main.index(self.steps[place])
        first, last = here, here
        while first > 0 and main[first - 1].unit:
            first -= 1
        while last + 1 < len(main) and main[last + 1].unit:
            last += 1
        return tuple(one for one in main[first : last + 1] if not one.aside)

    def number(self, step_id: str) -> int:
        """Return the spoken number of a step, counting main steps from one (an aside: the one before it)."""
        place = self.steps.index(self.step(step_id))
        return max(1, sum(not step.aside for step in self.steps[: place + 1]))

    def exit_on(self, step_id: str, what: str) -> Exit | None:
        """Return the exit for a happening: the step's own first, then the one valid anywhere."""
        for one in (*self.step(step_id).exits, *self.exits):
            if one.on == what:
                return one
        return None

    def setting(self, fact: str, before: str = "", unit: str = "") -> Step | None:
        """Return the main step that makes `fact` true: the last one before step `before`, else the first.

        Only the steps of `unit` and those of no unit are looked at.
        """
        found = [one for one in self.steps if fact in one.sets and not one.aside and one.unit in ("", unit)]
        if before:
            place = self.steps.index(self.step(before))
            earlier = [step for step in found if self.steps.index(step) < place]
            found = earlier[-1:] or found
        return next(iter(found), None)


def _strings(data: Data, key: str) -> tuple[str, ...]:
    return tuple(str(item) for item in cast("list[object]", data.get(key, [])))


def _records(data: Data, key: str) -> list[Data]:
    return cast("list[Data]", data.get(key, []))


def _text(data: Data, key: str) -> str:
    return str(data.get(key, ""))


def _exit(data: Data) -> Exit:
    return Exit(_text(data, "on"), _text(data, "say"), _text(data, "then") or STAY)


def _slots(data: Data) -> Mapping[str, tuple[str, ...]]:
    when = cast("Mapping[str, list[str]]", data.get("when", {}))
    return {slot: tuple(values) for slot, values in when.items()}


def _finding(data: Data) -> Finding:
    return Finding(
        name=_text(data, "name"),
        reading=_text(data, "reading"),
        when=_slots(data),
        say=_text(data, "say"),
        then=_text(data, "then") or STAY,
        sets=_strings(data, "sets"),
    )


def _timer(data: Data) -> TimerPlan:
    return TimerPlan(
        _text(data, "name"), _text(data, "minutes"), _text(data, "on") or "running", _text(data, "ask")
    )


def _lasting(data: Data) -> Lasting:
    return Lasting(_text(data, "what"), _text(data, "least"), _text(data, "most"))


def _step(data: Data) -> Step:
    timer = cast("Data | None", data.get("timer"))
    lasts = cast("Data | None", data.get("lasts"))
    return Step(
        id=_text(data, "id"),
        say=_text(data, "say"),
        full=_text(data, "full"),
        title=_text(data, "title"),
        kind=_text(data, "kind") or "do",
        awaits=tuple(
            Await(
                _text(one, "reading"),
                _text(one, "ask"),
                bool(one.get("many")),
                bool(one.get("optional")),
                _slots(one),
            )
            for one in _records(data, "await")
        ),
        cautions=_strings(data, "cautions"),
        gate=_text(data, "gate"),
        requires=_strings(data, "requires"),
        sets=_strings(data, "sets"),
        parts=_strings(data, "parts"),
        figures=_strings(data, "figures"),
        tool=_text(data, "tool"),
        timer=_timer(timer) if timer is not None else None,
        lasts=_lasting(lasts) if lasts is not None else None,
        exits=tuple(_exit(one) for one in _records(data, "exit")),
        findings=tuple(_finding(one) for one in _records(data, "finding")),
        aside=bool(data.get("aside")),
        after=_text(data, "after"),
        mark=_text(data, "mark"),
        unit=_text(data, "unit"),
        plug=_text(data, "plug") or "drain",
        forbids=_strings(data, "forbids"),
        opens=_strings(data, "opens"),
        waits=_text(data, "waits"),
        until=_text(data, "until"),
        adds=_strings(data, "adds"),
        to=_text(data, "to"),
        tells=_text(data, "tells"),
    )


def procedure_from_data(data: Data) -> Procedure:
    """Build a procedure from plain data that the shelf has checked."""
    return Procedure(
        name=_text(data, "name"),
        title=_text(data, "title"),
        language=_text(data, "language") or "en",
        steps=tuple(_step(one) for one in _records(data, "step")),
        cautions=cast("Mapping[str, str]", data.get("cautions", {})),
        gates=cast("Mapping[str, str]", data.get("gates", {})),
        exits=tuple(_exit(one) for one in _records(data, "exit")),
        bands=cast("Mapping[str, str]", data.get("bands", {})),
        labels=cast("Mapping[str, str]", data.get("labels", {})),
        units=cast("Mapping[str, str]", data.get("units", {})),
        signals=cast("Mapping[str, str]", data.get("signals", {})),
        unit=_text(data, "unit"),
        waste=_text(data, "waste") or "oil",
        wastes=cast("Mapping[str, str]", data.get("wastes", {})),
    )
