"""Sample arguments for every reply key: invented figures, several where the wording branches."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.dialogue.reply import Reply
from assistant.job.reading import Reading
from assistant.job.sheet import Sheet
from assistant.phrasing.en.reckoned import HOW
from assistant.phrasing.en.starting import FOUND
from assistant.units import Measure
from tests.phrasing.asked_samples import ASKED_SAMPLES
from tests.phrasing.plan_samples import plans
from tests.phrasing.sheet_samples import SHEET_SAMPLES


def m(value: str, unit: str = "litre") -> Measure:
    """Return a measure."""
    return Measure(value, unit)


def reading(kind: str, value: str | None = None, unit: str | None = None, **slots: str) -> Reading:
    """Return a reading of step one."""
    return Reading(id=1, kind=kind, value=value, unit=unit, slots=slots)


SHEET = Sheet(
    vehicle="a van",
    unit="four speed automatic",
    figures={"drain-expected": m("4.5"), "drain-plug-torque": m("35", "newton_metre"), "span": m("0.4")},
    texts={"drain-plug-tool": "square key", "fluid-class": "automatic fluid"},
    fluid_colours=("red", "pink"),
)

READINGS: tuple[Reading, ...] = (
    reading("drained", "4", "litre", form="part", can="1"),
    reading("drained", "0.6", "litre", form="another"),
    reading("drained", "4.6", "litre", form="total"),
    reading("drained", "13", "litre", form="bare", about="yes"),
    reading("drained", "850", "millilitre", form="bare"),
    Reading(id=2, kind="drained", value="0.8", unit="litre", slots={"form": "part", "can": "2"}, replaces=1),
    reading("drained", "4.5", "us_quart", form="bare"),
    reading("drained", "3.5", "imperial_pint", form="bare"),
    reading("drained", "20", "us_fluid_ounce", form="bare"),
    reading("drained", "1", "imperial_gallon", form="bare"),
    reading("poured", "3.5", "litre", form="bare"),
    reading("poured", "0.25", "litre", form="another"),
    reading("can-left", "2.4", "litre"),
    reading("spilled", "1", "cup", form="bare", about="yes", fluid="old"),
    reading("spilled", "0.5", "litre", form="bare", fluid="new"),
    reading("temperature", "55", "celsius"),
    reading("temperature", "50", "celsius"),
    reading("temperature", "-5", "celsius"),
    reading("temperature", "131", "fahrenheit"),
    reading("temperature-band", band="warm"),
    reading("temperature-band", band="cold"),
    reading("temperature-band", band="hot"),
    reading("level", "5", "millimetre", place="below", mark="hot"),
    reading("level", "0.2", "litre", place="below", mark="full"),
    reading("level", place="at", mark="hot"),
    reading("level", place="above", mark="cold"),
    reading("level", place="between"),
    reading("level", place="between", share="half"),
    reading("level", place="between", share="quarter"),
    reading("level", place="between", share="three-quarters"),
    reading("level", place="off-low"),
    reading("level", place="off-high"),
    reading("torque", "35", "newton_metre", plug="drain"),
    reading("torque", "13", "pound_foot", plug="fill"),
    reading("torque", "106", "pound_inch", plug="drain"),
    reading("torque", "17.5", "newton_metre", plug="drain"),
    reading("drip", "6", "second"),
    reading("drip-state", state="stopped"),
    reading("drip-state", state="drops"),
    reading("drip-state", state="stream"),
    reading("look", colour="red", state="clear"),
    reading("look", colour="brown", smell="burnt"),
    reading("look", colour="milky"),
    reading("look", state="foaming", smell="fuel"),
    reading("look", colour="pink", state="clear", smell="none"),
    reading("magnet", find="clean"),
    reading("magnet", find="fuzz"),
    reading("magnet", find="flakes"),
    reading("magnet", find="chips"),
    reading("magnet", find="none-fitted"),
    reading("washer", state="on-plug"),
    reading("washer", state="on-pan"),
    reading("washer", state="missing"),
    reading("washer", state="new-on"),
    reading("distance", "84210", "kilometre"),
    reading("distance", "123456", "mile"),
    reading("plate", code="A47B"),
)
"""One of each kind and form of reading."""

FOUR, FIVE = READINGS[0], reading("drained", "4.2", "litre", form="open")

_SAMPLES: Mapping[str, tuple[Mapping[str, object], ...]] = {
    "step": (
        {"number": 9, "text": "Tighten it to {drain-plug-torque}. All in, {capacity}.", "sheet": SHEET},
    ),
    "ask": ({"text": "What is the drip interval?", "sheet": SHEET},),
    "say": ({"text": "The pan is for old fluid alone."},),
    "caution": ({"text": "The fluid burns skin."},),
    "gate": ({"text": "Is everybody out from under the vehicle?"},),
    "tool-is": ({"text": "{drain-plug-tool}", "sheet": SHEET},),
    "holding": ({"text": "Is everybody out from under the vehicle?"},),
    "where": ({"number": 12, "title": "the drain"}, {"number": 1, "title": ""}),
    "held": ({"missing": "the new washer"}, {"missing": "the new washer", "unit": "rear differential"}),
    "held-until": ({"missing": "a fluid that is not the one of the sheet", "unit": ""},),
    "held-by-timer": ({"name": "wait", "left": 0}, {"name": "wait", "left": 240_000}),
    "held-by-fluid": ({"unit": ""}, {"unit": "transfer case"}),
    "unit": ({"name": "rear differential"}, {"name": "automatic transmission"}),
    "no-such-unit": ({"names": ()}, {"names": ("front differential", "rear differential")}),
    "unit-done": ({"name": "rear differential"},),
    "unit-later": ({"name": "engine"},),
    "unit-left": ({"name": "front differential"},),
    "advise-mixture": (
        {
            "share": Measure("50", "percent"),
            "concentrate": Measure("4", "us_quart"),
            "water": Measure("1", "us_quart"),
        },
    ),
    "share-new": ({"share": Measure("64", "percent")},),
    "ask-round": (
        {"count": 1, "fluid": Measure("4", "litre"), "share": Measure("80", "percent"), "short": None},
        {
            "count": 3,
            "fluid": Measure("12", "litre"),
            "share": Measure("95", "percent"),
            "short": Measure("4", "litre"),
        },
    ),
    "ask-round-again": ({},),
    "overflow-close": ({},),
    "overflow-let-run": ({"much": False}, {"much": True}),
    "overflow-add": ({},),
    "overflow-engine-off": ({},),
    "cool-not-yet": ({"temperature": Measure("72", "celsius"), "most": Measure("40", "celsius")},),
    "cool-by-hand": ({},),
    "start-too-warm": ({"temperature": Measure("50", "celsius"), "most": Measure("35", "celsius")},),
    "overflow-drops": ({"rate": Measure("0.1", "millilitre_per_minute")},),
    "pan-too-small": ({"holds": Measure("2.5", "us_quart"), "most": Measure("4.7", "us_quart")},),
    "one-change-leaves": ({"share": Measure("57", "percent"), "amount": Measure("10", "us_quart")},),
    "share-differs": (
        {"wanted": Measure("50", "percent"), "weak": True},
        {"wanted": Measure("50", "percent"), "weak": False},
    ),
    "cool-enough": ({},),
    "hole-low": ({"add": None}, {"add": Measure("0.1", "litre")}),
    "still-tagged": ({"dry": ("",)}, {"dry": ("front differential", "transfer case"), "open": ("engine",)}),
    "parked": (
        {"dry": ()},
        {"dry": ("",)},
        {"open": ("",)},
        {"dry": ("front differential", "transfer case")},
    ),
    "heard": (
        *({"reading": one, "total": None} for one in READINGS),
        {"reading": READINGS[1], "total": m("4.6")},
    ),
    "sum": ({"kind": "drained", "total": m("13.4")}, {"kind": "poured", "total": m("3")}),
    "out-so-far": ({"total": m("4.6")}, {"total": m("850", "millilitre")}),
    "in-so-far": ({"total": m("1")},),
    "confirm": tuple({"reading": one} for one in READINGS),
    "implausible": (
        {"why": "outside", "reading": reading("drained", "90", "litre", form="bare"), "total": m("90")},
        {"why": "over-expected", "reading": FOUR, "total": m("6.4")},
        {"why": "over-capacity", "reading": FOUR, "total": m("9.4")},
        {"why": "over-poured", "reading": reading("poured", "4", "litre"), "total": m("9.4")},
        {"why": "torque-unit", "reading": READINGS[33], "total": None},
        {"why": "torque-far", "reading": READINGS[32], "total": None},
    ),
    "which-form": ({"reading": FIVE, "before": m("4"), "both": m("8.2")},),
    "which-system": (
        {"reading": reading("drained", "4", "quart", form="bare")},
        {"reading": reading("poured", "12", "fluid_ounce", form="bare")},
    ),
    "which-unit": (
        {"reading": reading("temperature", "60", "degree")},
        {"reading": reading("drained", "4.2", None, form="bare")},
    ),
    "which-plug": ({"reading": reading("torque", "35", "newton_metre", plug="")},),
    "say-anew": tuple({"kind": kind} for kind in sorted({one.kind for one in READINGS})),
    "kept-doubtful": ({"total": m("9.4")}, {"total": None}),
    "disregarded": tuple({"reading": one} for one in READINGS),
    "heard-was": tuple({"reading": one, "words": "four litres"} for one in READINGS),
    "vague": ({"of": "level"}, {"of": "amount"}, {"of": "torque"}),
    "advise-refill": (
        {"amount": m("4.7"), "low_by": m("0.2"), "over_by": None, "estimate": False, "changed": False},
        {"amount": m("4.7"), "low_by": None, "over_by": m("0.2"), "estimate": True, "changed": True},
        {
            "amount": m("5.1", "us_quart"),
            "low_by": m("0.2"),
            "over_by": None,
            "estimate": True,
            "changed": False,
        },
    ),
    "advise-again": ({"amount": m("4.7")},),
    "pour-first": ({"amount": m("3.8"), "whole": m("4.7")},),
    "pour-to-go": (
        {"done": m("3.8"), "left": m("0.9"), "can": 0},
        {"done": m("5.2"), "left": m("0.9"), "can": 2},
        {"done": m("5.2"), "left": m("0.9"), "can": 2, "estimate": True},
        {"done": None, "left": m("4.7"), "can": 0},
    ),
    "no-advice-over-capacity": ({"amount": m("12.8"), "capacity": m("8.8")},),
    "pour-complete": ({"done": m("4.7")}, {"done": None}),
    "pour-over": ({"done": m("4.9"), "over": m("0.2")},),
    "drip-advice": ({"left": m("10", "millilitre"), "more": m("3", "millilitre"), "minutes": 10},),
    "how-sure": (
        {"amount": m("4.9"), "plus_minus": m("0.1"), "estimate": False},
        {"amount": m("4.9"), "plus_minus": None, "estimate": True},
    ),
    "too-cold": ({"temperature": m("30", "celsius"), "low": m("35", "celsius"), "high": m("45", "celsius")},),
    "too-hot": ({"temperature": m("50", "celsius"), "low": m("35", "celsius"), "high": m("45", "celsius")},),
    "level-low": ({"add": m("0.2")}, {"add": None}),
    "level-high": ({"over": m("0.2")}, {"over": None}),
    "timer-on": (
        {"name": "drain", "unit": "rear differential", "ms": 600_000},
        {"name": "wait", "ms": 90_000},
    ),
    "timer-runs": ({"name": "drain", "ms": 600_000},),
    "timer-over": (
        {"name": "drain", "ms": 600_000, "late": 200},
        {"name": "cooling", "ms": 40_000, "late": 240_000},
    ),
    "timer-over-again": ({"name": "drain", "ms": 600_000, "late": 240_000},),
    "timer-doubtful": ({"name": "drain"},),
    "timer-gone": (
        {"name": "drain", "gone": 400_000, "left": 200_000, "named": False},
        {"name": "drip", "gone": 40_000, "left": 200_000, "named": True},
    ),
    "timer-was-over": ({"name": "drain"},),
    "no-timer": ({"name": "drain"}, {"name": ""}),
    "which-timer": ({"names": ("drain", "cooling", "wait")},),
    "timer-off": ({"name": "drain", "gone": 400_000},),
    "ask-figure": ({"figure": "capacity"}, {"figure": "drain-plug-torque"}),
    "no-figure": ({"figure": "fill-plug-torque"},),
    "figure-kept": (
        {"figure": "drain-plug-torque", "measure": m("35", "newton_metre"), "digits": True},
        {"figure": "capacity", "measure": m("8.9"), "digits": True},
        {"figure": "wrench-length", "measure": m("40", "centimetre")},
        {"figure": "service-interval", "measure": m("60000", "kilometre")},
        {"figure": "stock", "measure": m("4")},
        {"figure": "coolant-left", "measure": m("30", "percent")},
    ),
    "torque-is": (
        {"plug": "drain", "torque": m("35", "newton_metre")},
        {"plug": "fill", "torque": m("11", "pound_foot")},
    ),
    "torque-both": ({"drain": m("35", "newton_metre"), "fill": m("30", "newton_metre")},),
    "fluid-is": ({"text": "class 3, viscosity 6.5"},),
    "needs-figure": tuple({"figure": one} for one in (*HOW, "hot-low", "span")),
    "old-left": ({"share": m("61", "percent"), "amount": m("5.8")},),
    "changes": (
        {"count": 4, "share": m("90", "percent"), "of": "new", "fluid": m("16"), "by_sheet": False},
        {"count": 1, "share": m("60", "percent"), "of": "old", "fluid": m("4.4"), "by_sheet": True},
    ),
    "torque-makes": (
        {"given": m("35", "newton_metre"), "torque": m("26", "pound_foot")},
        {"given": m("106", "pound_inch"), "torque": m("12", "newton_metre")},
    ),
    "adapter-setting": (
        {
            "setting": m("31", "newton_metre"),
            "torque": m("35", "newton_metre"),
            "plug": "drain",
            "adapter": m("5", "centimetre"),
            "length": m("40", "centimetre"),
        },
    ),
    "owed": tuple({"how": one, "amount": m("1.8")} for one in ("even", "still-short", "still-over")),
    "buy": (
        {"count": 2, "size": m("5"), "need": m("6.2"), "left": m("3.8"), "by_sheet": True, "stock": None},
        {"count": 1, "size": m("4"), "need": m("4.7"), "left": m("0.3"), "by_sheet": False, "stock": m("1")},
        {"count": 0, "size": m("4"), "need": m("4.7"), "left": m("1"), "by_sheet": False, "stock": m("8")},
    ),
    "pour-plan": (
        {"full": 1, "last": m("0.7"), "left": m("3.3"), "short": None},
        {"full": 0, "last": m("3"), "left": m("1"), "short": None},
        {"full": 2, "last": None, "left": None, "short": m("0.7")},
        {"full": 0, "last": None, "left": None, "short": m("4.7")},
    ),
    "due-at": (
        {"distance": m("144200", "kilometre")},
        {"distance": m("1010000", "kilometre"), "by_last": True},
    ),
    "mixture": (
        {"share": m("50", "percent"), "concentrate": m("4", "us_quart"), "water": m("1", "us_quart")},
    ),
    "mixture-out-of-reach": ({"share": m("50", "percent"), "drain": m("4", "us_quart")},),
    "class-verdict": tuple({"verdict": one} for one in ("of-class", "too-thin", "too-thick")),
    "figure-anew": ({"figure": "stock"}, {"figure": "wrench-length"}),
    "figure-which-system": ({"figure": "container"},),
    "figure-stands": ({"figure": "capacity", "measure": m("8.8")},),
    "in-window": ({"temperature": m("75", "celsius")},),
    "reads-at-mark": ({"mark": "hot"}, {"mark": "cold"}),
    "reads-away": (
        {"mark": "hot", "away": m("10", "millimetre"), "lower": True, "temperature": m("40", "celsius")},
        {"mark": "cold", "away": m("0.1"), "lower": False, "temperature": m("60", "celsius")},
    ),
    "wait-left": (
        {"minutes": m("8", "minute"), "goal": m("70", "celsius"), "rough": True},
        {"minutes": m("2.5", "minute"), "goal": m("60", "celsius"), "rough": False},
    ),
    "there-by-now": ({"goal": m("50", "celsius")},),
    "not-on-its-way": ({"goal": m("160", "fahrenheit")},),
    "drip-verdict": tuple({"state": one} for one in ("stopped", "stream", "drops")),
    "worth-waiting": (
        {"more": m("3", "millilitre"), "left": m("10", "millilitre"), "worth": False},
        {"more": m("25", "millilitre"), "left": m("90", "millilitre"), "worth": True},
    ),
    "leak": ({"interval": m("6", "second"), "a_day": m("0.75")},),
    "skipped": tuple({"reason": one} for one in ("not-needed", "no-tool", "no-part", "done-before", "later")),
    "ask-finish": ({"count": 0},),
    "ask-finish-open": ({"count": 3}, {"count": 1}),
    "finished": ({"count": 0}, {"count": 2}),
    "handed-over": ({"who": "AX"}, {"who": "Ada of bay two"}),
    "ask-who": ({},),
    **SHEET_SAMPLES,
    "plan": tuple({"plan": one} for one in plans()),
    "named": ({"who": "MK"}, {"who": "Ada"}),
    "no-last-service": ({},),
    "last-service": (
        {"date": "2026-05-03", "distance": m("84210", "kilometre"), "into": m("4.2"), "found": ("burnt",)},
        {"date": "2026-11-25", "into": m("1.1", "us_quart"), "found": ()},
    ),
    "words": ({"kinds": ("drained", "done", "next")}, {"kinds": ()}),
    "not-understood": ({}, {"awaited": ("drip", "done")}, {"awaited": ("which-form",)}),
    "first-start": ({"days": 30}, {"days": 1}),
    "first-start-over": ({"clips": "readings"}, {"clips": "off"}, {"clips": ""}),
    "welcome": ({"open_jobs": 0}, {"open_jobs": 1}, {"open_jobs": 2}),
    "menu-empty": ({"what": "service"}, {"what": "vehicle"}, {"what": "job"}),
    "menu-more": (
        {"names": ("engine oil and filter",)},
        {"names": ("engine oil and filter", "manual gearbox, drain and refill")},
    ),
    "menu-same-unit": ({"name": "automatic transmission, pan and filter"},),
    "menu-list": ({"places": ("3", "5"), "options": ("coolant", "engine oil and filter")},),
    "menu": ({"what": "service", "options": ("drain and refill, 4 speed", "new fluid for the axle")},),
    "not-a-choice": ({"count": 2},),
    "last-time": (
        {"into": m("4.2"), "found": ("magnet-fuzz", "sound")},
        *({"into": m("13", "us_pint"), "found": (name,)} for name in FOUND),
    ),
    "job-begins": ({"title": "Drain and refill", "vehicle": "the van in bay 2"},),
    "job-resumed": ({"title": "Drain and refill", "vehicle": "the van in bay 2"},),
    "resumed": ({"reading": FOUR}, {"reading": None}),
    "resume-where": ({"number": 9, "title": "the drain"},),
    "unsaved": ({"reading": FOUR, "total": None}, {"figure": "capacity", "measure": m("8.9")}, {}),
}


def samples(key: str) -> tuple[Reply, ...]:
    """Return replies of that key with sample arguments; a fixed reply needs none."""
    return tuple(Reply(key, args) for args in ASKED_SAMPLES.get(key) or _SAMPLES.get(key, ({},)))
