"""One turn of the conversation: what an utterance means now, and what is said to it."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue import bolting, mixing, overflows, questions, readings, resuming, steps
from assistant.dialogue.expectation import expected_kinds
from assistant.dialogue.figures import take_figure
from assistant.dialogue.queries import QUERIES
from assistant.dialogue.reply import Heard, Reply, Turn
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job import balance, commands, timers
from assistant.job import events as e
from assistant.job.instant import Instant, elapsed
from assistant.job.pending import timer_key
from assistant.job.plausible import short_drain
from assistant.job.reading import MEDIUM
from assistant.job.situation import COMPLAINTS
from assistant.job.state import State

KEEPS_OPEN = frozenset(QUERIES) | {
    "stand-by",
    "im-back",
    "note",
    "emergency",
    "disregard",
    "no",
    "yes",
    "manner",
}
"""Sentences after which a medium reading does not stand yet: they say nothing about it."""
DISREGARD_MS = 120_000
AMEND_MS = 6_000


def respond(state: State, heard: Heard, at: Instant, said_before: tuple[Reply, ...] = ()) -> Turn:
    """Return the turn that answers one utterance."""
    turn = Turn(state, at, said_before)
    meaning = heard.meaning
    if state.ended:
        turn.say("job-over")
    elif isinstance(meaning, Meaning) and meaning.kind == "emergency":
        turn.do(e.EmergencyCalled(at=at))
        turn.say("emergency")
    elif state.question is not None and state.question.name == "note":
        _keep_note(turn, heard)
    elif isinstance(meaning, NoMatch):
        _not_understood(turn, meaning, heard)
    elif heard.over:
        turn.say("spoken-over")
    elif state.frozen is not None or state.standing_by:
        _quiet(turn, heard, meaning)
    else:
        _act(turn, heard, meaning)
    readings.ask_left_open(turn)
    return turn


def _quiet(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """While standing by only "I am back" is heard, after an emergency "all clear", too; who types is told."""
    if meaning.kind != "im-back" and (meaning.kind != "all-clear" or turn.state.frozen is None):
        if heard.typed:
            turn.say("standing-by" if turn.state.frozen is None else "still-stopped")
        return
    resuming.tell_tag(turn)
    turn.do(e.CameBack(at=turn.at))
    turn.say("welcome-back")
    steps.instruct(turn) if turn.state.question is None else questions.repeat_question(turn)


def _act(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    if _amends(turn, heard, meaning) or questions.answer(turn, heard, meaning):
        return
    correcting = bool(meaning.slot("correcting")) or heard.amends
    if meaning.kind not in KEEPS_OPEN and not correcting:
        _let_stand(turn)
    if meaning.kind in QUERIES:
        QUERIES[meaning.kind](turn, meaning)
    elif meaning.kind in readings.KINDS:
        readings.take(turn, heard, meaning)
    else:
        COMMANDS.get(meaning.kind, _no_use)(turn, heard, meaning)


def _amends(turn: Turn, heard: Heard, meaning: Meaning) -> bool:
    """Take a late tail ("litres", "point five") as an amendment of the reading just heard."""
    last = turn.state.last_reading()
    recent = last is not None and elapsed(last.at, turn.at).ms <= AMEND_MS
    if last is None or not recent:
        return False
    if heard.amends and meaning.kind in readings.KINDS:
        readings.take(turn, heard, meaning, replaces=last.id)
        return True
    if meaning.kind == "unit-tail" and turn.state.question is None and last.unit == meaning.unit:
        turn.say("noted")
        return True
    return False


def _let_stand(turn: Turn) -> None:
    """The next valid sentence that is no correction makes what was read back standing."""
    asked = turn.state.question.reading if turn.state.question else None
    for one in turn.state.unstanding():
        if one.consequence == MEDIUM and one.id != asked and one.counts:
            turn.do(e.ReadingStood(at=turn.at, reading=one.id, how="next-sentence"))


def _not_understood(turn: Turn, meaning: NoMatch, heard: Heard) -> None:
    """Offer a way out that changes: shape first, then another way, then quiet."""
    if turn.state.standing_by or turn.state.frozen is not None or meaning.reason in ("empty", "talk"):
        return
    if meaning.reason == "lost":  # no fault of whoever spoke, so it counts as no refusal
        turn.say("not-understood-lost")
        return
    known = meaning.reason in turn.state.complaints
    if known and not heard.seconds and not heard.typed:
        return  # the room alone, and it was told
    turn.do(e.Refused(at=turn.at, reason=meaning.reason, words=meaning.words))
    count = turn.state.refusals
    if meaning.reason in COMPLAINTS and not known:
        turn.say(f"sound-{meaning.reason}")
    elif meaning.reason == "unknown" and turn.state.question is None and count > 1 and not heard.typed:
        return  # talk that is not for us: do not keep interrupting
    elif count == 1:
        if meaning.reason == "trap":
            turn.say("not-understood-trap")
        else:
            turn.say("not-understood", awaited=expected_kinds(turn.state))
    elif count == 2:
        turn.say("not-understood-digits")
    elif count == 3:
        turn.say("not-understood-other-way")


def _no_use(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    turn.say("not-now")


def _done(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    step = turn.state.step
    missing = commands.missing(turn.state, step)
    if contrary := commands.contradicted(turn.state, meaning.slot("says")):
        _held(turn, contrary)
    elif step.until and not turn.state.at_unit(step.unit or turn.state.unit_id).has(step.until):
        _held(turn, step.until)
    elif step.kind in ("read", "check", "overflow", "cool") and missing:
        turn.say("still-needed")
        steps.ask_next(turn)
    elif step.kind == "check" or step.kind == "overflow":
        turn.say("level-first")
    elif step.kind == "cool":
        overflows.judge_cool(turn, commands.latest_of(turn.state, step, "temperature", "temperature-band"))
    elif step.kind in ("plan", "mix"):
        turn.say("advice-first")
    elif step.kind == "pour" and mixing.air_trapped(turn.state) and not _told_before(turn, "air-trapped"):
        _take(turn, "air-trapped")
    elif (
        any(one.reading == "drained" for one in step.awaits)
        and short_drain(turn.state)
        and not _told_before(turn, "far-less")
    ):
        _take(turn, "far-less")
    else:
        steps.advance(turn)


def _held(turn: Turn, fact: str) -> None:
    """Say what has to be so first; where the procedure has no words for it, its step again."""
    label = turn.state.procedure.labels.get(fact)
    if label is None:
        steps.instruct(turn)
    else:
        turn.say("held", missing=label, unit="")


def _take(turn: Turn, outcome: str) -> None:
    """Take the step's exit for what the assistant found out, or go on where it has none."""
    leads = turn.state.procedure.exit_on(turn.state.step_id, outcome)
    if leads is not None:
        steps.take_exit(turn, leads)
    else:
        steps.advance(turn)


def _told_before(turn: Turn, outcome: str) -> bool:
    return outcome in turn.state.exits


def _running(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    plan = turn.state.step.timer
    if contrary := commands.contradicted(turn.state, meaning.slot("says")):
        _held(turn, contrary)
    elif plan is not None and plan.on == "running":
        if not steps.start_planned_timer(turn):
            of = turn.state.step.unit
            known = turn.state.timers[timer_key(plan.name, of)]
            turn.say("timer-runs", name=plan.name, unit=turn.state.unit_name(of), ms=known.ms)
        if turn.state.step.kind == "do":
            steps.advance(turn)
    else:
        _done(turn, heard, meaning)


def _back(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    before = turn.state.procedure.preceding(turn.state.step_id)
    if before is None:
        turn.say("first-step")
        return
    steps.go(turn, before, "back")


def _skip(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    reason, step = meaning.slot("reason"), turn.state.procedure.step(_to_skip(turn))
    if step.kind in ("check", "overflow") and balance.estimated(turn.state):
        turn.say("level-first")
        return
    if not reason:
        turn.do(e.Asked(at=turn.at, question="skip", about=step.id))
        turn.say("ask-skip")
        return
    turn.do(e.StepSkipped(at=turn.at, step=step.id, reason=reason))
    turn.say("skipped", reason=reason)
    following = commands.next_step(turn.state) if step.id == turn.state.step_id else None
    following = following or turn.state.procedure.following(step.id)
    steps.go(turn, following) if following is not None else steps.ask_finish(turn)


def _to_skip(turn: Turn) -> str:
    """Return the step that is left out: the one a gate or an absent figure holds up, else the present one."""
    question = turn.state.question
    if question is None or question.name not in ("gate", "figure", "skip"):
        return turn.state.step_id
    return question.about.rpartition("|")[2]


def _stand_by(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    turn.do(e.StoodBy(at=turn.at))
    turn.say("standing-by")


def _here(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    steps.instruct(turn)


def _disregard(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    last = turn.state.last_reading()
    settled = last is not None and last.standing and elapsed(last.at, turn.at).ms > DISREGARD_MS
    if last is None or (settled and last.step != turn.state.step_id):
        turn.say("nothing-to-disregard")  # an older one is put right by a correction that names it
        return
    turn.do(e.ReadingWithdrawn(at=turn.at, reading=last.id, why="disregard"))
    turn.say("disregarded", reading=last)


def _note(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """The next thing said is the note, whatever it is; by keyboard it follows on the same line."""
    if heard.note:
        _keep_note(turn, heard)
        return
    turn.do(e.Asked(at=turn.at, question="note"))
    turn.say("note-go")


def _keep_note(turn: Turn, heard: Heard) -> None:
    if isinstance(heard.meaning, NoMatch) and heard.meaning.reason == "empty":
        return
    if isinstance(heard.meaning, Meaning) and heard.meaning.kind == "disregard":
        turn.do(e.QuestionDropped(at=turn.at, why="disregard"))
        turn.say("noted-nothing")
        return
    turn.do(e.NoteTaken(at=turn.at, clip=heard.clip, words=heard.note or heard.words))
    turn.say("note-kept" if heard.clip or heard.note or heard.typed else "note-no-sound")


def _timer_start(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    unit = {"second": 1_000, "minute": 60_000, "hour": 3_600_000}.get(meaning.unit or "")
    if unit is None or meaning.value is None:
        turn.say("timer-how-long")
        return
    steps.start_timer(turn, meaning.slot("name", "wait"), round(float(meaning.value) * unit))


def _timer_stop(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    wanted, of = meaning.slot("name"), meaning.slot("of")
    running = [one for one in timers.running(turn.state) if not wanted or one.name == wanted]
    here = [one for one in running if one.of == (of or turn.state.unit_id)]
    running = here if of else running
    running = here if len(here) == 1 and wanted else running
    unit = turn.state.unit_name(running[0].of) if running else ""
    if not running:
        turn.say("no-timer", name=wanted)
    elif len(running) > 1:
        names = tuple(f"{turn.state.unit_name(one.of)} {one.name}".strip() for one in running)
        turn.say("which-timer", names=names)
    else:
        turn.do(e.TimerStopped(at=turn.at, name=running[0].name, of=running[0].of))
        turn.say("timer-off", name=running[0].name, unit=unit, gone=timers.gone(running[0], turn.at).ms)


def _finish(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    steps.ask_finish(turn)


def _park(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    turn.say("parked", **steps.park(turn))


def _switch(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    steps.switch(turn, meaning.slot("to"))


def _hand_over(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    turn.do(e.HandedOver(at=turn.at, who=meaning.slot("who")))
    turn.say("handed-over", who=meaning.slot("who"))


def _initials(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """Take who works on the job; where that is known already, another person goes on with it."""
    who = meaning.slot("who")
    if not turn.state.who:
        turn.do(e.MechanicNamed(at=turn.at, who=who))
        turn.say("named", who=who)
    elif who == turn.state.who:
        turn.say("noted")
    else:
        _hand_over(turn, heard, meaning)


def _happened(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    what = meaning.slot("what")
    if what == "nothing-comes" and turn.state.step.awaited("drip-state") is not None:
        # At a plug that is judged by what comes this is an answer, and counts in its window only.
        readings.take(turn, heard, Meaning("drip-state", slots=(("state", "stopped"),)))
        return
    one = turn.state.procedure.exit_on(turn.state.step_id, what)
    if one is None:
        turn.do(e.ExitTaken(at=turn.at, what=what, step=turn.state.step_id, then="stay"))
        turn.say("noted-no-exit")
    else:
        steps.take_exit(turn, one)


def _vague(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    turn.say("vague", of=meaning.slot("of", "amount"))


def _yes(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    if turn.state.unstanding():
        _let_stand(turn)
        turn.say("standing")
    else:
        _done(turn, heard, meaning)


def _no(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    open_ones = turn.state.unstanding()
    if open_ones:
        turn.do(e.ReadingWithdrawn(at=turn.at, reading=open_ones[-1].id, why="no"))
        turn.say("say-anew", kind=open_ones[-1].kind)
    else:
        turn.say("not-now")


def _manner(turn: Turn, heard: Heard, meaning: Meaning) -> None:
    """Answer in the new manner, which tells by itself what has changed."""
    turn.say("manner")


COMMANDS: dict[str, Callable[[Turn, Heard, Meaning], None]] = {
    "yes": _yes,
    "no": _no,
    "next": _done,
    "done": _done,
    "all-clear": _done,
    "running": _running,
    "back": _back,
    "skip": _skip,
    "stand-by": _stand_by,
    "im-back": _here,
    "resume-job": _here,
    "manner": _manner,
    "disregard": _disregard,
    "note": _note,
    "timer-start": _timer_start,
    "timer-stop": _timer_stop,
    "finish": _finish,
    "park": _park,
    "switch-unit": _switch,
    "hand-over": _hand_over,
    "initials": _initials,
    "happened": _happened,
    "vague": _vague,
    "figure": take_figure,
    "bolt": bolting.counted,
    "bolt-round": bolting.round_said,
}
