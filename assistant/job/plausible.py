"""Is a reading plausible at all? Judged from the vehicle sheet and what came before.

An implausible reading is challenged, never refused: said again it is kept as a doubtful fact.
The outer limits are what no workshop thermometer, can or wrench shows (common practice, no source).
"""

from __future__ import annotations

from decimal import Decimal

from assistant.job import balance
from assistant.job.state import State
from assistant.units import Measure, convert

SHARE_MOST = Decimal("1.25")
"""A drained or poured sum beyond this share of the figure it belongs to is challenged."""
SHARE_LEAST = Decimal("0.6")
"""So is a finished drain below this share of the expected one."""
OUTER = {
    "volume": ("litre", Decimal("0.005"), Decimal(40)),
    "temperature": ("celsius", Decimal(-40), Decimal(160)),
    "torque": ("newton_metre", Decimal(2), Decimal(400)),
    "duration": ("second", Decimal("0.1"), Decimal(900)),
}
_VOLUMES = ("drained", "poured", "can-left", "spilled")
_KIND = {
    **dict.fromkeys(_VOLUMES, "volume"),
    "temperature": "temperature",
    "torque": "torque",
    "drip": "duration",
}


def _in(measure: Measure, unit: str) -> Decimal:
    return Decimal(convert(measure, unit).value)


def doubt(
    state: State, kind: str, measure: Measure, sum_after: Measure | None = None, plug: str = "drain"
) -> str:
    """Return why a reading is implausible, as a key of the phrasing, or "" where it is plausible.

    `sum_after` is what the sum would be with it; keys: outside, over-expected, over-capacity,
    over-poured, torque-unit, torque-far.
    """
    outer = OUTER.get(_KIND.get(kind, ""))
    if outer and not outer[1] <= _in(measure, outer[0]) <= outer[2]:
        return "outside"
    if kind == "torque":
        return _torque_doubt(state, measure, plug)
    if kind == "drained" and sum_after is not None:
        return _drained_doubt(state, sum_after)
    if kind == "poured" and sum_after is not None:
        return _poured_doubt(state, sum_after)
    return ""


def _drained_doubt(state: State, sum_after: Measure) -> str:
    litres = _in(sum_after, "litre")
    capacity = state.sheet.figure("capacity")
    if capacity is not None and litres > _in(capacity, "litre"):
        return "over-capacity"
    most = state.sheet.figure("drain-most")
    expected = state.sheet.figure("drain-expected")
    if most is not None:
        return "over-expected" if litres > _in(most, "litre") else ""
    if expected is not None and litres > SHARE_MOST * _in(expected, "litre"):
        return "over-expected"
    return ""


def short_drain(state: State) -> bool:
    """Say whether a drain that is said to be finished brought far less than the sheet expects."""
    out = balance.drained(state)
    least = state.sheet.figure("drain-least")
    expected = state.sheet.figure("drain-expected")
    if out is None or (least is None and expected is None):
        return False
    if least is not None:
        return _in(out, "litre") < _in(least, "litre")
    assert expected is not None
    return _in(out, "litre") < SHARE_LEAST * _in(expected, "litre")


def _poured_doubt(state: State, sum_after: Measure) -> str:
    advice = state.last_advice("refill")
    if advice is None or advice.fate != "taken":
        return ""
    over = _in(sum_after, "litre") > Decimal("1.1") * _in(advice.exact, "litre") + Decimal("0.1")
    return "over-poured" if over else ""


def _torque_doubt(state: State, measure: Measure, plug: str) -> str:
    asked = state.sheet.figure(f"{plug}-plug-torque")
    if asked is None:
        return ""
    said, spec = _in(measure, "newton_metre"), _in(asked, "newton_metre")
    if abs(said - spec) <= Decimal("0.15") * spec:
        return ""
    for other in ("pound_inch", "pound_foot", "newton_metre"):
        if (
            other != measure.unit
            and abs(_in(Measure(measure.value, other), "newton_metre") - spec) <= Decimal("0.1") * spec
        ):
            return "torque-unit"
    return "torque-far"
