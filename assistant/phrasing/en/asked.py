"""English answers to what is asked by the name of its computation: fluids, levels, pouring, what is due."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.asked_tools import TOOLS
from assistant.phrasing.en.numbers import measure_words, number_words
from assistant.phrasing.en.words import number_of, said, sentence
from assistant.phrasing.language import Args, Wording, fixed
from assistant.units import Measure


def _plain(measure: Measure) -> str:
    return measure_words(measure)


# ---------------------------------------------------------------- fluids


def viscosity_at(args: Args) -> tuple[str, ...]:
    """viscosity, at: Measure; outside: bool, where the formula is a guess."""
    told = sentence(f"{_plain(args.measure('viscosity'))} at {said(args.measure('at'))}")
    return (told, "Beyond its range, a rough guide.") if args.flag("outside") else (told,)


def viscosity_index(args: Args) -> tuple[str, ...]:
    """index: Measure, a whole number."""
    return (sentence(f"the index is {_plain(args.measure('index'))}"),)


def blend(args: Args) -> tuple[str, ...]:
    """viscosity: Measure at a hundred degrees, share: Measure of old fluid."""
    return (
        sentence(f"{_plain(args.measure('viscosity'))} at one hundred degrees Celsius"),
        sentence(f"with {_plain(args.measure('share'))} of the old fluid in it"),
    )


def volume_cold(args: Args) -> tuple[str, ...]:
    """fluid: oil, coolant or water; volume, at, cold, to: Measure."""
    fluid = {"oil": "", "coolant": " of fifty percent coolant", "water": " of water"}[args.text("fluid")]
    warm = f"{said(args.measure('volume'))}{fluid} at {said(args.measure('at'))}"
    cold = f"shrink to {said(args.measure('cold'))} at {said(args.measure('to'))}"
    return (sentence(warm), sentence(cold))


def oil_factor(args: Args) -> tuple[str, ...]:
    """factor, at: Measure."""
    return (sentence(f"{_plain(args.measure('factor'))} at {said(args.measure('at'))}"),)


def warm_after(args: Args) -> tuple[str, ...]:
    """temperature, wait: Measure, rough: bool."""
    told = f"after {said(args.measure('wait'))} some {said(args.measure('temperature'))}"
    return (sentence(told), *(("A rough guide, measure again on the way.",) if args.flag("rough") else ()))


def settles_at(args: Args) -> tuple[str, ...]:
    """temperature: Measure, sure: bool."""
    if not args.flag("sure"):
        return ("The three readings do not tell that.", "Measure once more, later.")
    return (sentence(f"it tends to some {said(args.measure('temperature'))}"),)


def exchange_leaves(args: Args) -> tuple[str, ...]:
    """volume, mixed, plug: Measure."""
    mixed, plug = args.measure("mixed"), args.measure("plug")
    return (
        sentence(f"{said(args.measure('volume'))} through the lines leave {_plain(mixed)} old, fully mixed"),
        sentence(f"without any mixing {_plain(plug)}, so it is in between"),
    )


def exchange_takes(args: Args) -> tuple[str, ...]:
    """volume, share: Measure, of: new or old."""
    share, side = _plain(args.measure("share")), args.text("of")
    return (sentence(f"{said(args.measure('volume'))} through the lines for {share} {side}, fully mixed"),)


def drum(args: Args) -> tuple[str, ...]:
    """count: int, stock, old, over: Measure; wanted: int and short: Measure, or None."""
    count, wanted, short = args.whole("count"), args.given.get("wanted"), args.maybe("short")
    times = f"{number_words(str(count))} {'change' if count == 1 else 'changes'}"
    told = [
        sentence(f"{said(args.measure('stock'))} are good for {times}"),
        sentence(f"after that {_plain(args.measure('old'))} is old"),
        sentence(f"{said(args.measure('over'))} of it remain"),
    ]
    if isinstance(wanted, int):
        lack = f"that lacks {said(short)}" if short is not None else "that is enough"
        told.append(sentence(f"wanted are {number_words(str(wanted))}, {lack}"))
    return tuple(told)


def coolant_exchange(args: Args) -> tuple[str, ...]:
    """amount, share: Measure, water: bool."""
    what = "water" if args.flag("water") else "concentrate"
    return (
        sentence(f"let out {said(args.measure('amount'))}, then the same of {what}"),
        sentence(f"that makes {_plain(args.measure('share'))}"),
    )


def coolant_taken(args: Args) -> tuple[str, ...]:
    """trapped: bool, out, back: Measure."""
    took = f"it took {said(args.measure('back'))} of {said(args.measure('out'))}"
    if args.flag("trapped"):
        return (sentence(f"likely, {took}"), "Bleed it before the engine runs.")
    return (sentence(f"not by the amounts, {took}"),)


# ---------------------------------------------------------------- levels and draining


def level_offset(args: Args) -> tuple[str, ...]:
    """away: Measure, low: bool, bound: bool where the stick only bounds it."""
    away = args.measure("away")
    if away.exact == 0:
        return ("It stands at the upper mark, as it should.",)
    how, side = ("lacks", "of") if args.flag("low") else ("has", "beyond")
    return (sentence(f"it {how} {said(away)} {side} full{', at the least' if args.flag('bound') else ''}"),)


def level_to_add(args: Args) -> tuple[str, ...]:
    """amount: Measure, drain: bool."""
    amount = said(args.measure("amount"))
    if args.flag("drain"):
        return (sentence(f"let out {amount}"),)
    return (sentence(f"{amount} to the upper mark"), "In small steps, and read it again.")


def level_rise(args: Args) -> tuple[str, ...]:
    """away, at, to: Measure, falls: bool."""
    way = "falls" if args.flag("falls") else "rises"
    return (
        sentence(f"the level {way} by some {said(args.measure('away'))}"),
        sentence(f"from {said(args.measure('at'))} to {said(args.measure('to'))}"),
    )


def pan_volume(args: Args) -> tuple[str, ...]:
    """height, volume: Measure."""
    return (sentence(f"{said(args.measure('height'))} of the pan hold {said(args.measure('volume'))}"),)


PLUG_SAYS: Mapping[str, str] = {
    "engine-off": "Not with the engine stopped, put the plug in.",
    "close": "It stands as it should, put the plug in.",
    "let-run": "There is too much in it, let it run to a trickle.",
    "add": "It is short, pour some and look again.",
}


def plug_says(args: Args) -> tuple[str, ...]:
    """verdict: of the overflow."""
    return (words.label(args.text("verdict"), PLUG_SAYS),)


BELIEVE: Mapping[str, str] = {
    "believed": "As it was read.",
    "wipe-and-dip-again": "Not yet, wipe it and dip it once more.",
    "disagree": "The two readings disagree, wipe it and dip it once more.",
}


def believe_stick(args: Args) -> tuple[str, ...]:
    """verdict: believed, wipe-and-dip-again or disagree."""
    return (words.label(args.text("verdict"), BELIEVE),)


def drip_rate(args: Args) -> tuple[str, ...]:
    """rate, interval: Measure."""
    return (
        sentence(f"some {_plain(args.measure('rate'))}, known only roughly"),
        sentence(f"that is by the drip told, {said(args.measure('interval'))}"),
    )


def time_to_drain(args: Args) -> tuple[str, ...]:
    """time: Measure."""
    return (sentence(f"{said(args.measure('time'))} at the very least"), "Thick fluid takes longer.")


def clinging(args: Args) -> tuple[str, ...]:
    """volume, at: Measure."""
    return (sentence(f"some {said(args.measure('volume'))} of film, at {said(args.measure('at'))}"),)


def clings_colder(args: Args) -> tuple[str, ...]:
    """times, warm, cold: Measure."""
    warm, cold = said(args.measure("warm")), said(args.measure("cold"))
    return (
        sentence(f"{_plain(args.measure('times'))} times as much stays at {cold}"),
        sentence(f"against {warm}"),
    )


# ---------------------------------------------------------------- pouring, units, the next service

MUST_STOP: Mapping[str, str] = {
    "go-on": "Not yet.",
    "stop-over": "Pour nothing further, and look for a leak.",
    "stop-refuses": "It takes nothing further, read the level.",
}


def must_stop(args: Args) -> tuple[str, ...]:
    """verdict: go-on, stop-over or stop-refuses; done: Measure | None, refill: Measure."""
    done, refill = args.maybe("done"), args.measure("refill")
    amounts = (
        f"{number_of(done, refill)} of {said(refill)}" if done is not None else f"none of {said(refill)}"
    )
    return (words.label(args.text("verdict"), MUST_STOP), sentence(amounts))


PLAUSIBLE: Mapping[str, str] = {
    "plausible": "That is plausible.",
    "far-less": "Far less than to be expected.",
    "far-more": "Far more than to be expected.",
}


def plausible_amount(args: Args) -> tuple[str, ...]:
    """verdict: plausible, far-less or far-more; amount, expected: Measure."""
    amounts = f"{said(args.measure('amount'))} came, {said(args.measure('expected'))} expected"
    return (words.label(args.text("verdict"), PLAUSIBLE), sentence(amounts))


def unit_owed(args: Args) -> tuple[str, ...]:
    """unit: its name, how: even, still-short or still-over, amount: Measure."""
    amount = said(args.measure("amount"))
    by_how = {
        "even": "even, as much went back",
        "still-short": f"lacks {amount}, do not run it",
        "still-over": f"has {amount} beyond what came, do not run it",
    }
    return (sentence(f"{words.speakable(args.text('unit'))}, {words.label(args.text('how'), by_how)}"),)


def first_pour(args: Args) -> tuple[str, ...]:
    """first, then: Measure, by_sheet: bool where no advice was given yet."""
    by = ("By what came, or by the sheet.",) if args.flag("by_sheet") else ()
    return (
        sentence(f"{said(args.measure('first'))} to begin with"),
        sentence(f"then look, and add the other {said(args.measure('then'))} bit by bit"),
        *by,
    )


def due_on(args: Args) -> tuple[str, ...]:
    """date: an ISO date, first: bool where distance and months were compared."""
    return (
        sentence(words.date(args.text("date"))),
        *(("Whichever comes earlier.",) if args.flag("first") else ()),
    )


def distance_left(args: Args) -> tuple[str, ...]:
    """distance: Measure, past: bool."""
    distance = said(args.measure("distance"))
    return (sentence(f"it is past by {distance}" if args.flag("past") else f"{distance} to run"),)


def needs_reading(args: Args) -> tuple[str, ...]:
    """kind: of a reading."""
    return (sentence(f"for that I need {words.label(args.text('kind'), words.KINDS)}"),)


def figure_digits(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet."""
    name = words.label(args.text("figure"), words.FIGURES)
    return (sentence(f"give me {name} digit by digit"),)


ASKED: Mapping[str, Wording] = {
    **TOOLS,
    "which-measure": fixed("In which system of measures?"),
    "system-needed": fixed("Ask it with the system of measures."),
    "needs-reading": needs_reading,
    "needs-third-temperature": fixed("For that I need three temperatures, the same time apart."),
    "figure-digits": figure_digits,
    "viscosity-at": viscosity_at,
    "viscosity-index": viscosity_index,
    "blend": blend,
    "volume-cold": volume_cold,
    "oil-factor": oil_factor,
    "warm-after": warm_after,
    "settles-at": settles_at,
    "exchange-leaves": exchange_leaves,
    "exchange-takes": exchange_takes,
    "drum": drum,
    "coolant-exchange": coolant_exchange,
    "coolant-taken": coolant_taken,
    "level-offset": level_offset,
    "level-to-add": level_to_add,
    "level-rise": level_rise,
    "pan-volume": pan_volume,
    "plug-says": plug_says,
    "believe-stick": believe_stick,
    "drip-rate": drip_rate,
    "time-to-drain": time_to_drain,
    "clinging": clinging,
    "clings-colder": clings_colder,
    "must-stop": must_stop,
    "plausible-amount": plausible_amount,
    "unit-owed": unit_owed,
    "first-pour": first_pour,
    "due-on": due_on,
    "distance-left": distance_left,
}
"""Reply key -> wording."""
