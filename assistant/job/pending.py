"""What a job has under way: an open question, timers, advice; each as the state holds it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.job.instant import Instant
from assistant.units import Measure


@dataclass(frozen=True, slots=True)
class Question:
    """What the assistant asked and waits for."""

    name: str
    reading: int | None
    about: str
    at: Instant


@dataclass(frozen=True, slots=True)
class Timer:
    """A running or ended timer."""

    name: str
    started: Instant
    ms: int
    paused_ms: int = 0
    """How long it was frozen by an emergency."""
    announced: int = 0
    """How often its end was announced, or begun to be."""
    said: bool = False
    given_up: bool = False
    """No announcement of its end was heard out, and none will be made any more."""
    stopped: bool = False
    of: str = ""
    """The unit it belongs to, where a job has several."""

    @property
    def due(self) -> bool:
        """Whether its time has come."""
        return self.announced > 0

    @property
    def running(self) -> bool:
        """Whether it is neither stopped nor announced nor given up."""
        return not (self.stopped or self.said or self.given_up)

    @property
    def key(self) -> str:
        """Return what tells it from every other timer of the job."""
        return timer_key(self.name, self.of)


def timer_key(name: str, of: str = "") -> str:
    """Return the key of a timer: its name alone where it belongs to no unit of several."""
    return f"{of} {name}" if of else name


@dataclass(frozen=True, slots=True)
class Advice:
    """An advised figure and what became of it: given, taken or refused."""

    id: int
    name: str
    exact: Measure
    spoken: Measure
    estimate: bool
    plus_minus: str
    fate: str = "given"
    of: str = ""
    round: int = 1
