"""What a computation gives: a figure with its doubt, or a verdict, each with all it was made from.

Both are values for the journal, the dialogue and the command line: they carry their inputs, their
formula, its range and its source. Notes are machine keys from `NOTES`; the words for them belong to
whoever speaks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from uncertainties import nominal_value, std_dev

from assistant.errors import WrongInput
from assistant.units import Measure, Quantity, convert, for_speech, kind_of, pint_unit, plain, symbol_of

Inputs = tuple[tuple[str, str], ...]
Also = tuple[tuple[str, Measure], ...]

NOTES: Mapping[str, str] = MappingProxyType(
    {
        "level-check-compulsory": "part of it was estimated: the level check decides",
        "spill-estimated": "a spill was only estimated",
        "level-before-unknown": "the level found before is not known: this restores whatever it was",
        "off-the-stick": "the level was off the marks: the amount is only a bound",
        "temperature-unknown": "a part has no temperature: it is not corrected",
        "pour-temperature-assumed": "the new fluid is taken to be at 20 °C",
        "density-assumed": "the density is taken to be 860 kg/m³ at 15 °C",
        "thermal-correction": "the fluid was measured at another temperature than it is poured at",
        "thermal-correction-small": "the correction for temperature is under 0.05 L",
        "nothing-to-pour": "the level is still at or above full",
        "still-over": "there is more in it than there should be: let it out",
        "still-short": "there is less in it than there should be",
        "even": "in and out agree",
        "small-steps": "most of it is in: pour the rest in small steps with checks",
        "stop-pouring": "stop pouring",
        "look-for-leak": "it goes somewhere it should not: look for a leak",
        "do-not-run": "do not run this unit until it is right again",
        "would-overfill": "judged now it would end overfilled",
        "would-underfill": "judged now it would end underfilled",
        "wait-for-trickle": "some always runs out at first: wait for a trickle or drips",
        "lower-bound": "it takes at least this long",
        "film-only": "only the film on the walls: pockets that do not drain are not in it",
        "half-or-double": "known only to about half",
        "line-exchange-differs": "an exchange through the lines leaves another share",
        "perfect-mixing": "holds when the fluid is fully mixed between changes",
        "not-reachable": "what there is does not reach it",
        "three-points-ill-conditioned": "the three readings do not settle the end temperature",
        "straight-line": "taken as a straight line from the last readings: ask again",
        "extrapolated": "further than the readings reach: ask again",
        "never-gets-there": "it does not get there",
        "already-there": "it is there already",
        "below-range": "below the range of the wrench",
        "above-range": "above the range of the wrench",
        "same-number-other-unit": "the number is right in another unit",
        "new-washer": "a new washer each time",
        "class-not-unique": "more than one class holds it",
        "limited-range": "the formula holds only near the two given points",
        "drain-more": "more has to come out first",
        "check-with-refractometer": "check the mixture with a refractometer",
        "buy": "more has to be bought",
        "whichever-first": "whichever comes first",
        "sheet-decides": "only the vehicle's own data decide",
    }
)
"""Note key -> its meaning, for the command line and the record."""


@dataclass(frozen=True, slots=True)
class Formula:
    """What a figure was computed by: formula, where it holds, where it comes from."""

    text: str
    valid: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One computed figure; `plus_minus` is one standard deviation, None where the result is exact."""

    name: str
    value: Measure
    plus_minus: Measure | None
    inputs: Inputs
    formula: str
    valid: str
    source: str
    estimate: bool = False
    """Part of the input was a guess; the figure is spoken as 'about'."""
    notes: tuple[str, ...] = ()
    also: Also = ()
    """Further results of the same computation, by name."""

    def __post_init__(self) -> None:
        """Refuse a note nobody has words for."""
        _check_notes(self.notes)

    @property
    def spoken(self) -> Measure:
        """The value rounded as it would be said, its doubt considered."""
        return for_speech(self.value, self.plus_minus)

    def part(self, name: str) -> Measure:
        """Return the further result called `name`."""
        return dict(self.also)[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One judgement: a word from a short list its function documents, and what it rests on."""

    name: str
    verdict: str
    inputs: Inputs
    formula: str
    valid: str
    source: str
    estimate: bool = False
    notes: tuple[str, ...] = ()
    also: Also = ()

    def __post_init__(self) -> None:
        """Refuse a note nobody has words for."""
        _check_notes(self.notes)

    def part(self, name: str) -> Measure:
        """Return the further result called `name`."""
        return dict(self.also)[name]


def _check_notes(notes: tuple[str, ...]) -> None:
    """Raise KeyError for a note that is not in `NOTES`."""
    for note in notes:
        NOTES[note]


def _decimal(number: Any, digits: int) -> str:
    """Return the nominal value as a plain decimal string of that many significant digits."""
    return plain(Fraction(format(float(number), f".{digits}g")))


def _doubt_unit(unit: str) -> str:
    """Return the unit a plus-minus in `unit` has: of temperatures their difference."""
    if kind_of(unit) == "temperature":
        return "fahrenheit_difference" if unit == "fahrenheit" else "celsius_difference"
    return unit


def value_of(result: Quantity, unit: str) -> Measure:
    """Return the nominal value of a quantity in `unit`, to 8 significant digits."""
    return Measure(_decimal(nominal_value(result.to(pint_unit(unit)).magnitude), 8), unit)


def doubt_of(result: Quantity, unit: str) -> Measure | None:
    """Return one standard deviation of a quantity in `unit`, to 2 digits; None where it has none."""
    spread = std_dev(result.to(pint_unit(unit)).magnitude)
    return Measure(_decimal(spread, 2), _doubt_unit(unit)) if spread else None


def figure_of(
    name: str,
    result: Quantity,
    unit: str,
    *,
    inputs: Inputs,
    by: Formula,
    estimate: bool = False,
    notes: tuple[str, ...] = (),
    also: Also = (),
) -> Figure:
    """Return the figure `name` from a quantity, expressed in `unit`."""
    return Figure(
        name=name,
        value=value_of(result, unit),
        plus_minus=doubt_of(result, unit),
        inputs=inputs,
        formula=by.text,
        valid=by.valid,
        source=by.source,
        estimate=estimate,
        notes=notes,
        also=also,
    )


def exact_figure(
    name: str, value: Measure, *, inputs: Inputs, by: Formula, notes: tuple[str, ...] = (), also: Also = ()
) -> Figure:
    """Return a figure that is exact: it has no doubt of its own."""
    return Figure(
        name=name,
        value=value,
        plus_minus=None,
        inputs=inputs,
        formula=by.text,
        valid=by.valid,
        source=by.source,
        notes=notes,
        also=also,
    )


def figure_in(figure: Figure, unit: str) -> Figure:
    """Return the figure in another unit of its kind, its doubt and further results too.

    Raises WrongInput naming 'in' for a unit of another kind.
    """
    kind = kind_of(figure.value.unit)
    if kind_of(unit) != kind:
        raise WrongInput(f"in={symbol_of(unit)}: the answer is a {kind}, allowed is a unit of {kind}")
    doubt = figure.plus_minus
    if doubt is not None:
        there = convert(doubt, _doubt_unit(unit))
        doubt = Measure(_decimal(there.exact, 2), there.unit)
    return replace(
        figure,
        value=convert(figure.value, unit),
        plus_minus=doubt,
        also=tuple((name, convert(m, unit) if kind_of(m.unit) == kind else m) for name, m in figure.also),
    )


def verdict_of(
    name: str,
    verdict: str,
    *,
    inputs: Inputs,
    by: Formula,
    estimate: bool = False,
    notes: tuple[str, ...] = (),
    also: Also = (),
) -> Verdict:
    """Return the verdict `verdict` of the computation `name`."""
    return Verdict(
        name=name,
        verdict=verdict,
        inputs=inputs,
        formula=by.text,
        valid=by.valid,
        source=by.source,
        estimate=estimate,
        notes=notes,
        also=also,
    )


def told(**given: Measure | str | int | None) -> Inputs:
    """Return the inputs that were given, as (key, text) pairs; what was not given is left out."""
    return tuple((key.replace("_", "-"), str(value)) for key, value in given.items() if value is not None)
