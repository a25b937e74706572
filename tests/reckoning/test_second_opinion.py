"""Reference libraries as second opinions where they know the matter; they are test parts only."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from math import exp
from types import ModuleType

import pytest

from assistant.reckoning import dilution, draining, expansion, level, viscosity, warming
from assistant.units import Measure, read_measure

pytestmark = pytest.mark.full

Lacking = Callable[[str], None]


def library(name: str, lacking: Lacking) -> ModuleType:
    """Return a reference library, or stop this test as the tier asks."""
    try:
        return importlib.import_module(name)
    except ImportError:
        lacking(f"the reference library {name} is not installed (test extra)")
        raise


@pytest.mark.parametrize("celsius", [5, 15, 20, 40, 60, 80, 95])
def test_water_density(celsius: int, lacking: Lacking) -> None:
    """Kell's formula against the IAPWS formulation in CoolProp, to 0.01 %."""
    props = library("CoolProp.CoolProp", lacking)

    theirs = props.PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water")

    assert expansion.water_density("at", Measure(str(celsius), "celsius")) == pytest.approx(theirs, rel=1e-4)


@pytest.mark.parametrize("fahrenheit", [60, 100, 140, 190])
def test_glycol_density(fahrenheit: int, lacking: Lacking) -> None:
    """The handbook's 50 % by volume against CoolProp's volume based mixture, to 0.2 %."""
    props = library("CoolProp.CoolProp", lacking)

    theirs = props.PropsSI("D", "T", (fahrenheit - 32) / 1.8 + 273.15, "P", 2e5, "INCOMP::AEG[0.5]")

    ours = expansion.glycol_density("at", Measure(str(fahrenheit), "fahrenheit"))
    assert ours == pytest.approx(theirs, rel=2e-3)


def test_reference_oils_of_the_index(lacking: Lacking) -> None:
    """L and H by equations against the standard's table, all of its rows, to 0.3 %."""
    tables = library("chemicals.viscosity", lacking)

    assert len(tables.VI_nus) > 300
    for y, low, high in zip(tables.VI_nus, tables.VI_Ls, tables.VI_Hs, strict=True):
        ours = viscosity.reference_oils(float(y))
        assert ours == pytest.approx((float(low), float(high)), rel=3e-3), y


@pytest.mark.parametrize(
    ("at40", "at100"), [("73.30", "8.86"), ("22.83", "5.05"), ("104.7", "13.9"), ("35", "7.3"), ("220", "19")]
)
def test_viscosity_index(at40: str, at100: str, lacking: Lacking) -> None:
    """The index against `chemicals`, unrounded to 0.5, rounded to the same whole number or its neighbour."""
    tables = library("chemicals.viscosity", lacking)

    theirs = tables.viscosity_index(float(at40) * 1e-6, float(at100) * 1e-6, rounding=False)
    figure = viscosity.index(at40=Measure(at40, "centistokes"), at100=Measure(at100, "centistokes"))

    assert float(figure.part("unrounded").exact) == pytest.approx(theirs, abs=0.5)


def test_span_of_an_upright_tank(lacking: Lacking) -> None:
    """Volume per height of a pan against the tank geometry of `fluids`."""
    fluids = library("fluids", lacking)
    tank = fluids.TANK(D=0.4, L=1.0, horizontal=False)

    theirs = tank.V_from_h(0.256) - tank.V_from_h(0.25)
    area = Measure(f"{3.141592653589793 * 0.04:.12f}", "square_metre")
    ours = level.of_pan(area=area, height=Measure("6", "millimetre"))

    assert float(ours.value.exact) / 1000 == pytest.approx(theirs, rel=1e-6)


def test_falling_head_by_integration(lacking: Lacking) -> None:
    """The closed form of the time to drain against scipy's integration of the outflow."""
    integrate = library("scipy.integrate", lacking)
    area, hole, discharge, gravity = 0.06, 1.1310e-4, 0.6, 9.80665

    def rate(_: float, head: list[float]) -> list[float]:
        return [-discharge * hole / area * (2 * gravity * max(head[0], 0.0)) ** 0.5]

    def at_the_end(_: float, head: list[float]) -> float:
        return head[0] - 0.01

    at_the_end.terminal = True  # type: ignore[attr-defined]
    solved = integrate.solve_ivp(rate, (0, 1000), [0.08], events=at_the_end, rtol=1e-9, atol=1e-12)
    ours = draining.time_to_drain(
        area=read_measure("0.06 m2"),
        hole=read_measure("0.0001131 m2"),
        head=read_measure("80 mm"),
        head_left=read_measure("10 mm"),
        discharge=read_measure("0.6"),
    )

    assert float(ours.value.exact) == pytest.approx(float(solved.t_events[0][0]), rel=1e-6)


def test_exchange_by_integration(lacking: Lacking) -> None:
    """Fully mixed exchange against scipy's integration of dc/dV = -c / C."""
    integrate = library("scipy.integrate", lacking)

    solved = integrate.solve_ivp(lambda _, c: [-c[0] / 10.0], (0, 12), [1.0], rtol=1e-10, atol=1e-12)
    ours = dilution.line_exchange(capacity=read_measure("10 L"), volume=read_measure("12 L"))

    assert float(ours.value.exact) / 100 == pytest.approx(float(solved.y[0][-1]), rel=1e-6)


def test_three_readings_by_fitting(lacking: Lacking) -> None:
    """The end temperature of three readings against scipy's least squares on a noiseless course."""
    optimize = library("scipy.optimize", lacking)
    minutes, end, rate = [0.0, 5.0, 10.0, 15.0, 20.0], 73.0, 0.1
    readings = [end - 35 * exp(-rate * t) for t in minutes]

    fitted, _ = optimize.curve_fit(
        lambda t, ts, a, k: ts - a * 2.718281828459045 ** (-k * t), minutes, readings, p0=(70, 30, 0.12)
    )
    ours = warming.surroundings_from(
        readings=[
            (Measure(f"{warm:.9f}", "celsius"), Measure(f"{t:.0f}", "minute"))
            for warm, t in list(zip(readings, minutes, strict=True))[:3]
        ]
    )

    assert float(ours.value.exact) == pytest.approx(float(fitted[0]), abs=1e-3)
    assert float(ours.part("rate").exact) == pytest.approx(float(fitted[2]), rel=1e-4)
    assert "three-points-ill-conditioned" not in ours.notes
