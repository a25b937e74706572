"""English advice: the refill, what is still to pour, what a drip and a level say."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import readings, words
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.words import CONFIRM, sentence
from assistant.phrasing.language import Args, Wording
from assistant.units import Measure, compare

WORTH_SAYING = Measure("3", "millilitre")
"""Less than this still to drip is no figure worth hearing."""


def _for_level(args: Args) -> tuple[str, ...]:
    amount = args.measure("amount")
    low, over = args.maybe("low_by"), args.maybe("over_by")
    if low is not None:
        return (sentence(f"that adds {words.number_of(low, amount)} for the level found"),)
    return (sentence(f"that leaves out {words.number_of(over, amount)} for the level found"),) if over else ()


def _for_warmth(args: Args) -> tuple[str, ...]:
    amount, less = args.measure("amount"), args.maybe("cooler_by")
    if less is None:
        return ()
    return (sentence(f"that takes off {words.number_of(less, amount)}, as it was measured warm"),)


def advise_refill(args: Args) -> tuple[str, ...]:
    """amount: Measure, low_by, over_by, cooler_by: Measure | None, estimate, changed: bool."""
    start = "now refill" if args.flag("changed") else "refill"
    amount = words.number_of(args.measure("amount"))
    end = ", an estimate" if args.flag("estimate") else ""
    return (
        sentence(f"{start} {amount} at workshop temperature{end}"),
        *_for_warmth(args),
        *_for_level(args),
        CONFIRM,
    )


def advise_again(args: Args) -> tuple[str, ...]:
    """amount: Measure."""
    return (sentence(f"refill {words.number_of(args.measure('amount'))}"), CONFIRM)


def pour_first(args: Args) -> tuple[str, ...]:
    """amount: Measure to pour first, whole: Measure advised."""
    amount = args.measure("amount")
    whole = words.number_of(args.measure("whole"), amount)
    return (
        sentence(f"first pour {words.number_of(amount)} of the {whole}"),
        "The rest in small parts, with checks.",
    )


def _done_so_far(args: Args) -> tuple[str, ...]:
    done = args.maybe("done")
    return (readings.sum_so_far("poured", done),) if done is not None else ()


def pour_to_go(args: Args) -> tuple[str, ...]:
    """done: Measure | None, left: Measure, can: int (which container; 0: only one), estimate: bool."""
    left = words.number_of(args.measure("left"), args.maybe("done"))
    can = readings.ORDINALS.get(str(args.whole("can")))
    end = f", from the {can} can" if can else ""
    end += ", an estimate" if args.flag("estimate") else ""
    return (*_done_so_far(args), sentence(f"still to pour, {left}{end}"))


def pour_complete(args: Args) -> tuple[str, ...]:
    """done: Measure | None."""
    return (*_done_so_far(args), "That is the amount advised.")


def pour_over(args: Args) -> tuple[str, ...]:
    """done: Measure | None, over: Measure."""
    over = words.number_of(args.measure("over"), args.maybe("done"))
    return (*_done_so_far(args), sentence(f"that passes the advice by {over}"))


def drip_advice(args: Args) -> tuple[str, ...]:
    """left: Measure still to come, more: Measure that waiting brings, minutes: int."""
    left, more = args.measure("left"), args.measure("more")
    wait = number_words(str(args.whole("minutes")))
    if compare(left, WORTH_SAYING) < 0:
        return ("Next to nothing is still to come.",)
    return (
        sentence(f"some {words.number_of(left)} still to come"),
        sentence(f"{wait} minutes more would bring {words.number_of(more, left)}"),
    )


def how_sure(args: Args) -> tuple[str, ...]:
    """amount: Measure, plus_minus: Measure | None, estimate: bool."""
    amount, bound = args.measure("amount"), args.maybe("plus_minus")
    spoken = words.number_of(amount)
    exact = (
        f"{spoken}, give or take {words.number_of(bound, amount)}"
        if bound
        else f"{spoken}, of unknown exactness"
    )
    return (sentence(exact), *(("One input is an estimate.",) if args.flag("estimate") else ()))


def _window(side: str, end: str, consequence: str, cure: str) -> Wording:
    def worded(args: Args) -> tuple[str, ...]:
        """temperature, low, high: Measure."""
        told = args.measure("temperature")
        limit = words.number_of(args.measure(end), told)
        return (
            sentence(f"{words.number_of(told)} is {side} the window"),
            sentence(f"it {_VERB[end]} at {limit}, judged now it would end {consequence}"),
            cure,
        )

    return worded


_VERB = {"low": "begins", "high": "ends"}


def level_low(args: Args) -> tuple[str, ...]:
    """add: Measure | None."""
    add = args.maybe("add")
    amount = words.number_of(add) if add is not None else "a little"
    return ("Short of the mark.", sentence(f"add {amount}, then dip once more"))


def level_high(args: Args) -> tuple[str, ...]:
    """over: Measure | None."""
    over = args.maybe("over")
    return (
        (
            sentence(f"it stands {words.number_of(over)} past the mark")
            if over is not None
            else "It stands past the mark."
        ),
    )


def no_advice_over_capacity(args: Args) -> tuple[str, ...]:
    """amount: Measure that was reckoned, capacity: Measure of the whole unit."""
    amount, capacity = args.measure("amount"), args.measure("capacity")
    return (
        sentence(f"that comes to {words.number_of(amount)}"),
        sentence(f"the whole unit holds {words.number_of(capacity, amount)}"),
        "I advise nothing until an amount is put right.",
    )


ADVICE: Mapping[str, Wording] = {
    "advise-refill": advise_refill,
    "advise-again": advise_again,
    "no-advice-over-capacity": no_advice_over_capacity,
    "pour-first": pour_first,
    "pour-to-go": pour_to_go,
    "pour-complete": pour_complete,
    "pour-over": pour_over,
    "drip-advice": drip_advice,
    "how-sure": how_sure,
    "too-cold": _window("below", "low", "overfilled", "Let it heat up."),
    "too-hot": _window("above", "high", "short of fluid", "Let it cool."),
    "level-low": level_low,
    "level-high": level_high,
}
