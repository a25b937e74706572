"""The open question: how it is answered, repeated, and what follows from the answer."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue import advising, converting, readings, rounds, steps
from assistant.dialogue.reply import Heard, Turn
from assistant.dialogue.unit_said import default_unit, fits
from assistant.grammar.meaning import Meaning
from assistant.job import balance, commands
from assistant.job import events as e
from assistant.job.pending import Question
from assistant.job.procedure import STOP
from assistant.job.reading import Reading
from assistant.job.sheet import FIGURES
from assistant.units import Measure, kind_of, settled

Answer = Callable[[Turn, Question, Meaning, Heard], bool]


def answer(turn: Turn, heard: Heard, meaning: Meaning) -> bool:
    """Take the sentence as an answer to the open question; False when it is none."""
    question = turn.state.question
    return question is not None and ANSWERS[question.name](turn, question, meaning, heard)


def repeat_question(turn: Turn) -> None:
    """Ask the open question again, in short."""
    question = turn.state.question
    assert question is not None, "only called with an open question"
    name = question.name
    if name == "gate":
        step = turn.state.procedure.step(question.about)
        turn.say("gate", text=turn.state.procedure.gates[step.gate])
    elif name == "figure":
        turn.say("ask-figure", figure=question.about.partition("|")[0])
    elif name == "advice":
        advising.repeat(turn, int(question.about))
    elif name == "finish":
        steps.ask_finish(turn)
    elif name == "keep-figures":
        turn.say("sheet-offer", count=len(turn.state.for_the_sheet()))
    elif name == "repeat":
        turn.say("ask-round-again")
    elif name == "timer":
        timer = turn.state.timers[question.about]
        turn.say("timer-doubtful", name=timer.name, unit=turn.state.unit_name(timer.of))
    elif name == "which-measure":
        turn.say("which-measure")
    elif name in ("skip", "note"):
        turn.say("ask-skip" if name == "skip" else "note-go")
    elif question.reading is not None:
        readings.ask_about(turn, turn.state.readings[question.reading], name)


def _taken_back(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    """Handle what may be said to a question about a reading instead of its answer: no, it anew, or go on.

    Going on is not possible while the point is open, so the question is repeated.
    """
    if meaning.kind == "yes":
        repeat_question(turn)
        return True
    return _confirm(turn, question, meaning, heard)


def _same_kind(turn: Turn, question: Question, meaning: Meaning) -> bool:
    """Say whether a sentence gives the questioned reading anew."""
    assert question.reading is not None
    reading = turn.state.readings[question.reading]
    if reading.value is None:  # what was seen: the colour, the magnet, the washer
        return meaning.kind == reading.kind
    other_can = meaning.slot("can") not in ("", reading.slots.get("can", ""))
    return (
        meaning.value is not None and not other_can and readings.resolved_kind(turn, meaning) == reading.kind
    )


def _same_slots(reading: Reading, meaning: Meaning) -> bool:
    """Say whether a sentence without a number says the same as a reading."""
    return all(reading.slots.get(name) == value for name, value in meaning.slots if name != "correcting")


def _confirm(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    assert question.reading is not None
    reading = turn.state.readings[question.reading]
    if meaning.kind in ("done", "next", "running", "all-clear", "back", "skip", "finish"):
        repeat_question(turn)  # no way on while it is open; only a yes is a yes
        return True
    said_again = (
        reading.value is None and _same_kind(turn, question, meaning) and _same_slots(reading, meaning)
    )
    if meaning.kind == "yes" or said_again:
        turn.do(e.ReadingStood(at=turn.at, reading=reading.id, how="yes" if not said_again else "said-again"))
        turn.say("standing", reading=reading)
        if question.about:  # a step waited for it, and nothing else of it is open
            steps.go(turn, turn.state.procedure.step(question.about))
        else:
            readings.follow_up(turn, turn.state.readings[reading.id])
        return True
    if meaning.kind in ("no", "disregard"):
        turn.do(e.ReadingWithdrawn(at=turn.at, reading=reading.id, why="no"))
        turn.say("say-anew", kind=reading.kind)
        return True
    if _same_kind(turn, question, meaning):
        readings.take(turn, heard, meaning, replaces=reading.id)
        return True
    if meaning.kind in readings.KINDS:
        turn.do(e.QuestionDropped(at=turn.at, why="another reading"))  # it is asked again after this one
        readings.take(turn, heard, meaning)
        return True
    return False


def _implausible(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    assert question.reading is not None
    reading = turn.state.readings[question.reading]
    same_unit = meaning.unit in (None, reading.unit)
    again = _same_kind(turn, question, meaning) and meaning.value == reading.value and same_unit
    if meaning.kind == "yes" or again:
        turn.do(
            e.ReadingDoubted(at=turn.at, reading=reading.id),
            e.ReadingStood(at=turn.at, reading=reading.id, how="said-again"),
        )
        turn.say("kept-doubtful", total=balance.drained(turn.state) if reading.kind == "drained" else None)
        recovery = turn.state.procedure.exit_on(turn.state.step_id, f"{reading.kind}-doubtful")
        if recovery is not None:
            steps.take_exit(turn, recovery)
        else:
            readings.follow_up(turn, turn.state.readings[reading.id])
        return True
    return _confirm(turn, question, meaning, heard)


def _which_system(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    assert question.reading is not None
    reading = turn.state.readings[question.reading]
    unit = meaning.unit if meaning.kind == "unit-tail" else f"{meaning.slot('system')}_{reading.unit}"
    if unit is None or not fits(reading, unit):
        return _taken_back(turn, question, meaning, heard)
    turn.do(e.ReadingSettled(at=turn.at, reading=reading.id, unit=unit))
    readings.weigh(turn, turn.state.readings[reading.id])
    return True


def _which_form(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    assert question.reading is not None
    reading = turn.state.readings[question.reading]
    form = meaning.slot("form")
    if meaning.kind == "which-form" or (form in ("another", "total") and _same_kind(turn, question, meaning)):
        if form == "instead":
            previous = readings.alike(turn.state, reading)
            turn.do(e.ReadingWithdrawn(at=turn.at, reading=previous[-1].id, why="correction"))
            form = previous[-1].slots.get("form", "part")
        turn.do(e.ReadingSettled(at=turn.at, reading=reading.id, form=form))
        readings.weigh(turn, turn.state.readings[reading.id])
        return True
    return _taken_back(turn, question, meaning, heard)


def _which_plug(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    assert question.reading is not None
    if meaning.kind != "which-plug":
        return _taken_back(turn, question, meaning, heard)
    plug = (("plug", meaning.slot("plug")),)
    turn.do(e.ReadingSettled(at=turn.at, reading=question.reading, slots=plug))
    readings.weigh(turn, turn.state.readings[question.reading])
    return True


def _gate(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    step = turn.state.procedure.step(question.about)
    if meaning.kind in ("yes", "all-clear"):
        turn.do(e.GateConfirmed(at=turn.at, gate=step.gate, step=step.id, who=turn.state.who))
        steps.go(turn, step)
        return True
    if meaning.kind in ("no", "next", "done"):
        turn.say("holding", text=turn.state.procedure.gates[step.gate])
        return True
    return False


def _advice(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    number = int(question.about)
    if meaning.kind == "yes":
        turn.do(e.AdviceTaken(at=turn.at, advice=number))
        if turn.state.step.kind in ("plan", "mix"):
            steps.advance(turn)
        else:
            advising.say_to_go(turn)
        return True
    if meaning.kind == "no":
        turn.do(e.AdviceRefused(at=turn.at, advice=number))
        turn.say("advice-refused")
        return True
    if meaning.kind in ("next", "done"):
        repeat_question(turn)
        return True
    return False


def _figure(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    name, _, target = question.about.partition("|")
    of = turn.state.procedure.step(target).unit if target else turn.state.unit_id
    told = meaning.kind in readings.KINDS or (meaning.kind == "figure" and meaning.slot("name") == name)
    if not told:
        return False  # a question that holds a value is no answer
    unit = meaning.unit or default_unit(turn, FIGURES[name])
    if meaning.value is None or unit is None or not settled(unit) or kind_of(unit) != FIGURES[name]:
        return False
    turn.do(
        e.FigureSupplied(at=turn.at, name=name, value=meaning.value, unit=unit, of=of or turn.state.unit_id)
    )
    turn.say("figure-kept", figure=name, measure=Measure(meaning.value, unit), digits=True)
    if target:
        steps.go(turn, turn.state.procedure.step(target))
    return True


def _repeat(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    """Go round again, or go on with what is new by now."""
    if meaning.kind in ("yes", "all-clear"):
        to = turn.state.procedure.step(question.about).to
        outcome = rounds.again(turn)
        if outcome:
            turn.do(e.QuestionDropped(at=turn.at, why=outcome))
            steps.follow(turn, outcome)
        else:
            steps.go(turn, turn.state.procedure.step(to), "round")
        return True
    if meaning.kind == "no":
        turn.do(e.QuestionDropped(at=turn.at, why="no"))
        steps.advance(turn)
        return True
    if meaning.kind in ("next", "done"):
        turn.say("ask-round-again")
        return True
    return False


def _finish(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    if meaning.kind in ("yes", "finish"):
        if turn.state.for_the_sheet() and not turn.state.offered:
            turn.do(e.Asked(at=turn.at, question="keep-figures"))
            repeat_question(turn)
        else:
            _sign_off(turn)
        return True
    if meaning.kind == "no":
        turn.do(e.QuestionDropped(at=turn.at, why="no"))
        steps.instruct(turn)
        return True
    return False


def _keep_figures(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    """Have the figures of this job written into the sheet or not, and sign the job off."""
    if meaning.kind not in ("yes", "no"):
        return False
    if meaning.kind == "yes":
        wanted = tuple((one.of, one.name) for one in turn.state.for_the_sheet())
        turn.do(e.FiguresWanted(at=turn.at, figures=wanted))
    else:
        turn.do(e.QuestionDropped(at=turn.at, why="no"))
    _sign_off(turn)
    return True


def _sign_off(turn: Turn) -> None:
    points = commands.open_points(turn.state)
    how = "complete" if not points else "with-open-points"
    if turn.state.step.after == STOP:
        how = "handed-back"
    turn.do(e.JobFinished(at=turn.at, how=how, open_points=points))
    turn.say("finished", count=len(points))


def _timer(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    timer = turn.state.timers[question.about]
    if meaning.kind == "yes":
        turn.do(e.QuestionDropped(at=turn.at, why="timer over"))
        steps.ask_next(turn)
        return True
    if meaning.kind == "no":
        turn.do(e.QuestionDropped(at=turn.at, why="timer anew"))
        steps.start_timer(turn, timer.name, timer.ms)
        return True
    return False


def _skip(turn: Turn, question: Question, meaning: Meaning, heard: Heard) -> bool:
    if meaning.kind == "skip" and meaning.slot("reason"):
        return False  # handled as the command it is
    if meaning.kind in ("no", "disregard"):
        turn.do(e.QuestionDropped(at=turn.at, why="no"))
        turn.say("not-skipped")
        return True
    return False


ANSWERS: dict[str, Answer] = {
    "confirm": _confirm,
    "implausible": _implausible,
    "which-system": _which_system,
    "which-unit": _which_system,
    "which-form": _which_form,
    "which-plug": _which_plug,
    "gate": _gate,
    "advice": _advice,
    "figure": _figure,
    "finish": _finish,
    "keep-figures": _keep_figures,
    "repeat": _repeat,
    "timer": _timer,
    "skip": _skip,
    "which-measure": converting.answer,
}
