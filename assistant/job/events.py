"""The facts of a job, each a frozen past-tense value with the instant it happened.

Numbers are decimal strings with their spoken unit. The journal keeps exactly these; the state is a
fold over them. A field may be added with a default; anything else needs an upcast in the journal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.job.instant import Instant


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Base of all facts."""

    at: Instant


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStarted(Event):
    """A job began; carries everything it needs in full, so that the journal alone can rebuild it."""

    job: str
    procedure: Mapping[str, object]
    sheet: Mapping[str, object]
    settings: Mapping[str, str]
    versions: Mapping[str, str]
    who: str = ""
    past: Mapping[str, object] = field(default_factory=dict)
    """What the last service of each unit was, by the unit's name, as `past.remembered` gives it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobReopened(Event):
    """The program took the job up again, after a pause, a power cut or a night."""

    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEntered(Event):
    """A step became the current one; `how` is next, back, exit, gate, out-of-order or start."""

    step: str
    how: str = "next"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepCompleted(Event):
    """A step was done; the facts its procedure says it sets are true from now on."""

    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSkipped(Event):
    """A step was left out, and why; the facts it would have set are not true."""

    step: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingHeard(Event):
    """A reading was understood; it is not standing yet."""

    reading: int
    kind: str
    value: str | None = None
    unit: str | None = None
    slots: tuple[tuple[str, str], ...] = ()
    step: str = ""
    consequence: str = "medium"
    words: str = ""
    replaces: int | None = None
    clip: str | None = None
    doubtful: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSettled(Event):
    """What was open about a reading is now known: its unit, or what it is an amount of."""

    reading: int
    unit: str | None = None
    form: str | None = None
    slots: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingStood(Event):
    """A reading became standing: by a yes, the next sentence, time, or at once (low consequence)."""

    reading: int
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingWithdrawn(Event):
    """A reading was taken back: by a correction, a disregard or a no."""

    reading: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingDoubted(Event):
    """An implausible reading was said again: it is stored as a doubtful fact and counts."""

    reading: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Event):
    """The assistant asked something; it stays open until a later fact answers it."""

    question: str
    reading: int | None = None
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionDropped(Event):
    """An open question needs no answer any more."""

    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSupplied(Event):
    """A figure the vehicle sheet lacks was given by voice or key."""

    name: str
    value: str
    unit: str
    origin: str = "mechanic"
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiguresWanted(Event):
    """The mechanic wants figures given in this job written into the vehicle's sheet: (unit key, name)."""

    figures: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GateConfirmed(Event):
    """The question that guards a hazard was answered as it must be."""

    gate: str
    step: str
    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionSpoken(Event):
    """A caution was said."""

    caution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExitTaken(Event):
    """Something else happened than the step awaited."""

    what: str
    step: str
    then: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingMade(Event):
    """What was seen decided something: what it is and where the job goes."""

    finding: str
    step: str
    then: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceGiven(Event):
    """The assistant advised a figure: with its inputs, formula and the figure as spoken."""

    advice: int
    name: str
    value: str
    unit: str
    spoken_value: str
    spoken_unit: str
    inputs: tuple[tuple[str, str], ...] = ()
    formula: str = ""
    plus_minus: str = ""
    estimate: bool = False
    notes: tuple[str, ...] = ()
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceTaken(Event):
    """The mechanic said yes to an advice."""

    advice: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRefused(Event):
    """The mechanic said no to an advice, or a correction made it void."""

    advice: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerStarted(Event):
    """A timer began to run; `of` is the unit it belongs to, where a job has several."""

    name: str
    ms: int
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerDue(Event):
    """A timer's time has come; written before it is announced, also before it is announced again."""

    name: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerSaid(Event):
    """A timer's end was announced to the last sample."""

    name: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerUnacknowledged(Event):
    """A timer's end was announced often enough, cut short each time: it is announced no more."""

    name: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerStopped(Event):
    """A timer was ended before its time."""

    name: str
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompted(Event):
    """The mechanic was silent; the assistant reminded once more."""

    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused(Event):
    """A sentence was not understood; kept so that the way out changes and no third "say again" comes."""

    reason: str
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoodBy(Event):
    """The mechanic asked for quiet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameBack(Event):
    """The mechanic is back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteTaken(Event):
    """A spoken note; its sound is kept under `clip`, or `words` says why there is none."""

    clip: str | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MechanicNamed(Event):
    """Who works on the job, told after it began."""

    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver(Event):
    """Another person goes on with the job."""

    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EmergencyCalled(Event):
    """Everything stops; timers freeze; no further prompt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLeft(Event):
    """One unit of several was left as it is, for what `why` names; the job goes on with the others."""

    of: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundBegun(Event):
    """The same change is made once more on a unit; what came out and went in is counted from none."""

    number: int
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltsBegun(Event):
    """The bolts of a flange or pan are tightened from now on, the first round from the first."""

    bolts: int
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltTightened(Event):
    """A bolt, by its number, was counted aloud in a round."""

    bolt: int
    round: int
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltRoundDone(Event):
    """A round of tightening was done; with the last one the bolts are."""

    round: int
    last: bool = False
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobParked(Event):
    """The job was left for later; the vehicle carries a tag, and `tag` says what it warns of."""

    tag: str = ""
    """no-fluid where a unit holds less than it may run with, plug-open where it only has a plug open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFinished(Event):
    """The job ended; `how` is complete, stopped or handed-back."""

    how: str
    open_points: tuple[str, ...] = field(default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class WasteHandedOver(Event):
    """Old fluid left the workshop: its kind, how much, and to whom; no job, or the one it was told in."""

    kind: str
    value: str
    unit: str
    to: str
    who: str = ""
