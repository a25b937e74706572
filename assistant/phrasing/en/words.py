"""English labels (timers, figures, kinds, reasons), the spelling alphabet, and text made speakable."""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.errors import WrongInput
from assistant.job.sheet import Sheet
from assistant.phrasing.en.numbers import is_teen_or_ty, measure_words, number_words
from assistant.units import Measure, for_speech, kind_of

CONFIRM = "Is that right?"
"""Ends what needs a yes; itself no word a mechanic answers with, so an echo of it answers nothing."""

FIGURES: Mapping[str, str] = {
    "capacity": "the whole capacity",
    "drain-expected": "the amount to expect",
    "drain-least": "the least amount to expect",
    "drain-most": "the most to expect",
    "pan-holds": "the size of the pan",
    "run-minimum": "the least amount to run with",
    "container": "the size of a container",
    "drain-plug-torque": "the torque at the drain",
    "fill-plug-torque": "the torque at the filler",
    "fluid-density": "the density of the fluid",
    "span": "the volume between the two marks",
    "span-length": "the distance of the two marks",
    "hot-low": "the bottom of the upper window",
    "hot-high": "the top of the upper window",
    "cold-low": "the bottom of the lower window",
    "cold-high": "the top of the lower window",
    "workshop": "the workshop temperature",
    "stock": "the new fluid at hand",
    "wrench-length": "the length of the wrench",
    "service-interval": "the service interval",
    "coolant-share": "the share of concentrate wanted",
    "coolant-left": "the share of concentrate in it",
    "fluid-viscosity": "its viscosity at one hundred degrees",
    "overflow-plug-torque": "the torque at the overflow",
    "overflow-low": "the bottom of the overflow window",
    "overflow-high": "the top of the overflow window",
    "overflow-too-much": "the amount at the overflow that means far too much",
    "pan-bolt-torque": "the torque of the pan bolts",
    "filter-torque": "the torque of the filter",
    "filter-holds": "what the filter takes up",
    "cooler-holds": "what the cooler takes up",
    "new-wanted": "the share of new fluid wanted",
    "cap-below": "the heat below which the cap may come off",
    "level-drop": "how far below the filler it may stand",
    "wrench-lowest": "the lower end of the wrench",
    "wrench-highest": "the upper end of the wrench",
    "wrench-tolerance": "the tolerance of the wrench",
    "bolt-count": "the count of the bolts",
    "bolt-diameter": "the diameter of the bolt",
    "friction": "the friction of the thread",
    "fluid-viscosity-40": "its viscosity at forty degrees",
    "old-viscosity": "the viscosity of the old fluid",
    "hole": "the diameter of the opening",
    "pan-area": "the area of the pan",
    "wall-width": "the width of the wet wall",
    "wall-height": "the height of the wet wall",
    "density-ratio": "the density of the concentrate over water",
    "service-months": "the months between two services",
    "service-due": "the distance at which it falls due",
    "distance-a-year": "the distance driven each year",
}
"""Figures of a vehicle sheet, in a sentence."""

KINDS: Mapping[str, str] = {
    "drained": "the amount that came out",
    "poured": "the amount that went in",
    "can-left": "the amount left in the can",
    "spilled": "the amount that was lost",
    "temperature": "the temperature",
    "temperature-band": "the warmth",
    "level": "the level on the stick",
    "torque": "the torque",
    "drip": "the drip interval",
    "drip-state": "the state of the drip",
    "look": "the look of the fluid",
    "magnet": "the find on the magnet",
    "washer": "the place of the washer",
    "gasket": "the place of the old gasket",
    "share": "the share of concentrate",
    "distance": "the distance on the clock",
    "plate": "the code on the plate",
}
"""What a reading is of, in a sentence."""

REASONS: Mapping[str, str] = {
    "not-needed": "not needed",
    "no-tool": "for want of the tool",
    "no-part": "for want of the part",
    "done-before": "seen to before",
    "later": "put off",
}
"""Why a step was left out."""

SPELLING: Mapping[str, str] = {
    "A": "alpha", "B": "bravo", "C": "charlie", "D": "delta", "E": "echo", "F": "foxtrot", "G": "golf",
    "H": "hotel", "I": "india", "J": "juliet", "K": "kilo", "L": "lima", "M": "mike", "N": "november",
    "O": "oscar", "P": "papa", "Q": "quebec", "R": "romeo", "S": "sierra", "T": "tango", "U": "uniform",
    "V": "victor", "W": "whiskey", "X": "x ray", "Y": "yankee", "Z": "zulu",
}  # fmt: skip
"""The international radiotelephony spelling alphabet (ICAO Annex 10), in common English spelling."""

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip

_PLACE = re.compile(r"\{([a-z-]+)\}")
_NUMERAL = re.compile(r"\d+(?:\.\d+)?")
_UNSPOKEN = re.compile(r"[^\w' ,.?;]+|_+")
_END = re.compile(r"(?<=[.?!])\s+")
LACKING = "the figure in the vehicle's own data"
"""Stands where a text names a figure that the sheet does not hold."""


def said(measure: Measure) -> str:
    """Return a measure as a reading is repeated: torque, and what has a sound-alike, digit by digit."""
    digits = kind_of(measure.unit) == "torque" or is_teen_or_ty(measure.value)
    return measure_words(measure, digits=digits)


MOST_DECIMALS = 2
MOST_INITIALS = 3


def number_of(measure: Measure, like: Measure | None = None) -> str:
    """Return a figure, without its unit where that is the one of `like`, said just before.

    More decimals than anybody says come from adding different units: such a figure is rounded.
    """
    if len(measure.value.partition(".")[2]) > MOST_DECIMALS:
        measure = for_speech(measure)
    if like is not None and like.unit == measure.unit:
        return number_words(measure.value)
    return measure_words(measure)


def timer(name: str, unit: str = "") -> str:
    """Return what a timer is called, with the unit it belongs to where a job has several."""
    return " ".join(part for part in (unit, name, "timer") if part)


def spelled(code: str) -> str:
    """Return letters and digits one by one, letters by the spelling alphabet."""
    return " ".join(
        SPELLING.get(sign.upper()) or number_words(sign, "digits") for sign in code if sign.isalnum()
    )


def person(who: str) -> str:
    """Return a name as it is said: initials by the spelling alphabet, another name as it stands."""
    return spelled(who) if who.isupper() and who.isalpha() and len(who) <= MOST_INITIALS else speakable(who)


def date(iso: str) -> str:
    """Return an ISO date in words: "May three, two thousand and twenty six"."""
    year, month, day = iso.split("-")
    return f"{MONTHS[int(month) - 1]} {number_words(str(int(day)))}, {number_words(year)}"


WASTE: Mapping[str, str] = {
    "oil": "used oil",
    "coolant": "used coolant",
    "brake-fluid": "used brake fluid",
    "mixed": "mixed or spoiled, kept apart",
}
"""Kinds of waste fluid."""


def waste_text(kind: str) -> str:
    """Return what a kind of waste is called."""
    return WASTE.get(kind, kind.replace("-", " "))


def listed(items: tuple[str, ...]) -> str:
    """Return "one, two or three"."""
    return " or ".join(part for part in (", ".join(items[:-1]), *items[-1:]) if part)


def sentence(text: str) -> str:
    """Return a text as a sentence: a capital first, a full stop where it has no end of its own."""
    text = text.strip().rstrip(",")
    ended = text if text[-1:] in (".", "?", "!") else f"{text}."
    return ended[:1].upper() + ended[1:]


def speakable(text: str) -> str:
    """Return a text from outside with its numerals as words and without signs that cannot be said."""
    worded = _NUMERAL.sub(lambda found: f" {number_words(found[0])} ", text)
    return re.sub(r"\s+([,.?;])", r"\1", " ".join(_UNSPOKEN.sub(" ", worded).split()))


def sentences(text: str) -> tuple[str, ...]:
    """Return the sentences of a text, each ended."""
    return tuple(sentence(one) for one in _END.split(speakable(text)) if one.strip())


def filled(text: str, sheet: Sheet | None) -> tuple[str, ...]:
    """Return the sentences of a text, its `{places}` filled from the sheet: figures in words."""
    return sentences(_PLACE.sub(lambda found: _of_sheet(found[1], sheet), text))


def _of_sheet(name: str, sheet: Sheet | None) -> str:
    if sheet is None:
        return LACKING
    figure = sheet.figure(name)
    if figure is not None:
        return said(figure)
    if name in ("vehicle", "unit"):
        return sheet.vehicle if name == "vehicle" else sheet.unit
    if name == "fluid-colours":
        return listed(sheet.fluid_colours) or LACKING
    return sheet.texts.get(name) or LACKING


def label(name: str, among: Mapping[str, str]) -> str:
    """Return the label of `name`; raises `WrongInput` where the language has none."""
    if name not in among:
        raise WrongInput(f"no words for '{name}'; known: {', '.join(among)}")
    return among[name]
