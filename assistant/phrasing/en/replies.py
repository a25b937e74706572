"""English: the wording of every reply key, and the table that gathers them.

Short sentences in the trade's terms. The assistant may hear itself, so no run of words here is a
sentence a mechanic could say with effect just then: it asks "Is that right?" and never speaks an answer.
Figures it repeats are the one exception: a reading heard as it was just read back changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.phrasing.en import examples, readings, words
from assistant.phrasing.en.advice import ADVICE
from assistant.phrasing.en.fixed import FIXED
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.planning import PLANNING
from assistant.phrasing.en.reckoned import RECKONED
from assistant.phrasing.en.services import SERVICES
from assistant.phrasing.en.sheets import SHEETS
from assistant.phrasing.en.starting import STARTING
from assistant.phrasing.en.timing import TIMERS
from assistant.phrasing.en.words import CONFIRM, filled, said, sentence
from assistant.phrasing.language import Args, Language, Wording


def _fixed(lines: tuple[str, ...]) -> Wording:
    return lambda _: lines


# ---------------------------------------------------------------- texts of the procedure


def step(args: Args) -> tuple[str, ...]:
    """number: int, text: str with {places}, sheet."""
    return (
        sentence(f"step {number_words(str(args.whole('number')))}"),
        *filled(args.text("text"), args.sheet()),
    )


def text(args: Args) -> tuple[str, ...]:
    """text: str, spoken as given; sheet, where it may hold {places}."""
    return filled(args.text("text"), args.sheet())


def holding(args: Args) -> tuple[str, ...]:
    """text: str, the gate's question."""
    return ("Then I hold here.", *filled(args.text("text"), args.sheet()))


def where(args: Args) -> tuple[str, ...]:
    """number: int, title: str."""
    title = args.text("title")
    place = f"we are at step {number_words(str(args.whole('number')))}"
    return (sentence(f"{place}, {words.speakable(title)}" if title else place),)


# ---------------------------------------------------------------- readings


def heard(args: Args) -> tuple[str, ...]:
    """reading: Reading, total: Measure | None."""
    return readings.sentences_of(args.reading(), args.maybe("total"))


def last_sum(args: Args) -> tuple[str, ...]:
    """kind: str, total: Measure."""
    return (readings.sum_so_far(args.text("kind"), args.measure("total")),)


def out_so_far(args: Args) -> tuple[str, ...]:
    """total: Measure."""
    return (readings.sum_so_far("drained", args.measure("total")),)


def in_so_far(args: Args) -> tuple[str, ...]:
    """total: Measure."""
    return (readings.sum_so_far("poured", args.measure("total")),)


def confirm(args: Args) -> tuple[str, ...]:
    """reading: Reading; asks for a yes."""
    return (*readings.sentences_of(args.reading()), CONFIRM)


WHY: Mapping[str, str] = {
    "outside": "that is beyond what can be read here",
    "over-expected": "that is more than this unit should give",
    "over-capacity": "that is more than the unit holds",
    "over-poured": "that is more than was advised",
    "torque-unit": "that fits the data only in another unit",
    "torque-far": "that is far from the figure in the data",
}


def implausible(args: Args) -> tuple[str, ...]:
    """why: a key of `WHY`, reading: Reading, total: Measure | None (the sum with it)."""
    return (
        *readings.sentences_of(args.reading(), args.maybe("total")),
        sentence(words.label(args.text("why"), WHY)),
        "Give it once more if it is so.",
    )


def which_form(args: Args) -> tuple[str, ...]:
    """reading: Reading, before: Measure (the sum without it), both: Measure (the sum with it)."""
    amount = said(measure) if (measure := args.reading().measure) is not None else ""
    both = words.number_of(args.measure("both"), measure)
    return (
        sentence(f"is {amount} the total, more, or a replacement?"),
        sentence(f"more makes {both}"),
    )


def which_system(args: Args) -> tuple[str, ...]:
    """reading: Reading whose unit is a bare quart, pint, gallon or fluid ounce."""
    return (sentence(f"{readings.read_back(args.reading())}, by which system of measures?"),)


def which_unit(args: Args) -> tuple[str, ...]:
    """reading: Reading without unit, or with a bare degree."""
    ask = "on which scale?" if args.reading().unit == "degree" else "in what unit?"
    return (sentence(f"{readings.read_back(args.reading())}, {ask}"),)


def which_plug(args: Args) -> tuple[str, ...]:
    """reading: Reading of a torque."""
    return (sentence(f"{readings.read_back(args.reading())}, at the drain or at the filler?"),)


def say_anew(args: Args) -> tuple[str, ...]:
    """kind: str, the kind of the withdrawn reading."""
    return ("Struck out.", sentence(f"give me {words.label(args.text('kind'), words.KINDS)} anew"))


def kept_doubtful(args: Args) -> tuple[str, ...]:
    """total: Measure | None."""
    total = args.maybe("total")
    return ("Kept, and marked as doubtful.", *((readings.sum_so_far("drained", total),) if total else ()))


def disregarded(args: Args) -> tuple[str, ...]:
    """reading: Reading."""
    return (sentence(f"struck out, {readings.read_back(args.reading())}"),)


def heard_was(args: Args) -> tuple[str, ...]:
    """reading: Reading (the words as heard are for the record, not for the ear)."""
    return (sentence(f"I heard, {readings.read_back(args.reading())}"),)


VAGUE: Mapping[str, str] = {
    "level": "How far from the mark, as a number?",
    "amount": "How many units, as a number?",
    "torque": "What does the wrench show, as a number?",
}


def vague(args: Args) -> tuple[str, ...]:
    """of: level, amount or torque."""
    return (words.label(args.text("of"), VAGUE),)


# ---------------------------------------------------------------- figures and the job


def ask_figure(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet."""
    return (sentence(f"the data lacks {words.label(args.text('figure'), words.FIGURES)}"), "What is it?")


def no_figure(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet."""
    return (sentence(f"the data lacks {words.label(args.text('figure'), words.FIGURES)}"),)


def figure_kept(args: Args) -> tuple[str, ...]:
    """figure: a name of the sheet, measure: Measure."""
    return (
        sentence(f"kept, {said(args.measure('measure'))}, {words.label(args.text('figure'), words.FIGURES)}"),
    )


def torque_is(args: Args) -> tuple[str, ...]:
    """plug: drain or fill, torque: Measure."""
    where = {"drain": "the drain", "fill": "the filler"}[args.text("plug")]
    return (sentence(f"{said(args.measure('torque'))} at {where}"),)


def torque_both(args: Args) -> tuple[str, ...]:
    """drain, fill: Measure."""
    return tuple(
        sentence(f"{said(args.measure(name))} at {where}")
        for name, where in (("drain", "the drain"), ("fill", "the filler"))
    )


def fluid_is(args: Args) -> tuple[str, ...]:
    """text: str, the class by its open standard."""
    return (sentence(f"fluid class, {words.speakable(args.text('text'))}"),)


def skipped(args: Args) -> tuple[str, ...]:
    """reason: a skip reason."""
    return (sentence(f"left out, {words.label(args.text('reason'), words.REASONS)}"),)


def ask_finish_open(args: Args) -> tuple[str, ...]:
    """count: int, the open points."""
    return (_points(args.whole("count")), "Shall I sign the record off all the same?")


def _points(count: int) -> str:
    return sentence(f"{number_words(str(count))} {'point is' if count == 1 else 'points are'} open")


def finished(args: Args) -> tuple[str, ...]:
    """count: int, the open points."""
    count = args.whole("count")
    return ("The job is closed, the record kept.", *((_points(count),) if count else ()))


def handed_over(args: Args) -> tuple[str, ...]:
    """who: str, initials or a name."""
    return (sentence(f"handed over, {words.person(args.text('who'))}"),)


def listed_words(args: Args) -> tuple[str, ...]:
    """kinds: tuple of kinds awaited; one example of each. The only reply that speaks sentences to be said."""
    found = examples.listed_examples(args.texts("kinds"))
    return ("Words for now.", *(sentence(one) for one in found)) if found else ("Any sentence on the card.",)


def not_understood(args: Args) -> tuple[str, ...]:
    """awaited: tuple of kinds (optional): the shape of the answer."""
    return ("Not understood.", sentence(examples.shape(args.texts("awaited"))))


REPLIES: Mapping[str, Wording] = MappingProxyType(
    {
        **{key: _fixed(lines) for key, lines in FIXED.items()},
        **STARTING,
        **ADVICE,
        **TIMERS,
        **RECKONED,
        **SERVICES,
        **PLANNING,
        **SHEETS,
        "step": step,
        "ask": text,
        "say": text,
        "caution": text,
        "gate": text,
        "tool-is": text,
        "holding": holding,
        "where": where,
        "heard": heard,
        "sum": last_sum,
        "out-so-far": out_so_far,
        "in-so-far": in_so_far,
        "confirm": confirm,
        "implausible": implausible,
        "which-form": which_form,
        "which-system": which_system,
        "which-unit": which_unit,
        "which-plug": which_plug,
        "say-anew": say_anew,
        "kept-doubtful": kept_doubtful,
        "disregarded": disregarded,
        "heard-was": heard_was,
        "vague": vague,
        "ask-figure": ask_figure,
        "no-figure": no_figure,
        "figure-kept": figure_kept,
        "torque-is": torque_is,
        "torque-both": torque_both,
        "fluid-is": fluid_is,
        "skipped": skipped,
        "ask-finish-open": ask_finish_open,
        "finished": finished,
        "handed-over": handed_over,
        "words": listed_words,
        "not-understood": not_understood,
    }
)
"""Reply key -> wording; the arguments of each are told in its docstring."""

ENGLISH = Language("en", REPLIES, examples.EXAMPLES)
