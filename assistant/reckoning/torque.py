"""Torque: units, an adapter on the wrench, range and band, and the mix-ups that strip threads.

Setting with an adapter in line: Tw = T L / (L + E cos theta), L from the hand to the drive, E the
adapter; at 90 degrees nothing changes. Band: T (1 - e) to T (1 + e), e = 4 % above 10 N m of the
wrench's maximum, else 6 % (setting wrenches); its range starts at its lowest marked value. A value is
only ever read from the sheet or the mechanic; none is made here. Torque is not energy.

Torques 0.1 to 2000 N m. Raises WrongInput naming the key. Sources: exact definitions of the units;
TM 9-254 (adapter); ISO 6789 as quoted by a tool's manual and a maker's articles.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import cos

from assistant.reckoning.figure import Figure, Formula, Verdict, exact_figure, figure_of, told, verdict_of
from assistant.reckoning.given import checked, exact, lacking, refuse
from assistant.units import Measure, compare, measured, symbol_of, units_of
from assistant.units import convert as exactly

CONVERT = Formula(
    "1 lbf ft = 1.3558179483314004 N m, 1 lbf in = 1/12 of it, 1 kgf m = 9.80665 N m",
    "0.1 to 2000 N m",
    "exact definitions of pound, inch and standard gravity",
)
ADAPTER = Formula(
    "set = T L / (L + E cos(angle))",
    "adapter in the plane of the wrench; a socket extension on the drive axis changes nothing",
    "TM 9-254 (US Army); public question, recomputed",
)
BAND = Formula(
    "T (1 - e) to T (1 + e), e = 4 %, or 6 % for a wrench up to 10 N m",
    "setting wrenches, inside their marked range",
    "ISO 6789 as quoted in a tool's manual",
)
CHECK = Formula(
    "match within 3 %; unit-mixup: the same number in another unit; far outside 2/3 to 3/2; else off",
    "0.1 to 2000 N m",
    "common practice, no source; limits chosen here",
)
PLUG = Formula(
    "the sheet's torque of the plug named; without a name only where all are the same",
    "torques from the vehicle's data",
    "common practice, no source",
)
ROUNDS = Formula(
    "30 %, 60 %, 100 % criss-cross, then once round at 100 %",
    "flanges and pans with 4 bolts or more",
    "ASME PCC-1 (from memory); common practice",
)
PRELOAD = Formula(
    "F = T / (K d), K 0.20 as received, 0.15 lubricated, 0.30 rusty",
    "a sanity check only, never a torque to use",
    "short form of the bolt equation, general handbooks",
)

UNITS_OF_TORQUE = units_of("torque")
_SPOKEN = ("newton_metre", "pound_foot", "pound_inch")
_MATCH, _SAME_NUMBER = Fraction(3, 100), Fraction(3, 100)
_SHARES = (Fraction(3, 10), Fraction(6, 10), Fraction(1))


def _sane(key: str, given: Measure) -> Measure:
    """Return `given`, refused outside 0.1 to 2000 N m."""
    checked(key, given, "newton_metre", "0.1", "2000")
    return given


def convert(*, torque: Measure, unit: str) -> Figure:
    """Return `torque` in another unit of torque, exactly."""
    if unit not in UNITS_OF_TORQUE:
        raise refuse("in", symbol_of(unit), f"allowed is {', '.join(map(symbol_of, UNITS_OF_TORQUE))}")
    value = exactly(_sane("torque", torque), unit)
    return exact_figure("torque", value, inputs=(*told(torque=torque), ("in", symbol_of(unit))), by=CONVERT)


def with_adapter(
    *, torque: Measure, length: Measure, adapter: Measure, angle: Measure | None = None
) -> Figure:
    """Return what to set the wrench to, in the unit of `torque`, so that the bolt gets `torque`.

    `length` is from the middle of the hand to the drive, `adapter` from the drive to the bolt, `angle`
    between them: 0 straight on (the default), 90 no change, more points back.
    """
    wanted = exact("torque", _sane("torque", torque), torque.unit)
    arm = exact("length", length, "millimetre", "50", "3000")
    reach = exact("adapter", adapter, "millimetre", "0", "1000")
    turn = 0.0 if angle is None else float(checked("angle", angle, "angle_degree", "0", "180").exact)
    along = reach * cos(turn * 3.141592653589793 / 180)
    if (arm + along).magnitude <= 0:
        raise refuse("adapter", adapter, f"pointing back it must be shorter than length={length}")
    setting = wanted * (arm / (arm + along)).m_as("dimensionless")
    inputs = told(torque=torque, length=length, adapter=adapter, angle=angle)
    return figure_of("adapter", setting, torque.unit, inputs=inputs, by=ADAPTER)


def band(*, torque: Measure, tolerance: Measure | None = None, wrench_max: Measure | None = None) -> Figure:
    """Return half the width of the band a wrench really gives; `also`: 'least', 'most'.

    `tolerance` is a share (percent) or a torque from the sheet; without it 4 %, or 6 % where the wrench
    (or, when not given, the torque itself) goes up to 10 N m only.
    """
    value = _sane("torque", torque).exact
    if tolerance is None:
        small = compare(wrench_max or torque, Measure("10", "newton_metre")) <= 0
        half = value * Fraction(6 if small else 4, 100)
    elif tolerance.unit == "percent":
        half = value * checked("tolerance", tolerance, "percent", "0", "50").exact / 100
    else:
        half = checked("tolerance", tolerance, torque.unit, "0", torque.value).exact
    also = (("least", measured(value - half, torque.unit)), ("most", measured(value + half, torque.unit)))
    inputs = told(torque=torque, tolerance=tolerance, wrench_max=wrench_max)
    return exact_figure("torque-band", measured(half, torque.unit), inputs=inputs, by=BAND, also=also)


def wrench_fits(*, torque: Measure, lowest: Measure, highest: Measure) -> Verdict:
    """Return 'fits', 'below-range' or 'above-range' for a wrench marked from `lowest` to `highest`."""
    if compare(_sane("lowest", lowest), _sane("highest", highest)) >= 0:
        raise refuse("highest", highest, f"must be above lowest={lowest}")
    word = "fits"
    if compare(_sane("torque", torque), lowest) < 0:
        word = "below-range"
    elif compare(torque, highest) > 0:
        word = "above-range"
    notes = () if word == "fits" else (word,)
    return verdict_of(
        "wrench-fits", word, inputs=told(torque=torque, lowest=lowest, highest=highest), by=BAND, notes=notes
    )


def check(*, said: Measure, spec: Measure) -> Verdict:
    """Return 'match', 'unit-mixup', 'far' or 'off' for a torque said against the one in the sheet.

    A mix-up is the sheet's number in another unit (106 lbf ft for 106 lbf in). `also`: 'said-in-spec'
    (what was said, in the sheet's unit), 'share' (percent of the sheet's), 'meant' (for a mix-up).
    """
    wanted = exactly(_sane("spec", spec), "newton_metre").exact
    given = exactly(checked("said", said, "newton_metre", "0", "100000"), "newton_metre").exact
    share = given / wanted
    also: tuple[tuple[str, Measure], ...] = (
        ("said-in-spec", exactly(said, spec.unit)),
        ("share", measured(share * 100, "percent")),
    )
    notes: tuple[str, ...] = ()
    meant = [
        Measure(said.value, unit)
        for unit in dict.fromkeys((spec.unit, *_SPOKEN))
        if unit != said.unit and abs(said.exact / exactly(spec, unit).exact - 1) <= _SAME_NUMBER
    ]
    if abs(share - 1) <= _MATCH:
        word = "match"
    elif meant:
        word, notes = "unit-mixup", ("same-number-other-unit",)
        also = (*also, ("meant", meant[0]))
    elif share < Fraction(2, 3) or share > Fraction(3, 2):
        word = "far"
    else:
        word = "off"
    return verdict_of(
        "torque-check", word, inputs=told(said=said, spec=spec), by=CHECK, notes=notes, also=also
    )


def which_plug(*, torques: Mapping[str, Measure], plug: str | None = None) -> Verdict:
    """Return the plug whose torque is meant, 'same' where all are equal, or 'ask'.

    `torques` are the sheet's, by plug (drain, fill). `also`: the torque of each plug it may be.
    """
    if not torques:
        raise lacking("torque", "the sheet has none: read it from the vehicle's data")
    if plug is not None and plug not in torques:
        raise refuse("plug", plug, f"allowed is {', '.join(sorted(torques))}")
    values = sorted(torques.items())
    if plug is not None:
        word, values = plug, [(plug, torques[plug])]
    else:
        word = "same" if all(compare(value, values[0][1]) == 0 for _, value in values) else "ask"
    inputs = tuple(
        line for name, value in sorted(torques.items()) for line in (("of", name), ("is", str(value)))
    )
    return verdict_of(
        "which-plug",
        word,
        inputs=(*inputs, *told(plug=plug)),
        by=PLUG,
        notes=("sheet-decides",),
        also=tuple(values),
    )


def criss_cross(bolts: int) -> tuple[int, ...]:
    """Return the order of tightening: opposite bolts in turn, starting at 1 (3 to 64 bolts)."""
    if not 3 <= bolts <= 64:
        raise refuse("bolts", bolts, "allowed is from 3 up to 64")
    half = (bolts + 1) // 2
    pairs = ((start + 1, start + 1 + half) for start in _halving(half))
    return tuple(number for pair in pairs for number in pair if number <= bolts)


def _halving(count: int) -> Sequence[int]:
    """Return 0..count-1 so that each next one lies in the widest gap left."""
    taken: list[int] = [0]
    while len(taken) < count:
        gaps = [(min(min((n - t) % count, (t - n) % count) for t in taken), -n) for n in range(count)]
        taken.append(-max(gaps)[1])
    return taken[:count]


def bolt_rounds(*, torque: Measure, bolts: int) -> Figure:
    """Return the final torque; `also` 'round-1' to 'round-3' and 'check-round', the torque of each pass.

    `criss_cross` gives the order within a pass.
    """
    criss_cross(bolts)
    value = _sane("torque", torque).exact
    passes = [
        (f"round-{number}", measured(value * share, torque.unit))
        for number, share in enumerate(_SHARES, start=1)
    ]
    also = (*passes, ("check-round", torque))
    return exact_figure("bolt-rounds", torque, inputs=told(torque=torque, bolts=bolts), by=ROUNDS, also=also)


def preload(*, torque: Measure, diameter: Measure, friction: Measure) -> Figure:
    """Return the clamping force T / (K d) in kN, known to about a quarter; never a torque to use."""
    wanted = exact("torque", _sane("torque", torque), "newton_metre")
    across = exact("diameter", diameter, "metre", "0.003", "0.1")
    k = float(checked("friction", friction, "one", "0.05", "0.5").exact)
    force = (wanted / (k * across)).to("kilonewton")
    return figure_of(
        "preload",
        force,
        "kilonewton",
        inputs=told(torque=torque, diameter=diameter, friction=friction),
        by=PRELOAD,
        notes=("sheet-decides",),
    )
