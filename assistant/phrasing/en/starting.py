"""English replies around a job: the menu, beginning and resuming, and what could not be saved."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.readings import read_back, sentences_of
from assistant.phrasing.en.words import said, sentence
from assistant.phrasing.language import Args, Wording, fixed
from assistant.units import for_speech

LISTS: Mapping[str, str] = {
    "service": "service",
    "vehicle": "vehicle",
    "job": "open job",
    "unit": "unit",
    "variant": "build",
}
"""What is on a list."""


def welcome(args: Args) -> tuple[str, ...]:
    """open_jobs: int."""
    count = args.whole("open_jobs")
    if not count:
        return ("The assistant is listening.", "Which job, new or quick?")
    are = "job is" if count == 1 else "jobs are"
    return (sentence(f"{number_words(str(count))} {are} open"), "Which one, new, quick or resumed?")


def menu_empty(args: Args) -> tuple[str, ...]:
    """what: service, vehicle or job."""
    return (sentence(f"the list of {words.label(args.text('what'), LISTS)}s is empty"),)


def menu(args: Args) -> tuple[str, ...]:
    """what: service, vehicle or job; options: tuple of texts, told with their figures."""
    options = (
        sentence(f"{number_words(str(place))}, {words.speakable(one)}")
        for place, one in enumerate(args.texts("options"), start=1)
    )
    return (*options, sentence(f"which {words.label(args.text('what'), LISTS)}, by its number?"))


def menu_more(args: Args) -> tuple[str, ...]:
    """names: tuple of the services chosen."""
    names = [words.speakable(one) for one in args.texts("names")]
    return (
        *([sentence(f"so far, {', and '.join(names)}")] if len(names) > 1 else []),
        "Which other service goes with it, by its number?",
        "Otherwise turn me down.",
    )


def menu_same_unit(args: Args) -> tuple[str, ...]:
    """name: str of a service."""
    return (sentence(words.speakable(args.text("name"))), "Its unit is in this job already.")


def menu_list(args: Args) -> tuple[str, ...]:
    """places: tuple of numbers as texts, options: the names at those places."""
    pairs = zip(args.texts("places"), args.texts("options"), strict=True)
    return tuple(sentence(f"{number_words(place)}, {words.speakable(name)}") for place, name in pairs)


def not_a_choice(args: Args) -> tuple[str, ...]:
    """count: int, how many options there are."""
    return (sentence(f"the list ends at {number_words(str(args.whole('count')))}"), "Which number?")


def job_begins(args: Args) -> tuple[str, ...]:
    """title: str of the procedure, vehicle: str."""
    return (sentence(_titled(args)),)


FOUND: Mapping[str, str] = {
    "magnet-clean": "nothing metallic",
    "magnet-fuzz": "a thin smear of wear",
    "magnet-flakes": "flaky metal",
    "magnet-chips": "broken metal",
    "coolant-in-fluid": "coolant in it",
    "fuel-in-fluid": "fuel in it",
    "foam-in-fluid": "bubbles in it",
    "burnt": "overheated",
    "cloudy": "perhaps water in it",
    "dark": "well aged",
}
"""What was found last time, in words nobody reports a find with."""
MOST_FOUND = 2


def last_time(args: Args) -> tuple[str, ...]:
    """into: Measure, found: names of findings, of which the first known ones are told."""
    return (sentence(", ".join([f"last time {said(for_speech(args.measure('into')))}", *_found(args)])),)


def _found(args: Args) -> list[str]:
    return [FOUND[name] for name in args.texts("found") if name in FOUND][:MOST_FOUND]


def last_service(args: Args) -> tuple[str, ...]:
    """date: an ISO date, distance: Measure | None, into: Measure, found: names of findings."""
    distance = args.maybe("distance")
    at = f", at {said(distance)}" if distance is not None else ""
    what = [f"it got {said(for_speech(args.measure('into')))}", *_found(args)]
    return (sentence(f"{words.date(args.text('date'))}{at}"), sentence(", ".join(what)))


def named(args: Args) -> tuple[str, ...]:
    """who: str, initials or a name."""
    return (sentence(f"on record, {words.person(args.text('who'))}"),)


def job_resumed(args: Args) -> tuple[str, ...]:
    """title: str of the procedure, vehicle: str."""
    return (sentence(f"resumed, {_titled(args)}"),)


def _titled(args: Args) -> str:
    return ", ".join(words.speakable(args.text(name)) for name in ("title", "vehicle") if args.text(name))


def resumed(args: Args) -> tuple[str, ...]:
    """reading: Reading | None, the last one that was not standing."""
    reading = args.maybe_reading()
    return ("Again.", *(sentences_of(reading) if reading is not None else ()))


def resume_where(args: Args) -> tuple[str, ...]:
    """number: int, title: str."""
    title = words.speakable(args.text("title"))
    return (
        sentence(
            f"we stopped at step {number_words(str(args.whole('number')))}" + (f", {title}" if title else "")
        ),
    )


def first_start(args: Args) -> tuple[str, ...]:
    """days: int; asked once, before any sound is kept."""
    days = number_words(str(args.whole("days")))
    return (
        "I can save the sound of your readings and notes.",
        "Then a doubtful figure can be checked later.",
        sentence(f"it never leaves this computer, and it is deleted after {days} days"),
        "May I?",
    )


def first_start_over(args: Args) -> tuple[str, ...]:
    """clips: readings or off, what was answered; empty where nobody answered."""
    if not args.text("clips"):
        return ("Without an answer I save it for today.", "I ask anew at the following start.")
    return ("I save it.",) if args.text("clips") == "readings" else ("I save none of it.",)


def unsaved(args: Args) -> tuple[str, ...]:
    """reading: Reading, or measure: Measure; either is told so that it can be written on paper."""
    reading, measure = args.maybe_reading(), args.maybe("measure")
    if reading is None and measure is None:
        return ("Not saved, write it down.",)
    what = read_back(reading) if reading is not None else said(measure) if measure is not None else ""
    return ("Not saved, write it down.", sentence(what))


STARTING: Mapping[str, Wording] = {
    "welcome": welcome,
    "menu": menu,
    "menu-empty": menu_empty,
    "menu-more": menu_more,
    "menu-same-unit": menu_same_unit,
    "menu-list": menu_list,
    "not-a-choice": not_a_choice,
    "job-begins": job_begins,
    "last-time": last_time,
    "last-service": last_service,
    "no-last-service": fixed("Nothing is on record of an earlier service here."),
    "ask-who": fixed("Who is at work?", "Letter by letter, or typed."),
    "named": named,
    "job-resumed": job_resumed,
    "resumed": resumed,
    "resume-where": resume_where,
    "unsaved": unsaved,
    "first-start": first_start,
    "first-start-over": first_start_over,
}
