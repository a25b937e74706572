"""English answers to what was reckoned on the spot, and what is missing for it."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.asked import ASKED
from assistant.phrasing.en.numbers import measure_words, number_words
from assistant.phrasing.en.words import number_of, said, sentence
from assistant.phrasing.language import Args, Wording, fixed

HOW: Mapping[str, str] = {
    "capacity": "Say capacity, then the number and its unit.",
    "container": "Say each can holds, then the number and its unit.",
    "wrench-length": "Say wrench length, then the number and its unit.",
    "service-interval": "Say service interval, then the distance.",
    "coolant-left": "Say coolant left is, then the percentage.",
    "coolant-share": "Ask it with the percentage you want.",
    "stock": "Say in stock, then the number and its unit.",
    "wrench-lowest": "Say wrench from, both ends of its scale, and the unit.",
    "wrench-highest": "Say wrench from, both ends of its scale, and the unit.",
    "bolt-count": "Say there are, then the number, then bolts.",
    "pan-bolt-torque": "Say bolt torque, then the number and its unit.",
    "bolt-diameter": "Say bolt diameter, then the number and its unit.",
    "friction": "Say friction, then the number.",
    "fluid-viscosity": "Say viscosity at one hundred is, then the number.",
    "fluid-viscosity-40": "Say viscosity at forty is, then the number.",
    "old-viscosity": "Say old viscosity, then the number.",
    "hole": "Say plug hole is, then the number and its unit.",
    "pan-area": "Say pan measures, both sides, and the unit.",
    "wall-width": "Say wall measures, width by height, and the unit.",
    "wall-height": "Say wall measures, width by height, and the unit.",
    "density-ratio": "Say density ratio, then the number.",
    "service-months": "Say service every, then the number of months.",
    "service-due": "Say service due at, then the distance.",
}
"""How a figure that the mechanic can give is told; without an entry it belongs into the sheet."""
PLUGS: Mapping[str, str] = {"drain": "the drain", "fill": "the filler"}


def needs_figure(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet."""
    name = args.text("figure")
    how = HOW.get(name)
    return (sentence(f"for that I lack {words.label(name, words.FIGURES)}"), *((how,) if how else ()))


def old_left(args: Args) -> tuple[str, ...]:
    """share: Measure, amount: Measure of old fluid."""
    share, amount = measure_words(args.measure("share")), measure_words(args.measure("amount"))
    return (sentence(f"{share} of the old, {amount}, once it is refilled and mixed"),)


def changes(args: Args) -> tuple[str, ...]:
    """count: int, share: Measure, of: new or old, fluid: Measure in all, by_sheet: bool."""
    count = args.whole("count")
    many = f"{number_words(str(count))} {'change' if count == 1 else 'changes'}"
    share = measure_words(args.measure("share"))
    reach = f"at least {share} new" if args.text("of") == "new" else f"at most {share} old"
    by = "each as large as the sheet expects" if args.flag("by_sheet") else "each as large as this one"
    return (sentence(f"{many} for {reach}"), sentence(f"that takes {said(args.measure('fluid'))}, {by}"))


def torque_makes(args: Args) -> tuple[str, ...]:
    """given, torque: Measure."""
    return (sentence(f"{said(args.measure('given'))} make {said(args.measure('torque'))}"),)


def adapter_setting(args: Args) -> tuple[str, ...]:
    """setting, torque: Measure, plug: drain or fill, adapter, length: Measure."""
    wanted = words.label(args.text("plug"), PLUGS)
    lengths = f"adapter {said(args.measure('adapter'))}, wrench {said(args.measure('length'))}"
    return (
        sentence(f"set the wrench at {said(args.measure('setting'))}"),
        sentence(f"it makes {said(args.measure('torque'))} at {wanted}"),
        sentence(lengths),
    )


def owed(args: Args) -> tuple[str, ...]:
    """how: even, still-short or still-over; amount: Measure."""
    amount = said(args.measure("amount"))
    by_how = {
        "even": "as much went in as came out",
        "still-short": f"it lacks {amount} of what came out",
        "still-over": f"it got {amount} beyond what came out",
    }
    return (sentence(words.label(args.text("how"), by_how)),)


def _source(args: Args) -> str:
    return "what the sheet expects" if args.flag("by_sheet") else "what is needed"


def buy(args: Args) -> tuple[str, ...]:
    """count: int, size, need, left: Measure, by_sheet: bool, stock: Measure | None."""
    count, size, need = args.whole("count"), said(args.measure("size")), said(args.measure("need"))
    stock = args.maybe("stock")
    counted = sentence(f"counted with {said(stock)} at hand") if stock else "Nothing counted as at hand."
    if count == 0:
        return (sentence(f"nothing, for {need}, {_source(args)}"), counted)
    cans = "can" if count == 1 else "cans"
    return (
        sentence(f"{number_words(str(count))} {cans} of {size} for {need}, {_source(args)}"),
        counted,
        sentence(f"{said(args.measure('left'))} will be over"),
    )


def pour_plan(args: Args) -> tuple[str, ...]:
    """full: int of full cans, last, left, short: Measure | None."""
    full, last = args.whole("full"), args.maybe("last")
    left, short = args.maybe("left"), args.maybe("short")
    cans = f"{number_words(str(full))} full {'can' if full == 1 else 'cans'}"
    begun = f"{said(last)} from {'the last' if full else 'one can'}" if last else ""
    told = [", then ".join(part for part in (cans if full else "", begun) if part) or "nothing is at hand"]
    told += [f"it keeps {said(left)}"] if left is not None and last is not None else []
    told += [f"{said(short)} must be bought"] if short is not None else []
    return tuple(sentence(one) for one in told)


def due_at(args: Args) -> tuple[str, ...]:
    """distance: Measure on the clock; by_last: bool, reckoned from the last service, not from this one."""
    by = ("Counted from the service before this one.",) if args.flag("by_last") else ()
    return (sentence(f"it falls due at {said(args.measure('distance'))}"), *by)


def mixture(args: Args) -> tuple[str, ...]:
    """share, concentrate, water: Measure."""
    poured = f"{said(args.measure('concentrate'))} of concentrate and {said(args.measure('water'))} of water"
    return (
        sentence(f"{poured}, for {measure_words(args.measure('share'))}"),
        "Check it with the refractometer.",
    )


def mixture_out_of_reach(args: Args) -> tuple[str, ...]:
    """share: Measure, drain: Measure that must come out at least."""
    return (
        sentence(f"{measure_words(args.measure('share'))} is out of reach"),
        sentence(f"let out {said(args.measure('drain'))} at least"),
    )


CLASS: Mapping[str, str] = {
    "of-class": "The fluid is of the class the sheet asks for.",
    "too-thin": "The fluid is too thin for the class on the sheet.",
    "too-thick": "The fluid is too thick for the class on the sheet.",
}


def class_verdict(args: Args) -> tuple[str, ...]:
    """verdict: of-class, too-thin or too-thick."""
    return (words.label(args.text("verdict"), CLASS),)


def _about_figure(text: str) -> Wording:
    def worded(args: Args) -> tuple[str, ...]:
        """figure: a name of the sheet."""
        return (sentence(text.format(words.label(args.text("figure"), words.FIGURES))),)

    return worded


def figure_stands(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet, measure: Measure it has."""
    name = words.label(args.text("figure"), words.FIGURES)
    return (
        sentence(f"the data says {said(args.measure('measure'))} for {name}"),
        "To change it, begin with the word correction.",
    )


# ---------------------------------------------------------------- warmth, waits, drips


def in_window(args: Args) -> tuple[str, ...]:
    """temperature: Measure."""
    return (sentence(f"{said(args.measure('temperature'))}, that is inside the window"),)


def reads_at_mark(args: Args) -> tuple[str, ...]:
    """mark: hot or cold."""
    return (sentence(f"inside the window, so it belongs to the {args.text('mark')} mark itself"),)


def reads_away(args: Args) -> tuple[str, ...]:
    """mark: hot or cold, away: Measure, lower: bool, temperature: Measure."""
    side = "lower" if args.flag("lower") else "higher"
    return (
        sentence(f"some {said(args.measure('away'))} {side} than the {args.text('mark')} mark"),
        sentence(f"at {said(args.measure('temperature'))} that is a guide, judge it inside the window"),
    )


def wait_left(args: Args) -> tuple[str, ...]:
    """minutes, goal: Measure, rough: bool."""
    minutes = said(args.measure("minutes"))
    told = sentence(f"some {minutes} more until {said(args.measure('goal'))}")
    return (told, *(("A rough guide, measure again on the way.",) if args.flag("rough") else ()))


def there_by_now(args: Args) -> tuple[str, ...]:
    """goal: Measure."""
    return (sentence(f"{said(args.measure('goal'))} should be reached by now"), "Measure it.")


def not_on_its_way(args: Args) -> tuple[str, ...]:
    """goal: Measure."""
    return (sentence(f"what you measured does not move towards {said(args.measure('goal'))}"),)


DRIPS: Mapping[str, str] = {
    "stopped": "The drip is over, so there is nothing to wait for.",
    "stream": "While it streams, let it run.",
    "drops": "For that I need the interval between two drops.",
}


def drip_verdict(args: Args) -> tuple[str, ...]:
    """state: of the drip."""
    return (words.label(args.text("state"), DRIPS),)


def worth_waiting(args: Args) -> tuple[str, ...]:
    """more: Measure that ten minutes bring, left: Measure in all, worth: bool."""
    more, left = args.measure("more"), args.measure("left")
    verdict = "That pays." if args.flag("worth") else "That hardly pays."
    return (
        sentence(f"ten minutes longer would bring {said(more)} of some {number_of(left, more)}"),
        verdict,
    )


def leak(args: Args) -> tuple[str, ...]:
    """interval: Measure, a_day: Measure of volume."""
    return (
        sentence(f"every day loses some {said(args.measure('a_day'))}, known only roughly"),
        sentence(f"that is by the drip told, {said(args.measure('interval'))}"),
    )


RECKONED: Mapping[str, Wording] = {
    "needs-figure": needs_figure,
    "old-left": old_left,
    "share-needed": fixed("Ask it with the percentage you want."),
    "changes": changes,
    "torque-makes": torque_makes,
    "adapter-needed": fixed("Ask it with the length of the adapter, from drive to bolt."),
    "which-plug-torque": fixed("The two plugs differ.", "Ask it with the name of the one you mean."),
    "adapter-setting": adapter_setting,
    "owed": owed,
    "nothing-needed": fixed("Enough has gone in already."),
    "buy": buy,
    "pour-plan": pour_plan,
    "needs-distance": fixed(
        "For that I need the distance on the clock.", "Say clock reads, then digit by digit and the unit."
    ),
    "due-at": due_at,
    "mixture": mixture,
    "mixture-out-of-reach": mixture_out_of_reach,
    "no-grade": fixed("The data lacks the grade of the fluid."),
    "class-verdict": class_verdict,
    "figure-anew": _about_figure("not sure, give me {} once more"),
    "figure-which-system": _about_figure("give me {} with its system of measures"),
    "figure-stands": figure_stands,
    "out-of-range": fixed("That lies outside of what can be reckoned."),
    "needs-temperature": fixed("For that I need a temperature, the number and its scale."),
    "temperature-too-old": fixed("The last temperature is too old for that.", "Measure once more."),
    "needs-second-temperature": fixed("For that I need a second temperature, some minutes later."),
    "scale-needed": fixed("Ask it with the scale of the temperature."),
    "in-window": in_window,
    "reads-at-mark": reads_at_mark,
    "reads-away": reads_away,
    "wait-left": wait_left,
    "there-by-now": there_by_now,
    "not-on-its-way": not_on_its_way,
    "drip-verdict": drip_verdict,
    "needs-drip": fixed(
        "For that I need the interval between two drops.", "Say drip interval, then the number in seconds."
    ),
    "needs-drain-timer": fixed("For that the drain timer must have run since it was opened."),
    "worth-waiting": worth_waiting,
    "leak": leak,
    **ASKED,
}
