"""English answers about the wrench, about units, and to bolts counted aloud."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import measure_words, number_words
from assistant.phrasing.en.words import said, sentence
from assistant.phrasing.language import Args, Wording, fixed

# ---------------------------------------------------------------- tools


def makes(args: Args) -> tuple[str, ...]:
    """given, made: Measure."""
    return (sentence(f"{said(args.measure('given'))} make {said(args.measure('made'))}"),)


FITS: Mapping[str, str] = {
    "fits": "The range of the wrench holds it.",
    "below-range": "That is below what the wrench can do, take a smaller one.",
    "above-range": "That is above what the wrench can do, take a larger one.",
}


def wrench_fits(args: Args) -> tuple[str, ...]:
    """verdict: fits, below-range or above-range; torque, lowest, highest: Measure."""
    lowest, highest = args.measure("lowest"), args.measure("highest")
    marked = f"it is marked from {said(lowest)} up to {said(highest)}"
    return (
        words.label(args.text("verdict"), FITS),
        sentence(f"wanted, {said(args.measure('torque'))}"),
        sentence(marked),
    )


def torque_band(args: Args) -> tuple[str, ...]:
    """torque, least, most: Measure; by_standard: bool, where nobody gave the tolerance."""
    band = f"set at {said(args.measure('torque'))} it gives {said(args.measure('least'))} at least"
    lines = (sentence(band), sentence(f"and {said(args.measure('most'))} at most"))
    return (*lines, "By the standard tolerance.") if args.flag("by_standard") else lines


CHECKED: Mapping[str, str] = {
    "match": "That is the torque of the sheet.",
    "unit-mixup": "Same number, other unit, do not set that.",
    "far": "Far off, do not set that.",
    "off": "Not the same, set what the sheet has.",
}


def torque_check(args: Args) -> tuple[str, ...]:
    """verdict: match, unit-mixup, far or off; said, spec, share: Measure."""
    verdict = args.text("verdict")
    if verdict == "match":
        return (words.label(verdict, CHECKED),)
    share = f"it would be {measure_words(args.measure('share'))} of it"
    return (
        words.label(verdict, CHECKED),
        sentence(f"the sheet has {said(args.measure('spec'))}"),
        sentence(share),
    )


def preload(args: Args) -> tuple[str, ...]:
    """force, torque: Measure."""
    return (
        sentence(f"some {measure_words(args.measure('force'))} from {said(args.measure('torque'))}"),
        "A guide only, the torque stays what the sheet has.",
    )


# ---------------------------------------------------------------- bolts


def bolts_begin(args: Args) -> tuple[str, ...]:
    """count: int, torque: Measure, first: int."""
    return (
        sentence(f"{number_words(str(args.whole('count')))} bolts, criss cross"),
        sentence(f"first pass at {said(args.measure('torque'))}"),
        sentence(f"begin with {number_words(str(args.whole('first')))}, and count each aloud"),
    )


def bolt_next(args: Args) -> tuple[str, ...]:
    """next: int, in_turn: bool."""
    told = sentence(f"then {number_words(str(args.whole('next')))}")
    return (told,) if args.flag("in_turn") else ("That was out of turn, kept.", told)


def bolts_round(args: Args) -> tuple[str, ...]:
    """number, first: int, torque: Measure."""
    number = args.whole("number")
    kind = "last pass, once around" if number == 4 else f"pass {number_words(str(number))}"
    return (
        sentence(f"{kind}, at {said(args.measure('torque'))}"),
        sentence(f"begin with {number_words(str(args.whole('first')))}"),
    )


def bolts_where(args: Args) -> tuple[str, ...]:
    """number, next: int, torque: Measure."""
    return (
        sentence(
            f"this is pass {number_words(str(args.whole('number')))}, at {said(args.measure('torque'))}"
        ),
        sentence(f"then {number_words(str(args.whole('next')))}"),
    )


def bolts_other_round(args: Args) -> tuple[str, ...]:
    """number: int, torque: Measure."""
    number = number_words(str(args.whole("number")))
    return (sentence(f"we are at pass {number}, at {said(args.measure('torque'))}"),)


def bolts_missing(args: Args) -> tuple[str, ...]:
    """count, next: int."""
    count = args.whole("count")
    were = "was" if count == 1 else "were"
    return (
        sentence(f"{number_words(str(count))} of them {were} not counted"),
        sentence(f"go on with {number_words(str(args.whole('next')))}"),
    )


def bolts_all_done(args: Args) -> tuple[str, ...]:
    """torque: Measure."""
    return (sentence(f"all of them are tight, at {said(args.measure('torque'))}"),)


def bolt_anew(args: Args) -> tuple[str, ...]:
    """count: int."""
    return (sentence(f"which one, of {number_words(str(args.whole('count')))}"),)


def bolt_counted_before(args: Args) -> tuple[str, ...]:
    """next: int."""
    return (sentence(f"that one counts already, then {number_words(str(args.whole('next')))}"),)


TOOLS: Mapping[str, Wording] = {
    "makes": makes,
    "wrench-fits": wrench_fits,
    "torque-band": torque_band,
    "torque-check": torque_check,
    "preload": preload,
    "bolts-begin": bolts_begin,
    "bolt-next": bolt_next,
    "bolts-round": bolts_round,
    "bolts-where": bolts_where,
    "bolts-other-round": bolts_other_round,
    "bolts-missing": bolts_missing,
    "bolts-not-begun": fixed("They are not begun yet."),
    "bolts-all-done": bolts_all_done,
    "bolt-anew": bolt_anew,
    "bolt-counted-before": bolt_counted_before,
}
"""Reply key -> wording."""
