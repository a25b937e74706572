"""Expansion: the full algorithm against its published examples, the short form against the full one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.reckoning import expansion, expansion_full
from assistant.reckoning.given import exact
from assistant.units import Measure

# Worked examples 1 to 6 of section 11.1.6.1 of the 2004 standard, as a public package's tests quote them
# (published, seen): density at 60 °F, °F, K0 K1 K2, factor.
WATER_60F = 999.016


def api(degrees: float) -> float:
    """Return the density in kg/m³ at 60 °F for a gravity in API degrees."""
    return 141.5 / (degrees + 131.5) * WATER_60F


EXAMPLES = [
    (api(17.785), -27.7, (341.0957, 0.0, 0.0), 1.033011591958),
    (api(-10.0), 301.93, (341.0957, 0.0, 0.0), 0.938051116886),
    (api(19.4), 48.04, (103.872, 0.2701, 0.0), 1.004858068990),
    (0.7943 * WATER_60F, 85.0, (330.301, 0.0, 0.0), 0.986832406683),
    (api(48.0015), 55.9, (1489.067, 0.0, -0.0018684), 1.002182725702),
    (657.3, 27.3, (192.4571, 0.2438, 0.0), 1.026475833518),
]

# 54D form at 15 °C, recomputed: density, then the factor at 0, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100 °C.
TEMPERATURES = (0, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100)
GRID = {
    850: (1.01104, 0.99630, 0.99260, 0.98889, 0.98144, 0.97396, 0.96646, 0.95892, 0.95137, 0.94379, 0.93619),
    860: (1.01091, 0.99635, 0.99268, 0.98901, 0.98165, 0.97426, 0.96685, 0.95941, 0.95194, 0.94445, 0.93695),
    870: (1.01079, 0.99639, 0.99277, 0.98914, 0.98187, 0.97456, 0.96723, 0.95988, 0.95250, 0.94510, 0.93768),
    890: (1.01055, 0.99647, 0.99293, 0.98939, 0.98228, 0.97514, 0.96798, 0.96079, 0.95358, 0.94635, 0.93910),
}


def factor(density: float, celsius: float) -> float:
    """Return the short form's factor as a float."""
    dense = exact(
        "density", Measure(f"{density:.3f}", "kilogram_per_cubic_metre"), "kilogram_per_cubic_metre"
    )
    warm = exact("temperature", Measure(f"{celsius:.6f}", "celsius"), "celsius")
    return float(expansion.oil_factor(dense, warm).nominal_value)


@pytest.mark.parametrize(("density", "fahrenheit", "constants", "published"), EXAMPLES)
def test_full_algorithm_gives_the_standards_examples(
    density: float, fahrenheit: float, constants: tuple[float, float, float], published: float
) -> None:
    """The six worked examples come out to all twelve printed digits."""
    assert expansion_full.factor(density, fahrenheit, constants) == pytest.approx(published, abs=1e-12)


@pytest.mark.parametrize("density", sorted(GRID))
def test_short_form_gives_its_table(density: int) -> None:
    """The factors recomputed independently, to their five digits."""
    found = [factor(density, t) for t in TEMPERATURES]

    assert found == pytest.approx(GRID[density], abs=1e-5)


@pytest.mark.parametrize("density", [820.0, 850.0, 870.0, 900.0, 950.0])
@pytest.mark.parametrize("celsius", [0.0, 40.0, 60.0, 80.0, 100.0])
def test_short_form_agrees_with_the_full_one(density: float, celsius: float) -> None:
    """Between 20 °C and another temperature they differ by less than 6 ppm (density at 15 for 60 °F)."""
    short = factor(density, 20.0) / factor(density, celsius)
    at60 = density * expansion_full.factor(density, 59.0) ** -1
    full = expansion_full.factor(at60, 68.0) / expansion_full.factor(at60, celsius * 1.8 + 32)

    assert short == pytest.approx(full, rel=6e-6)


def test_customary_constant_is_the_metric_one() -> None:
    """K1 per °F times 1.8 is K1 per °C of the 15 °C form (published, seen)."""
    assert expansion_full.LUBRICANT[1] * 1.8 == pytest.approx(0.6278, abs=5e-6)


@pytest.mark.parametrize(
    ("density", "fahrenheit"), [(469.0, 60.0), (1202.0, 60.0), (850.0, -59.0), (850.0, 303.0)]
)
def test_full_algorithm_refuses_what_it_does_not_cover(density: float, fahrenheit: float) -> None:
    """Outside its ranges it gives no number."""
    with pytest.raises(WrongInput, match="allowed is from"):
        expansion_full.factor(density, fahrenheit)


def litres(value: float) -> Measure:
    """Return litres to a thousandth."""
    return Measure(f"{value:.3f}", "litre")


def celsius(value: float) -> Measure:
    """Return whole degrees."""
    return Measure(f"{value:.0f}", "celsius")


@settings(max_examples=25, deadline=None)
@given(
    volume=st.floats(0.1, 20),
    warm=st.integers(-10, 120),
    other=st.integers(-10, 120),
    density=st.integers(830, 1000),
)
def test_oil_there_and_back(volume: float, warm: int, other: int, density: int) -> None:
    """Warming and cooling back gives the volume; warmer is more; the same temperature changes nothing."""
    dense = Measure(str(density), "kilogram_per_cubic_metre")

    there = expansion.oil(volume=litres(volume), at=celsius(warm), to=celsius(other), density15=dense)
    back = expansion.oil(volume=there.value, at=celsius(other), to=celsius(warm), density15=dense)

    assert float(back.value.exact) == pytest.approx(float(litres(volume).exact), rel=1e-6)
    moved = there.value.exact - litres(volume).exact
    assert (moved > 0) == (other > warm) or other == warm
    assert (moved == 0) == (other == warm)


@pytest.mark.parametrize("fluid", [expansion.coolant, expansion.water])
def test_other_fluids_grow_when_warmed(fluid: object) -> None:
    """From 10 to 90 °C by 10: every step is more than the one before."""
    assert callable(fluid)
    found = [
        fluid(volume=Measure("1", "litre"), at=celsius(10), to=celsius(t)).value.exact
        for t in range(10, 91, 10)
    ]

    assert found == sorted(set(found))
