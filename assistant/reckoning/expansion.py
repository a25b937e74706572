"""Thermal expansion: how much room the same fluid takes at another temperature.

Oil: a = 0.6278 / rho15, dT = t - 15 °C, factor = V15 / Vt = exp(-a dT (1 + 0.8 a dT)): the 15 °C form
for lubricating oils of the petroleum measurement tables (54D; ISO 91, ASTM D1250). Densities 800 to
1164 kg/m³, -18 to 150 °C, 125 °C where the density is 824 or less. The constant stands in several
public codes; the printed table was not seen. Additives raise the expansion: 10 % on it is carried.

Coolant of half ethylene glycol by volume: a handbook's densities, 4.4 to 98.9 °C, read off linearly.
Water: Kell's density formula, 0 to 99 °C at one atmosphere.

Volumes and temperatures in, the volume at the other temperature out. Raises WrongInput naming the key
outside those ranges.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from uncertainties import nominal_value, ufloat, umath

from assistant.errors import WrongInput
from assistant.reckoning.figure import Figure, Formula, figure_of, told
from assistant.reckoning.given import checked, plain_quantity, read, refuse, speaking_unit, uncertain
from assistant.units import UNITS, Measure, Quantity, pint_unit

OIL = Formula(
    "V_to = V_at * F(at) / F(to); F(t) = exp(-a dT (1 + 0.8 a dT)), a = 0.6278 / density15, dT = t - 15 °C",
    "lubricating oils, 800 to 1164 kg/m³ at 15 °C, -18 to 150 °C (125 °C up to 824 kg/m³)",
    "petroleum measurement table 54D form (ISO 91, ASTM D1250), constant as in public codes",
)
COOLANT = Formula(
    "V_to = V_at * density(at) / density(to), density from the table by straight lines",
    "50 % ethylene glycol by volume, 4.4 to 98.9 °C",
    "ASHRAE handbook densities of aqueous ethylene glycol, 50 % by volume",
)
WATER = Formula(
    "V_to = V_at * density(at) / density(to), Kell's density of water",
    "water at one atmosphere, 0 to 99 °C",
    "Kell 1975, J. Chem. Eng. Data 20, 97 (constants from memory, checked against CoolProp)",
)

_K1 = UNITS.Quantity(0.6278, "kilogram / metre ** 3 / delta_degC")
_REFERENCE = UNITS.Quantity(15.0, "degC")
_ADDITIVES = ufloat(1.0, 0.10)
_ASSUMED_DENSITY, _DENSITY_SPREAD = 860.0, 20.0

# °F, lb/ft3
_GLYCOL = (
    (40, 67.47),
    (60, 67.20),
    (70, 67.05),
    (80, 66.90),
    (100, 66.55),
    (140, 65.75),
    (180, 64.80),
    (190, 64.54),
    (200, 64.27),
    (210, 63.99),
)


def density_or_assumed(density15: Measure | None) -> tuple[Quantity, tuple[str, ...]]:
    """Return the density at 15 °C, or 860 +- 20 kg/m³ and the note that it is assumed.

    It hardly matters: 840 against 900 is 0.017 L on 5.5 L drained at 80 °C.
    """
    if density15 is None:
        return uncertain(_ASSUMED_DENSITY, _DENSITY_SPREAD, "kilogram_per_cubic_metre"), ("density-assumed",)
    return read("density15", density15, "kilogram_per_cubic_metre", "800", "1164"), ()


def oil_factor(density15: Quantity, temperature: Quantity, key: str = "temperature") -> Any:
    """Return V15 / Vt of an oil, a pure number with its doubt; raises WrongInput outside the range."""
    density, warm = nominal_value(density15.m_as("kg/m**3")), nominal_value(temperature.m_as("degC"))
    top = 125.0 if density <= 824.0 else 150.0
    if not -18.0 <= warm <= top:
        raise WrongInput(f"{key}={warm:g} °C: allowed is from -18 °C up to {top:g} °C at this density")
    change = (_K1 / density15 * (temperature - _REFERENCE)).m_as("dimensionless") * _ADDITIVES
    return umath.exp(-change * (1 + 0.8 * change))


def oil(*, volume: Measure, at: Measure, to: Measure, density15: Measure | None = None) -> Figure:
    """Return what `volume` of oil measured `at` a temperature takes at the temperature `to`."""
    density, notes = density_or_assumed(density15)
    amount = read("volume", volume, "litre", "0", "1000")
    warm = read("at", at, "celsius", "-18", "150")
    other = read("to", to, "celsius", "-18", "150")
    result = amount * oil_factor(density, warm, "at") / oil_factor(density, other, "to")
    inputs = told(volume=volume, at=at, to=to, density15=density15)
    return figure_of("oil-volume", result, speaking_unit(volume), inputs=inputs, by=OIL, notes=notes)


def glycol_density(key: str, temperature: Measure) -> float:
    """Return the density in kg/m³ of coolant with half ethylene glycol by volume."""
    warm = float(checked(key, temperature, "fahrenheit", "40", "210").exact)
    for (low, dense), (high, thin) in pairwise(_GLYCOL):
        if warm <= high:
            return (dense + (thin - dense) * (warm - low) / (high - low)) * 16.018463374
    raise refuse(key, temperature, "allowed is from 4.4 °C up to 98.9 °C")


def water_density(key: str, temperature: Measure) -> float:
    """Return the density of water in kg/m³ at one atmosphere, 0 to 99 °C."""
    t = float(checked(key, temperature, "celsius", "0", "99").exact)
    above = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return above / (1 + 16.879850e-3 * t)


def coolant(*, volume: Measure, at: Measure, to: Measure) -> Figure:
    """Return what `volume` of half-glycol coolant measured `at` a temperature takes at `to`."""
    ratio = ufloat(glycol_density("at", at) / glycol_density("to", to), 0.001)
    amount = read("volume", volume, "litre", "0", "1000")
    inputs = told(volume=volume, at=at, to=to)
    return figure_of("coolant-volume", amount * ratio, speaking_unit(volume), inputs=inputs, by=COOLANT)


def water(*, volume: Measure, at: Measure, to: Measure) -> Figure:
    """Return what `volume` of water measured `at` a temperature takes at `to`."""
    ratio = water_density("at", at) / water_density("to", to)
    amount = read("volume", volume, "litre", "0", "1000")
    inputs = told(volume=volume, at=at, to=to)
    return figure_of("water-volume", amount * ratio, speaking_unit(volume), inputs=inputs, by=WATER)


def factor(*, at: Measure, density15: Measure | None = None) -> Figure:
    """Return the volume correction factor V15 / Vt of an oil at the temperature `at`."""
    density, notes = density_or_assumed(density15)
    result = UNITS.Quantity(oil_factor(density, read("at", at, "celsius", "-18", "150")), pint_unit("one"))
    return figure_of(
        "oil-factor", result, "one", inputs=told(at=at, density15=density15), by=OIL, notes=notes
    )


def workshop(pour_at: Measure | None) -> tuple[Quantity, tuple[str, ...]]:
    """Return the temperature new fluid is poured at, or 20 +- 5 °C and the note that it is assumed."""
    if pour_at is None:
        return uncertain(20.0, 5.0, "celsius"), ("pour-temperature-assumed",)
    return read("pour_at", pour_at, "celsius", "-18", "100"), ()


def litres(number: float) -> Quantity:
    """Return an exact number of litres as a quantity."""
    return plain_quantity(number, "litre")
