"""The vehicle sheet: the figures of one unit of one vehicle, each with where it came from.

Every figure of the job comes from here or from the mechanic's voice; none is built in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import cast

from assistant.job.instant import Instant
from assistant.units import Measure

FIGURES: Mapping[str, str] = {
    "capacity": "volume",
    "drain-expected": "volume",
    "drain-least": "volume",
    "drain-most": "volume",
    "pan-holds": "volume",
    "run-minimum": "volume",
    "container": "volume",
    "drain-plug-torque": "torque",
    "fill-plug-torque": "torque",
    "fluid-density": "density",
    "span": "volume",
    "span-length": "length",
    "hot-low": "temperature",
    "hot-high": "temperature",
    "cold-low": "temperature",
    "cold-high": "temperature",
    "workshop": "temperature",
    "stock": "volume",
    "wrench-length": "length",
    "service-interval": "distance",
    "coolant-share": "share",
    "coolant-left": "share",
    "fluid-viscosity": "viscosity",
    "overflow-plug-torque": "torque",
    "overflow-low": "temperature",
    "overflow-high": "temperature",
    "overflow-too-much": "volume",
    "pan-bolt-torque": "torque",
    "filter-torque": "torque",
    "filter-holds": "volume",
    "cooler-holds": "volume",
    "new-wanted": "share",
    "cap-below": "temperature",
    "level-drop": "length",
    "wrench-lowest": "torque",
    "wrench-highest": "torque",
    "wrench-tolerance": "share",
    "bolt-count": "number",
    "bolt-diameter": "length",
    "friction": "number",
    "fluid-viscosity-40": "viscosity",
    "old-viscosity": "viscosity",
    "hole": "length",
    "pan-area": "area",
    "wall-width": "length",
    "wall-height": "length",
    "density-ratio": "number",
    "service-months": "months",
    "service-due": "distance",
    "distance-a-year": "distance",
}
"""Every figure a sheet may hold, and its kind of quantity."""

TEXTS = (
    "fluid-class", "fluid-grade", "plate", "drain-plug-tool", "drain-washer", "fill-washer",
    "overflow-washer", "filter", "pan-gasket",
)  # fmt: skip
LISTS = ("fluid-colours",)


AGED = frozenset({"brown", "black", "milky"})
"""Colours any fluid takes with age or trouble; they say nothing about which fluid it is."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Figures by name, texts by name, and the origin of each figure that is not the file's."""

    vehicle: str
    unit: str
    figures: Mapping[str, Measure] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    fluid_colours: tuple[str, ...] = ()
    origins: Mapping[str, str] = field(default_factory=dict)
    """Where a figure came from that the service data did not give: the mechanic, or as the sheet tells."""
    variant: str = ""
    """Which build of the unit it is, where the sheet has several."""
    file: str = ""
    """The name of its file."""

    def figure(self, name: str) -> Measure | None:
        """Return the figure `name`, or None where the sheet lacks it."""
        return self.figures.get(name)

    def may_be(self, colour: str) -> bool:
        """Say whether fluid of this colour may be the one of this unit, as far as the sheet tells."""
        return not colour or not self.fluid_colours or colour in (*self.fluid_colours, *AGED)

    def with_figure(self, name: str, measure: Measure, origin: str = "") -> Sheet:
        """Return a sheet that also holds `measure` under `name`, and where it came from."""
        origins = {**self.origins, name: origin} if origin else self.origins
        return replace(self, figures={**self.figures, name: measure}, origins=origins)


OF_TODAY = frozenset({"stock", "coolant-left", "old-viscosity", "service-due", "new-wanted"})
"""Figures that say how it is today: they belong into no sheet."""


@dataclass(frozen=True, slots=True)
class Supplied:
    """A figure the mechanic gave in a job, when, and who that was."""

    of: str
    """The key of the unit, "" where the job has but one."""
    name: str
    measure: Measure
    at: Instant
    who: str


def sheet_from_data(data: Mapping[str, object]) -> Sheet:
    """Build a sheet from checked plain data (`vehicle`, `unit`, `figures`, `texts`, `fluid-colours`)."""
    figures = cast(Mapping[str, tuple[str, str]], data.get("figures", {}))
    return Sheet(
        vehicle=str(data.get("vehicle", "")),
        unit=str(data.get("unit", "")),
        figures={name: Measure(value, unit) for name, (value, unit) in figures.items()},
        texts=dict(cast(Mapping[str, str], data.get("texts", {}))),
        fluid_colours=tuple(cast("list[str]", data.get("fluid-colours", []))),
        origins=dict(cast(Mapping[str, str], data.get("origins", {}))),
        variant=str(data.get("variant", "")),
        file=str(data.get("file", "")),
    )


def sheets_from_data(data: Mapping[str, object], units: Mapping[str, str]) -> Mapping[str, Sheet]:
    """Return the sheet of each unit of a job by its key, and under "" that of the vehicle or only unit.

    `data` is a sheet as in `sheet_from_data`; where the job has several units, `units` in it holds theirs
    by key. A unit that no sheet is of has one without figures: they are asked when they are needed.
    """
    first = sheet_from_data(data)
    told = cast(Mapping[str, Mapping[str, object]], data.get("units", {}))
    found = {
        key: sheet_from_data(told[key]) if key in told else Sheet(first.vehicle, name)
        for key, name in units.items()
    }
    return {"": first, **found}
