"""English: making a vehicle sheet by questions, and what became of figures for it."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.words import sentence, speakable
from assistant.phrasing.language import Args, Wording, fixed

TEXTS: Mapping[str, str] = {
    "fluid-colours": "the colour of the new fluid",
    "plate": "the code on its plate",
    "fluid-class": "the class of its fluid",
    "fluid-grade": "the grade of its fluid",
    "drain-plug-tool": "the tool for the drain",
    "drain-washer": "the washer at the drain",
    "fill-washer": "the washer at the filler",
    "overflow-washer": "the washer at the overflow",
    "filter": "the filter",
    "pan-gasket": "the gasket of the pan",
}
"""What a sheet tells in words, in a sentence."""


def _label(name: str) -> str:
    return words.label(name, {**words.FIGURES, **TEXTS})


def ask(args: Args) -> tuple[str, ...]:
    """name: of a figure or text of a sheet, typed: bool, it can only be typed."""
    typed = ("On the keyboard.",) if args.flag("typed") else ()
    return (sentence(f"give me {_label(args.text('name'))}"), *typed)


def left_open(args: Args) -> tuple[str, ...]:
    """name: of a figure or text of a sheet."""
    return (sentence(f"left open, {_label(args.text('name'))}"),)


def other_kind(args: Args) -> tuple[str, ...]:
    """name: of a figure."""
    return (sentence(f"that cannot be {_label(args.text('name'))}"),)


def text(args: Args) -> tuple[str, ...]:
    """name: of a text of a sheet, text: what was said or typed."""
    value = args.text("text")
    told = words.spelled(value) if args.text("name") == "plate" else speakable(value)
    return (sentence(f"kept, {told}, {_label(args.text('name'))}"),)


def name(args: Args) -> tuple[str, ...]:
    """name: of a vehicle, unit or version."""
    given = args.text("name")
    code = given.isupper() and given.isalnum() and " " not in given
    return (sentence(f"kept, {words.spelled(given) if code else speakable(given)}"),)


def which_unit(args: Args) -> tuple[str, ...]:
    """unit: a bare quart, pint, gallon, fluid ounce or degree, or "" where none was said."""
    unit = args.maybe_text("unit")
    if not unit:
        return ("In what unit?",)
    return ("On which scale?",) if unit == "degree" else ("By which system of measures?",)


def version(args: Args) -> tuple[str, ...]:
    """unit: str, the unit whose questions are over."""
    return (
        sentence(f"is there another build of the {speakable(args.text('unit'))}?"),
        "With a pan, filter, plug or washer of its own?",
    )


def offer(args: Args) -> tuple[str, ...]:
    """count: int, figures the mechanic gave that the sheet lacks."""
    count = args.whole("count")
    what = "one figure" if count == 1 else f"{number_words(str(count))} figures"
    return (sentence(f"you gave me {what} the sheet lacks"), "Shall I write them into the sheet?")


def written(args: Args) -> tuple[str, ...]:
    """count: int, figures that are in the sheet now; 0 where it cannot be written."""
    count = args.whole("count")
    if not count:
        return ("The sheet cannot be written.", "The figures stay in the record.")
    return (
        sentence("one figure is in the sheet now")
        if count == 1
        else sentence(f"{number_words(str(count))} figures are in the sheet now"),
    )


SHEETS: Mapping[str, Wording] = {
    "sheet-begins": fixed("A new vehicle sheet.", "What you leave out is asked in the job."),
    "sheet-vehicle": fixed("What is the vehicle called?", "Typed, or its code by the spelling alphabet."),
    "sheet-ask": ask,
    "sheet-left-open": left_open,
    "sheet-other-kind": other_kind,
    "sheet-text": text,
    "sheet-unfit": fixed("That does not go with the rest of the sheet.", "It is left out."),
    "sheet-name": name,
    "sheet-which-unit": which_unit,
    "sheet-anew": fixed("That fits nothing I asked."),
    "sheet-first": fixed("That was the first question."),
    "sheet-version": version,
    "sheet-version-name": fixed("What is that build called?"),
    "sheet-another": fixed("Shall we go on with another unit?"),
    "sheet-over": fixed("The sheet is complete as far as you told it."),
    "sheet-offer": offer,
    "sheet-written": written,
}
