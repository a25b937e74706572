"""English replies around a job: the menu, beginning and resuming, and what could not be saved."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en import words
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.readings import read_back, sentences_of
from assistant.phrasing.en.words import said, sentence
from assistant.phrasing.language import Args, Wording


def menu(args: Args) -> tuple[str, ...]:
    """options: tuple of texts; each is told with its figure, then the choice is asked."""
    options = (
        sentence(f"{number_words(str(place))}, {words.speakable(one)}")
        for place, one in enumerate(args.texts("options"), start=1)
    )
    return (*options, "Which number?")


def not_a_choice(args: Args) -> tuple[str, ...]:
    """count: int, how many options there are."""
    return (sentence(f"the list ends at {number_words(str(args.whole('count')))}"), "Which number?")


def job_begins(args: Args) -> tuple[str, ...]:
    """title: str of the procedure, vehicle: str."""
    return (sentence(_titled(args)),)


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


def unsaved(args: Args) -> tuple[str, ...]:
    """reading: Reading, or measure: Measure; either is told so that it can be written on paper."""
    reading, measure = args.maybe_reading(), args.maybe("measure")
    if reading is None and measure is None:
        return ("Not saved, write it down.",)
    what = read_back(reading) if reading is not None else said(measure) if measure is not None else ""
    return ("Not saved, write it down.", sentence(what))


STARTING: Mapping[str, Wording] = {
    "menu": menu,
    "not-a-choice": not_a_choice,
    "job-begins": job_begins,
    "job-resumed": job_resumed,
    "resumed": resumed,
    "resume-where": resume_where,
    "unsaved": unsaved,
}
