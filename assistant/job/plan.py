"""The plan of a job as a value: what it needs before it begins, amounts from the least to the most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.units import Measure


@dataclass(frozen=True, slots=True)
class Span:
    """From the least to the most, in one unit."""

    least: Measure
    most: Measure


@dataclass(frozen=True, slots=True)
class Part:
    """A new part: its name, how many, of which unit and plug, and how the sheet describes it."""

    name: str
    """washer, filter, filter-gasket or pan-gasket."""
    count: int
    unit: str
    plug: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Bought:
    """So many containers of one size."""

    count: int
    size: Measure


@dataclass(frozen=True, slots=True)
class Fluid:
    """What has to go into a unit."""

    unit: str
    what: str
    """fluid, concentrate or water."""
    kind: str
    """The class the sheet calls for."""
    amount: Span


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy of one fluid, for the most that all units together may take, less what is in stock."""

    what: str
    kind: str
    units: tuple[str, ...]
    need: Measure
    stock: Measure | None
    buy: tuple[Bought, ...]
    leftover: Measure


@dataclass(frozen=True, slots=True)
class Waste:
    """Old fluid of one kind."""

    kind: str
    amount: Span


@dataclass(frozen=True, slots=True)
class Pan:
    """Whether the pan takes what may come out of a unit at once: enough, too-small or unknown."""

    unit: str
    verdict: str
    holds: Measure | None
    most: Measure


@dataclass(frozen=True, slots=True)
class Lacking:
    """A figure the job needs and the sheet of a unit lacks."""

    unit: str
    figure: str


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything a job needs before it begins."""

    title: str
    vehicle: str
    units: tuple[str, ...]
    rounds: Mapping[str, int]
    """How often each unit is changed, where it is more than once."""
    tools: tuple[str, ...]
    torques: Span | None
    wrench: str
    """fits, below-range, above-range, or unknown where the sheet tells no range."""
    parts: tuple[Part, ...]
    fluids: tuple[Fluid, ...]
    purchases: tuple[Purchase, ...]
    waste: tuple[Waste, ...]
    pans: tuple[Pan, ...]
    times: Mapping[str, Span]
    """By what is waited for: drain, warm-up, cool-down, wait, work."""
    time: Span
    lacking: tuple[Lacking, ...]
