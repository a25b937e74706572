"""Viscosity: its course with temperature, its index, and what a mixture has.

Course (ASTM D341, Walther): log10 log10 (v + 0.7) = A - B log10 T(K) through two points; v in cSt from
2 up, near the two points and well above the pour point; oils with index improvers deviate when cold.
Index (ASTM D2270): U at 40 °C, Y at 100 °C; VI = 100 (L - U) / (L - H), and where U is under H
(10^N - 1) / 0.00715 + 100, N = (log H - log U) / log Y; L and H from the standard's equations in Y.
Mixture: blending number 14.534 ln ln (v + 0.8) + 10.975, averaged over the shares; 3 % is all that can
be claimed. Raises WrongInput naming the key. Sources: the standards as printed in public handbooks.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from typing import Any

from uncertainties import nominal_value, ufloat, umath

from assistant.reckoning.figure import Also, Figure, Formula, figure_of, told, value_of
from assistant.reckoning.given import checked, plain_quantity, read, refuse
from assistant.units import Measure, compare

COURSE = Formula(
    "log10 log10 (v + 0.7) = A - B log10 T(K)",
    "2 to 100 000 cSt, -20 to 150 °C; trust it near 0 to 120 °C and well above the pour point",
    "ASTM D341 (Walther)",
)
INDEX = Formula(
    "VI = 100 (L - U) / (L - H); above 100 from the logarithms",
    "2 cSt and more at 100 °C; a whole number",
    "ASTM D2270 (equations for L and H from memory, checked against its table)",
)
BLEND = Formula(
    "14.534 ln ln (v + 0.8) + 10.975 averaged over the shares",
    "1 to 10 000 cSt, both at one temperature, like densities; good to 3 %",
    "Refutas method (Maples 2000, as quoted by its compiler)",
)

# from Y, L = a Y² + b Y + c, H = d Y² + e Y + f
_LH = (
    (2.0, (1.14673, 1.7576, -0.109), (0.84155, 1.5521, -0.077)),
    (3.8, (3.38095, -15.4952, 33.196), (0.78571, 1.7929, -0.183)),
    (4.4, (2.5000, -7.2143, 13.812), (0.82143, 1.5679, 0.119)),
    (5.0, (0.10100, 16.635, -45.469), (0.04985, 9.1613, -18.557)),
    (6.4, (3.35714, -23.5643, 78.466), (0.22619, 7.7369, -16.656)),
    (7.0, (0.01191, 21.475, -72.870), (0.79762, -0.7321, 14.610)),
    (7.7, (0.41858, 16.1558, -56.040), (0.05794, 10.5156, -28.240)),
    (9.0, (0.88779, 7.5527, -16.600), (0.26665, 6.7015, -10.810)),
    (12.0, (0.76720, 10.7972, -38.180), (0.20073, 8.4658, -22.490)),
    (15.0, (0.97305, 5.3135, -2.200), (0.28889, 5.9741, -4.930)),
    (18.0, (0.97256, 5.2500, -0.980), (0.24504, 7.4160, -16.730)),
    (22.0, (0.91413, 7.4759, -21.820), (0.20323, 9.1267, -34.230)),
    (28.0, (0.87031, 9.7157, -50.770), (0.18411, 10.1015, -46.750)),
    (40.0, (0.84703, 12.6752, -133.310), (0.17029, 11.4866, -80.620)),
    (55.0, (0.85921, 11.1009, -83.19), (0.17130, 11.3680, -76.940)),
    (70.0, (0.83531, 14.6731, -216.246), (0.16841, 11.8493, -96.947)),
)


def course(
    *,
    at: Measure,
    first: Measure,
    second: Measure,
    first_at: Measure | None = None,
    second_at: Measure | None = None,
) -> Figure:
    """Return the viscosity `at` a temperature from two points, at 40 and 100 °C when not said otherwise.

    `also`: 'A' and 'B' of the line.
    """
    t1, t2 = first_at or Measure("40", "celsius"), second_at or Measure("100", "celsius")
    if compare(t1, t2) == 0:
        raise refuse("second-at", t2, f"must differ from first-at={t1}")
    points = [
        (_kelvin("first_at", t1), _cst("first", first)),
        (_kelvin("second_at", t2), _cst("second", second)),
    ]
    (x1, y1), (x2, y2) = [(umath.log10(k), _loglog(v)) for k, v in points]
    slope = (y1 - y2) / (x2 - x1)
    if nominal_value(slope) <= 0:
        raise refuse("second", second, "oil is thinner when hotter: the two points are the wrong way round")
    a = y1 + slope * x1
    where = _kelvin("at", at)
    result = 10 ** (10 ** (a - slope * umath.log10(where))) - 0.7
    if not 2.0 <= nominal_value(result) <= 100_000.0:
        raise refuse("at", at, f"the formula gives {nominal_value(result):.3g} cSt, outside 2 to 100 000 cSt")
    outside = not 273.15 <= where <= 393.15
    return figure_of(
        "viscosity",
        plain_quantity(result, "centistokes"),
        "centistokes",
        inputs=told(at=at, first=first, second=second, first_at=first_at, second_at=second_at),
        by=COURSE,
        notes=("limited-range",) if outside else (),
        also=(
            ("A", value_of(plain_quantity(a, "one"), "one")),
            ("B", value_of(plain_quantity(slope, "one"), "one")),
        ),
    )


def _kelvin(key: str, temperature: Measure) -> float:
    """Return an absolute temperature."""
    return float(checked(key, temperature, "celsius", "-20", "150").exact) + 273.15


def _cst(key: str, given: Measure) -> Any:
    """Return a viscosity in cSt with its doubt."""
    return read(key, given, "centistokes", "2", "100000", share=0.01).magnitude


def _loglog(v: Any) -> Any:
    """Return log10 log10 (v + 0.7)."""
    return umath.log10(umath.log10(v + 0.7))


def reference_oils(y: float) -> tuple[float, float]:
    """Return L and H, the viscosities at 40 °C of the two reference oils with `y` cSt at 100 °C."""
    _, low, high = next(row for row in reversed(_LH) if y >= row[0])
    l_value, h_value = (a * y * y + b * y + c for a, b, c in (low, high))
    return l_value, h_value


def index(*, at40: Measure, at100: Measure) -> Figure:
    """Return the viscosity index, a whole number. `also`: 'unrounded', 'L', 'H'."""
    u = float(checked("at40", at40, "centistokes", "2", "100000").exact)
    y = float(checked("at100", at100, "centistokes", "2", "5000").exact)
    if y >= u:
        raise refuse("at100", at100, f"must be under at40={at40}: oil is thinner when hotter")
    low, high = reference_oils(y)
    if u >= high:
        value = 100 * (low - u) / (low - high)
    else:
        n = (umath.log10(high) - umath.log10(u)) / umath.log10(y)
        value = (10**n - 1) / 0.00715 + 100
    also: Also = tuple(
        (name, value_of(plain_quantity(number, "one"), "one"))
        for name, number in (("unrounded", value), ("L", low), ("H", high))
    )
    whole = plain_quantity(float(floor(value + 0.5)), "one")
    inputs = told(at40=at40, at100=at100)
    return figure_of("viscosity-index", whole, "one", inputs=inputs, by=INDEX, also=also)


def blend(*, parts: Sequence[tuple[Measure, Measure]]) -> Figure:
    """Return the viscosity of a mixture of (viscosity, amount) parts; amounts all shares or all volumes."""
    if len(parts) < 2:
        raise refuse("part", f"{len(parts)} given", "at least two are needed, each a viscosity and an amount")
    unit = "percent" if parts[0][1].unit == "percent" else "litre"
    amounts = [float(checked("part", amount, unit, "0", "100000").exact) for _, amount in parts]
    if sum(amounts) <= 0:
        raise refuse("part", "0", "the amounts must add up to something")
    numbers = [blending_number(read("part", v, "centistokes", "1", "10000").magnitude) for v, _ in parts]
    mean = sum(n * a for n, a in zip(numbers, amounts, strict=True)) / sum(amounts)
    result = (umath.exp(umath.exp((mean - 10.975) / 14.534)) - 0.8) * ufloat(1.0, 0.03)
    return figure_of(
        "blend",
        plain_quantity(result, "centistokes"),
        "centistokes",
        inputs=tuple(line for v, amount in parts for line in (("part", str(v)), ("amount", str(amount)))),
        by=BLEND,
    )


def blending_number(v: Any) -> Any:
    """Return the blending number of a viscosity in cSt."""
    return 14.534 * umath.log(umath.log(v + 0.8)) + 10.975
