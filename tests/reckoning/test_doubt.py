"""The doubt a figure carries, against drawing the readings at random and reckoning each draw.

The random draws are seeded; ten thousand of them settle a standard deviation to about 1 %.
"""

from __future__ import annotations

from math import exp, log
from random import Random
from statistics import stdev

import pytest

from assistant.reckoning import draining, expansion, refill, warming
from assistant.reckoning.figure import Figure
from assistant.units import Measure

DRAWS = 10_000


def doubt(figure: Figure) -> float:
    """Return one standard deviation of a figure."""
    assert figure.plus_minus is not None
    return float(figure.plus_minus.exact)


def oil_factor(density: float, celsius: float, additives: float) -> float:
    """Return the oil factor in plain floating point, its expansion scaled by what additives do."""
    change = additives * 0.6278 / density * (celsius - 15)
    return exp(-change * (1 + 0.8 * change))


def test_doubt_of_a_refill() -> None:
    """Two warm parts and a level: volumes to 2 %, temperatures to 3 °C, expansion to 10 %."""
    draw = Random(11)

    def once() -> float:
        additives, density, pour = draw.gauss(1, 0.1), draw.gauss(860, 10), draw.gauss(20, 3)
        out = 0.0
        for volume, warm in ((4.0, 70.0), (0.6, 50.0)):
            factor = oil_factor(density, draw.gauss(warm, 3), additives)
            out += draw.gauss(volume, 0.02 * volume) * factor / oil_factor(density, pour, additives)
        return out + draw.gauss(0.2, 0.05)

    figure = refill.refill(
        parts=[
            (Measure("4", "litre"), Measure("70", "celsius")),
            (Measure("0.6", "litre"), Measure("50", "celsius")),
        ],
        level_before=Measure("-0.2", "litre"),
        density15=Measure("860", "kilogram_per_cubic_metre"),
        pour_at=Measure("20", "celsius"),
    )

    assert doubt(figure) == pytest.approx(stdev(once() for _ in range(DRAWS)), rel=0.05)


def test_doubt_of_a_prediction() -> None:
    """Two readings good to 1 °C and known surroundings."""
    draw = Random(12)

    def once() -> float:
        first, last = draw.gauss(90, 1), draw.gauss(70, 1)
        rate = log((first - 20) / (last - 20)) / 10
        return log((last - 20) / (50 - 20)) / rate

    figure = warming.time_until(
        goal=Measure("50", "celsius"),
        readings=[
            (Measure("90", "celsius"), Measure("0", "minute")),
            (Measure("70", "celsius"), Measure("10", "minute")),
        ],
        surroundings=Measure("20", "celsius"),
    )

    assert doubt(figure) == pytest.approx(stdev(once() for _ in range(DRAWS)), rel=0.05)


def test_the_same_doubt_on_both_sides_cancels() -> None:
    """Density and additives act on both factors: between like temperatures they leave no doubt."""
    near = expansion.oil(
        volume=Measure("5", "litre"), at=Measure("40", "celsius"), to=Measure("40", "celsius")
    )

    from_volume_and_thermometers = ((5 * 0.02) ** 2 + 2 * (5 * 0.00075 * 3) ** 2) ** 0.5
    assert doubt(near) == pytest.approx(from_volume_and_thermometers, rel=0.02)


def test_a_drip_is_known_to_half() -> None:
    """Whatever the watch says, a drop is 0.033 to 0.05 mL: half of the figure."""
    figure = draining.still_to_come(interval=Measure("6", "second"), since_drops=Measure("10", "minute"))

    assert doubt(figure) == pytest.approx(float(figure.value.exact) / 2)
