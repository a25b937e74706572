"""The state of a job: everything that is true of it after its events so far.

A job may work on several units of a vehicle. Facts, readings, advice and timers are of one unit each;
what is asked of the state without naming one is of the current unit. `at_unit` looks at another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.job.instant import Instant
from assistant.job.pending import Advice, Question, Timer
from assistant.job.procedure import Procedure, Step
from assistant.job.reading import NEVER, Reading
from assistant.job.sheet import OF_TODAY, Sheet, Supplied

OF_THE_JOB = frozenset({"engine", "vehicle"})
"""Facts that are of the whole vehicle, whatever unit a step works on."""


def fact_key(name: str, unit: str) -> str:
    """Return the key of a fact: its name alone where it is of the vehicle or of the only unit."""
    return name if not unit or name in OF_THE_JOB else f"{unit}/{name}"


COMPLAINTS = ("noisy", "quiet", "loud")
"""Reasons of a refusal for which the sound is to blame."""


@dataclass(frozen=True, slots=True)
class State:
    """Everything that is true of a job after its events so far."""

    job: str
    procedure: Procedure
    sheets: Mapping[str, Sheet]
    """The sheet of each unit by its key; "" is that of the vehicle, or of the only unit."""
    settings: Mapping[str, str]
    who: str
    started: Instant
    heard_at: Instant
    """When the mechanic last said anything, or a timer last spoke."""
    step_id: str = ""
    unit_id: str = ""
    """The unit worked on now or last; empty while the job has but one."""
    stood_at: Mapping[str, str] = field(default_factory=dict)
    """The step each unit was left at."""
    left: tuple[str, ...] = ()
    """Units left as they are."""
    rounds: Mapping[str, int] = field(default_factory=dict)
    """Which round of a repeated change a unit is at, where it is not the first."""
    completed: tuple[str, ...] = ()
    skipped: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[int, Reading] = field(default_factory=dict)
    question: Question | None = None
    gate_open: str = ""
    """The step whose gate was just confirmed; entering any step closes it."""
    timers: Mapping[str, Timer] = field(default_factory=dict)
    cautions: Mapping[str, Instant] = field(default_factory=dict)
    advice: Mapping[int, Advice] = field(default_factory=dict)
    findings: tuple[str, ...] = ()
    exits: tuple[str, ...] = ()
    notes: int = 0
    complaints: frozenset[str] = frozenset()
    """What was wrong with the sound and has been told: it is told once."""
    refusals: int = 0
    """How many sentences in a row were not understood; a minute without one ends the row."""
    refused_at: Instant = NEVER
    prompts: int = 0
    standing_by: bool = False
    tag: str = ""
    """What the tag on a parked vehicle warns of; empty while it is worked on."""
    frozen: Instant | None = None
    ended: str = ""
    supplied: tuple[Supplied, ...] = ()
    """Figures the mechanic gave, each the last time, oldest first."""
    offered: bool = False
    """Whether it was asked if those belong into the sheet."""
    past: Mapping[str, object] = field(default_factory=dict)
    """What the last service of each unit was, as the job was told at its start."""

    @property
    def sheet(self) -> Sheet:
        """Return the sheet of the current unit."""
        return self.sheets.get(self.unit_id) or self.sheets[""]

    @property
    def round(self) -> int:
        """Return which round of a repeated change the current unit is at, from 1."""
        return self.rounds.get(self.unit_id, 1)

    @property
    def units(self) -> tuple[str, ...]:
        """Return the keys of the units of the job as they are worked on: ("",) where there is but one."""
        worked_on = dict.fromkeys(step.unit for step in self.procedure.steps if step.unit)
        return tuple(dict.fromkeys((*worked_on, *self.procedure.units))) or ("",)

    def at_unit(self, unit: str) -> State:
        """Return the same state as seen from another unit of the job: its sheet, sums and facts."""
        return self if unit == self.unit_id else replace(self, unit_id=unit)

    def unit_name(self, unit: str | None = None) -> str:
        """Return what a unit is called where the job has several, else ""."""
        return self.procedure.units.get(self.unit_id if unit is None else unit, "")

    def for_the_sheet(self) -> tuple[Supplied, ...]:
        """Return the figures the mechanic gave that the vehicle's sheet may keep; none without a sheet."""
        if not self.sheets[""].file:
            return ()
        return tuple(one for one in self.supplied if one.name not in OF_TODAY)

    @property
    def step(self) -> Step:
        """Return the current step."""
        return self.procedure.step(self.step_id)

    def last_reading(self, *kinds: str) -> Reading | None:
        """Return the newest reading not withdrawn, of these kinds if any are named."""
        for reading in sorted(self.readings.values(), key=lambda one: -one.id):
            if not reading.withdrawn and (not kinds or reading.kind in kinds):
                return reading
        return None

    def unstanding(self) -> tuple[Reading, ...]:
        """Return the readings heard that neither stand nor are withdrawn, oldest first."""
        return tuple(one for one in self.readings.values() if not (one.standing or one.withdrawn))

    def fact(self, name: str) -> str:
        """Return the value of a fact of the current unit or the job, "" where nothing is known."""
        return self.facts.get(fact_key(name, self.unit_id), "")

    def has(self, requirement: str) -> bool:
        """Say whether a `name=value` fact of the current unit or the job is true."""
        name, _, value = requirement.partition("=")
        return self.fact(name) == value

    def last_advice(self, name: str) -> Advice | None:
        """Return the newest advice of that name for this unit and round that was not refused."""
        kept = [
            one
            for one in self.advice.values()
            if one.name == name
            and one.fate != "refused"
            and one.of == self.unit_id
            and one.round == self.round
        ]
        return kept[-1] if kept else None

    def timer(self, name: str) -> Timer | None:
        """Return the current unit's timer of that name, else the job's own."""
        own = f"{self.unit_id} {name}" if self.unit_id else name
        return self.timers.get(own) or self.timers.get(name)


def made_true(reading: Reading, state: State) -> dict[str, str]:
    """Return the facts a reading makes true when it stands: a torque, a new washer, a look, a gasket."""
    slots, told = reading.slots, {}
    if reading.kind == "torque":
        told[f"{slots.get('plug', 'drain')}-plug"] = "torqued"
    elif reading.kind == "washer" and slots.get("state") == "new-on":
        plug = state.procedure.step(reading.step).plug if reading.step else "drain"
        told["washer" if plug == "drain" else f"{plug}-washer"] = "new"
    elif reading.kind == "look":
        agrees = state.at_unit(reading.of).sheet.may_be(slots.get("colour", ""))
        told["fluid"] = "agrees" if agrees else "differs"
    elif reading.kind == "gasket":
        told["gasket"] = slots.get("state", "")
    return {fact_key(name, reading.of): value for name, value in told.items()}
