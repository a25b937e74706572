"""Sample arguments of the answers to what is asked by name, and to bolts counted aloud; invented figures."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.units import Measure

L, Q = "litre", "us_quart"


def m(value: str, unit: str = L) -> Measure:
    """Return a measure."""
    return Measure(value, unit)


def nm(value: str) -> Measure:
    """Return newton metres."""
    return Measure(value, "newton_metre")


def c(value: str) -> Measure:
    """Return degrees Celsius."""
    return Measure(value, "celsius")


def p(value: str) -> Measure:
    """Return percent."""
    return Measure(value, "percent")


WRENCH = {"torque": nm("35"), "lowest": nm("20"), "highest": nm("100")}
DRUM = {"stock": m("20"), "old": p("7.8"), "over": m("0")}
ASKED_SAMPLES: Mapping[str, tuple[Mapping[str, object], ...]] = {
    "makes": ({"given": m("4"), "made": m("4.2", Q)}, {"given": m("113", "fahrenheit"), "made": c("45")}),
    "needs-reading": ({"kind": "level"}, {"kind": "drip-state"}),
    "figure-digits": ({"figure": "pan-bolt-torque"}, {"figure": "wrench-lowest"}),
    "wrench-fits": tuple({"verdict": one, **WRENCH} for one in ("fits", "below-range", "above-range")),
    "torque-band": tuple(
        {"torque": nm("30"), "least": nm("28.8"), "most": nm("31.2"), "by_standard": one}
        for one in (True, False)
    ),
    "torque-check": tuple(
        {"verdict": one, "said": nm("35"), "spec": nm("18"), "share": p("192")}
        for one in ("match", "unit-mixup", "far", "off")
    ),
    "preload": ({"force": Measure("25", "kilonewton"), "torque": nm("50")},),
    "viscosity-at": tuple(
        {"viscosity": Measure("8.5", "centistokes"), "at": c("80"), "outside": one} for one in (True, False)
    ),
    "viscosity-index": ({"index": Measure("156", "one")},),
    "blend": ({"viscosity": Measure("6.6", "centistokes"), "share": p("60")},),
    "volume-cold": tuple(
        {"fluid": one, "volume": m("4"), "at": c("55"), "cold": m("3.9"), "to": c("20")}
        for one in ("oil", "coolant", "water")
    ),
    "oil-factor": ({"factor": Measure("0.9525", "one"), "at": c("80")},),
    "warm-after": tuple(
        {"temperature": c("60"), "wait": Measure("10", "minute"), "rough": one} for one in (True, False)
    ),
    "settles-at": tuple({"temperature": c("73"), "sure": one} for one in (True, False)),
    "exchange-leaves": ({"volume": m("12"), "mixed": p("30"), "plug": p("0")},),
    "exchange-takes": ({"volume": m("23"), "share": p("90"), "of": "new"},
                       {"volume": m("23"), "share": p("10"), "of": "old"}),
    "drum": (
        {"count": 5, **DRUM, "wanted": None, "short": None},
        {"count": 1, **DRUM, "wanted": 6, "short": m("4")},
        {"count": 5, **DRUM, "wanted": 5, "short": None},
    ),
    "coolant-exchange": tuple({"amount": m("3.2"), "share": p("50"), "water": one} for one in (True, False)),
    "coolant-taken": tuple({"trapped": one, "out": m("6"), "back": m("3")} for one in (True, False)),
    "level-offset": (
        {"away": m("0"), "low": False, "bound": False},
        {"away": m("0.3"), "low": True, "bound": False},
        {"away": m("0.3"), "low": False, "bound": True},
    ),
    "level-to-add": tuple({"amount": m("0.3"), "drain": one} for one in (True, False)),
    "level-rise": tuple(
        {"away": Measure("6", "millimetre"), "falls": one, "at": c("20"), "to": c("80")}
        for one in (True, False)
    ),
    "pan-volume": ({"height": Measure("15", "millimetre"), "volume": m("0.9")},),
    "plug-says": tuple({"verdict": one} for one in ("engine-off", "close", "let-run", "add")),
    "believe-stick": tuple({"verdict": one} for one in ("believed", "wipe-and-dip-again", "disagree")),
    "drip-rate": ({"rate": Measure("3", "millilitre_per_minute"), "interval": Measure("1", "second")},),
    "time-to-drain": ({"time": Measure("115", "second")}, {"time": Measure("4", "minute")}),
    "clinging": ({"volume": Measure("15", "millilitre"), "at": c("55")},),
    "clings-colder": ({"times": Measure("1.8", "one"), "warm": c("55"), "cold": c("20")},),
    "must-stop": (
        *({"verdict": one, "done": m("5.5"), "refill": m("4.2")} for one in ("stop-over", "stop-refuses")),
        {"verdict": "go-on", "done": None, "refill": m("4.2")},
    ),
    "plausible-amount": tuple(
        {"verdict": one, "amount": m("4.2"), "expected": m("4.5")}
        for one in ("plausible", "far-less", "far-more")
    ),
    "unit-owed": tuple(
        {"unit": "four speed automatic", "how": one, "amount": m("3.5")}
        for one in ("even", "still-short", "still-over")
    ),
    "first-pour": tuple({"first": m("3.6"), "then": m("0.6"), "by_sheet": one} for one in (True, False)),
    "due-on": tuple({"date": "2027-05-31", "first": one} for one in (True, False)),
    "distance-left": tuple({"distance": Measure("12300", "kilometre"), "past": one} for one in (True, False)),
    "bolts-begin": ({"count": 16, "torque": nm("3"), "first": 1},),
    "bolt-next": ({"next": 9, "in_turn": True}, {"next": 9, "in_turn": False}),
    "bolts-round": tuple({"number": one, "torque": nm("6"), "first": 1} for one in (2, 4)),
    "bolts-where": ({"number": 2, "torque": nm("6"), "next": 5},),
    "bolts-other-round": ({"number": 2, "torque": nm("6")},),
    "bolts-missing": ({"count": 1, "next": 5}, {"count": 3, "next": 5}),
    "bolts-all-done": ({"torque": nm("10")},),
    "bolt-anew": ({"count": 16},),
    "bolt-counted-before": ({"next": 5},),
}  # fmt: skip
"""Reply key -> arguments."""
