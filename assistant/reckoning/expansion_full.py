"""The full volume correction of 2004 (crude oils, products, lubricants), to check the short form against.

60 °F base, temperatures brought from ITS-90 to IPTS-68 first; then
A = d/2 ((K0/r + K1)/r + K2), B = (2 K0 + K1 r) / (K0 + (K1 + K2 r) r),
r* = r (1 + (exp(A (1 + 0.8 A)) - 1) / (1 + A (1 + 1.6 A) B)), a = (K0/r* + K1)/r* + K2,
D = F68 - 60.0068749, factor = exp(-a D (1 + 0.8 a (D + d))), d = 0.01374979547.
Units: °F and kg/m³ at 60 °F; 470 to 1201.8 kg/m³, -58 to 302 °F. For lubricating oils K0 = K2 = 0 and
K1 = 0.34878. Raises WrongInput outside. Source: API MPMS 11.1 (2004) as coded in public with its six
worked examples of section 11.1.6.1; the standard itself was not seen.
"""

from __future__ import annotations

from math import exp

from assistant.errors import WrongInput

LUBRICANT = (0.0, 0.34878, 0.0)
"""K0, K1, K2 of lubricating oils (density in kg/m³, expansion per °F)."""

_SHIFT = 0.01374979547
_BASE_68 = 60.0068749
_SCALE = (-0.148759, -0.267408, 1.080760, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296)


def to_1968_scale(fahrenheit: float) -> float:
    """Return the temperature in °F on the scale of 1968 for one on the scale of 1990."""
    celsius = (fahrenheit - 32) / 1.8
    tau = celsius / 630
    change = sum(a * tau**power for power, a in enumerate(_SCALE, start=1))
    return (celsius - change) * 1.8 + 32


def factor(density60: float, fahrenheit: float, constants: tuple[float, float, float] = LUBRICANT) -> float:
    """Return V60 / Vt for a density in kg/m³ at 60 °F and a temperature in °F."""
    if not 470.0 <= density60 <= 1201.8:
        raise WrongInput(f"density60={density60:g} kg/m³: allowed is from 470 up to 1201.8")
    if not -58.0 <= fahrenheit <= 302.0:
        raise WrongInput(f"temperature={fahrenheit:g} °F: allowed is from -58 up to 302")
    k0, k1, k2 = constants
    a = _SHIFT / 2 * ((k0 / density60 + k1) / density60 + k2)
    b = (2 * k0 + k1 * density60) / (k0 + (k1 + k2 * density60) * density60)
    base = density60 * (1 + (exp(a * (1 + 0.8 * a)) - 1) / (1 + a * (1 + 1.6 * a) * b))
    alpha = (k0 / base + k1) / base + k2
    away = to_1968_scale(fahrenheit) - _BASE_68
    return exp(-alpha * away * (1 + 0.8 * alpha * (away + _SHIFT)))
