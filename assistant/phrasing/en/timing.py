"""English replies about timers: a name is never followed by a length of time, for that would start one."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import duration_words, echoed_duration_words, rough_duration_words
from assistant.phrasing.en.words import sentence
from assistant.phrasing.language import Args, Wording

LATE_MS = 30_000
"""A timer announced later than this after its end says how late it is."""


def _named(args: Args) -> str:
    """Return what the timer is called, with its unit where a job has several."""
    return words.timer(args.text("name"), args.maybe_text("unit"))


def timer_on(args: Args) -> tuple[str, ...]:
    """name: str, ms: int; told digit by digit where it may have been misheard."""
    return (sentence(f"{_named(args)} on, {echoed_duration_words(args.whole('ms'))}"),)


def timer_runs(args: Args) -> tuple[str, ...]:
    """name: str, ms: int."""
    return (sentence(f"{_named(args)} runs already, {duration_words(args.whole('ms'))}"),)


def timer_over(args: Args) -> tuple[str, ...]:
    """name: str, ms: int, late: int."""
    end = sentence(f"{duration_words(args.whole('ms'))}, {_named(args)}")
    late = args.whole("late")
    return (end, sentence(f"due {rough_duration_words(late)} ago")) if late > LATE_MS else (end,)


def timer_over_again(args: Args) -> tuple[str, ...]:
    """name: str, ms: int, late: int; said after a restart when it may have been cut off."""
    return ("Again.", *timer_over(args))


def timer_doubtful(args: Args) -> tuple[str, ...]:
    """name: str; the clock cannot tell whether it is over."""
    return (
        "My clock was set meanwhile.",
        sentence(f"is the {_named(args)} over?"),
    )


def timer_gone(args: Args) -> tuple[str, ...]:
    """name: str, gone, left: int (ms), named: bool."""
    gone = duration_words(args.whole("gone"))
    return (sentence(f"{_named(args)} has {gone} gone" if args.flag("named") else f"{gone} gone"),)


def timer_was_over(args: Args) -> tuple[str, ...]:
    """name: str."""
    return (sentence(f"the {_named(args)} is over"),)


def no_timer(args: Args) -> tuple[str, ...]:
    """name: str, empty where no name was said."""
    name = args.text("name")
    return (sentence(f"the {words.timer(name)} is off" if name else "all timers are off"),)


def which_timer(args: Args) -> tuple[str, ...]:
    """names: tuple of timer names."""
    return (sentence(f"which timer, {words.listed(args.texts('names'))}?"),)


def timer_off(args: Args) -> tuple[str, ...]:
    """name: str, gone: int (ms)."""
    return (sentence(f"{_named(args)} off after {duration_words(args.whole('gone'))}"),)


TIMERS: Mapping[str, Wording] = {
    "timer-on": timer_on,
    "timer-runs": timer_runs,
    "timer-over": timer_over,
    "timer-over-again": timer_over_again,
    "timer-doubtful": timer_doubtful,
    "timer-gone": timer_gone,
    "timer-was-over": timer_was_over,
    "no-timer": no_timer,
    "which-timer": which_timer,
    "timer-off": timer_off,
}
