"""English replies of jobs on several units, of repeated changes, of mixtures and of open overflow plugs."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import number_words, rough_duration_words
from assistant.phrasing.en.words import CONFIRM, sentence
from assistant.phrasing.language import Args, Wording, fixed


def held(args: Args) -> tuple[str, ...]:
    """missing: str, the procedure's label of a fact; unit: str, the unit it is of, where it is another."""
    return (sentence(f"before that, {words.speakable(args.text('missing'))}{_of(args)}"),)


def held_until(args: Args) -> tuple[str, ...]:
    """missing: str, the label of a fact that must not be so; unit: str."""
    return ("First put an end to this.", sentence(f"{words.speakable(args.text('missing'))}{_of(args)}"))


def _of(args: Args) -> str:
    unit = args.maybe_text("unit")
    return f", {words.speakable(unit)}" if unit else ""


def held_by_timer(args: Args) -> tuple[str, ...]:
    """name: str of a timer, left: int (ms), 0 where it was not started."""
    left = args.whole("left")
    if not left:
        return (sentence(f"before that, the {words.timer(args.text('name'))}"),)
    return (sentence(f"too early, {rough_duration_words(left)} to be waited"),)


def held_by_fluid(args: Args) -> tuple[str, ...]:
    """unit: str, which one, where it is another."""
    unit = args.maybe_text("unit")
    which = f"the {words.speakable(unit)}" if unit else "it"
    return (sentence(f"{which} holds too little to be run"), "The refill comes first.")


def unit(args: Args) -> tuple[str, ...]:
    """name: str, what is worked on from now."""
    return (sentence(f"now the {words.speakable(args.text('name'))}"),)


def no_such_unit(args: Args) -> tuple[str, ...]:
    """names: tuple of the units of this job."""
    names = tuple(words.speakable(one) for one in args.texts("names"))
    return (sentence(f"this job has {words.listed(names)}") if names else "This job has one unit.",)


def unit_done(args: Args) -> tuple[str, ...]:
    """name: str."""
    return (sentence(f"nothing is left to be seen to at the {words.speakable(args.text('name'))}"),)


def unit_later(args: Args) -> tuple[str, ...]:
    """name: str."""
    return (
        sentence(f"the {words.speakable(args.text('name'))} goes on later"),
        "First we see to all that is open beneath.",
    )


def unit_left(args: Args) -> tuple[str, ...]:
    """name: str."""
    return (sentence(f"the {words.speakable(args.text('name'))} is left as it is, and stays on record"),)


def parked(args: Args) -> tuple[str, ...]:
    """dry, open: tuples of units whose fluid is out, or that have a plug open; "" for the only one."""
    warned = _warned(args)
    return (
        "Job parked.",
        "Tag the wheel and do not start." if warned else "Hang a tag on the vehicle.",
        *warned,
    )


def _warned(args: Args) -> tuple[str, ...]:
    """Return "fluid is out of the transfer case" and "a plug is open at the engine", as far as that is so."""
    found = [(args.texts("dry"), "fluid is out", "of"), (args.texts("open"), "a plug is not closed", "at")]
    return tuple(sentence(f"{what}{_which(units, joint)}") for units, what, joint in found if units)


def _which(units: tuple[str, ...], joint: str) -> str:
    """Return "of the transfer case", or nothing where the job has but one unit."""
    named = " and ".join(words.speakable(one) for one in units if one)
    return f" {joint} the {named}" if named else ""


def still_tagged(args: Args) -> tuple[str, ...]:
    """dry, open: as for a job that is parked."""
    return ("It was left with its tag on.", *_warned(args))


def advise_mixture(args: Args) -> tuple[str, ...]:
    """share, concentrate, water: Measure."""
    concentrate = args.measure("concentrate")
    water = words.number_of(args.measure("water"), concentrate)
    return (
        sentence(f"refill {words.number_of(concentrate)} of concentrate, and {water} of water"),
        sentence(f"that makes {words.number_of(args.measure('share'))} of concentrate"),
        CONFIRM,
    )


def share_new(args: Args) -> tuple[str, ...]:
    """share: Measure in percent of new fluid."""
    return (sentence(f"by now {words.number_of(args.measure('share'))} of the fluid is fresh"),)


def ask_round(args: Args) -> tuple[str, ...]:
    """count: int of rounds still to go, fluid: Measure they take, share wanted, short: Measure | None."""
    count, short = args.whole("count"), args.maybe("short")
    rounds = "one round" if count == 1 else f"{number_words(str(count))} rounds"
    fluid = args.measure("fluid")
    lines = [sentence(f"{rounds} would reach {words.number_of(args.measure('share'))}")]
    lines.append(sentence(f"that takes {words.number_of(fluid)}"))
    if short is not None:
        lines.append(sentence(f"your stock is {words.number_of(short, fluid)} short"))
    return (*lines, "Shall we go round again?")


def overflow_let_run(args: Args) -> tuple[str, ...]:
    """much: bool, far more came than should have."""
    first = "That is far too much." if args.flag("much") else "There is too much in it."
    return (first, "Let it run, and tell me as it thins.")


def share_differs(args: Args) -> tuple[str, ...]:
    """wanted: Measure in percent, weak: bool, whether there is too little concentrate in it."""
    side = "weak" if args.flag("weak") else "strong"
    return (
        sentence(f"that is too {side}, for {words.number_of(args.measure('wanted'))} was wanted"),
        "It may not be mixed yet, so run it and measure anew.",
    )


def cool_not_yet(args: Args) -> tuple[str, ...]:
    """temperature told, most: Measure, the heat below which the cap may come off."""
    told = args.measure("temperature")
    return (
        sentence(f"{words.number_of(told)} is too much for the cap"),
        sentence(f"leave it shut until it is down to {words.number_of(args.measure('most'), told)}"),
    )


def start_too_warm(args: Args) -> tuple[str, ...]:
    """temperature told, most: Measure, where the window of the level begins."""
    told = args.measure("temperature")
    return (
        sentence(f"{words.number_of(told)} is too much for the start"),
        sentence(f"the engine stays off until {words.number_of(args.measure('most'), told)}"),
    )


def overflow_drops(args: Args) -> tuple[str, ...]:
    """rate: Measure a minute, of drops or waves."""
    return (sentence(f"that makes {words.number_of(args.measure('rate'))}"), "A surplus would stream.")


def pan_too_small(args: Args) -> tuple[str, ...]:
    """holds: Measure of the pan, most: Measure that may come."""
    most, holds = args.measure("most"), args.measure("holds")
    return (
        sentence(f"up to {words.number_of(most)} may come, the pan takes {words.number_of(holds, most)}"),
        "Have a second one beside it before you open.",
    )


def one_change_leaves(args: Args) -> tuple[str, ...]:
    """share: Measure in percent of old fluid, amount: Measure of it."""
    share, amount = words.number_of(args.measure("share")), words.number_of(args.measure("amount"))
    return (sentence(f"one change leaves {share} of the old, {amount}, behind"),)


def hole_low(args: Args) -> tuple[str, ...]:
    """add: Measure | None."""
    add = args.maybe("add")
    amount = words.number_of(add) if add is not None else "a little"
    return ("Short of the edge.", sentence(f"add {amount}, then look at it anew"))


SERVICES: Mapping[str, Wording] = {
    "held": held,
    "held-until": held_until,
    "held-by-timer": held_by_timer,
    "held-by-fluid": held_by_fluid,
    "unit": unit,
    "no-such-unit": no_such_unit,
    "unit-done": unit_done,
    "unit-left": unit_left,
    "unit-later": unit_later,
    "parked": parked,
    "still-tagged": still_tagged,
    "advise-mixture": advise_mixture,
    "share-new": share_new,
    "ask-round": ask_round,
    "ask-round-again": fixed("Shall we go round again?"),
    "overflow-close": fixed("That is the level it should have.", "Close it now."),
    "overflow-let-run": overflow_let_run,
    "overflow-add": fixed("It is short."),
    "overflow-engine-off": fixed("Nobody can judge it with the engine stopped."),
    "hole-low": hole_low,
    "share-differs": share_differs,
    "cool-not-yet": cool_not_yet,
    "cool-by-hand": fixed("That has to be measured here.", "The hand alone opens nothing."),
    "cool-enough": fixed("That is cool enough."),
    "start-too-warm": start_too_warm,
    "overflow-drops": overflow_drops,
    "pan-too-small": pan_too_small,
    "one-change-leaves": one_change_leaves,
}
