"""The one loop of a job: hear, decide, write durably, apply, speak. Only here do the rooms meet.

Typed, recorded and live jobs all run through `Session`; they differ in where utterances come from,
which clock counts, and how sentences are spoken.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.dialogue.attention import Attention, attend, timer_spoke
from assistant.dialogue.passing import tick
from assistant.dialogue.reply import Heard, Reply, Turn
from assistant.dialogue.respond import respond
from assistant.dialogue.resuming import opened, reopened
from assistant.grammar.meaning import Meaning
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import State, begin, fold
from assistant.job.timers import next_wait, running
from assistant.journal.ids import new_job_id
from assistant.journal.outbox import DurableFirst, Unsaved
from assistant.phrasing import phrase
from assistant.timekeeping.clock import Clock

Say = Callable[[Sequence[str]], bool]
"""Speaks sentences; True when they were said to the last sample (or printed), False when cut short."""

READ_BACK = ("heard", "confirm", "standing", "figure-kept", "note-kept", "disregarded")
"""Replies that tell the mechanic something is kept: never said of what is not durable."""


def _nothing(_: Sequence[e.Event]) -> None:
    return


def _no_news() -> tuple[Reply, ...]:
    return ()


def _no_sign(_: str) -> None:
    return


def tone_of(events: Sequence[e.Event], replies: Sequence[Reply]) -> str:
    """Return the tone that goes before these replies, empty for none: that of the worst that happened."""
    keys = {one.key for one in replies}
    if "unsaved" in keys:
        return "trouble"
    if any(isinstance(event, e.TimerDue) for event in events):
        return "timer"
    return "refused" if any(key.startswith("not-understood") for key in keys) else ""


@dataclass(slots=True)
class Session:
    """A running job: its state, where it is written, and how it speaks."""

    state: State
    outbox: DurableFirst
    clock: Clock
    say: Say
    language: str = "en"
    committed: Callable[[Sequence[e.Event]], None] = _nothing
    """Called after events are durable and before anything is said of them."""
    news: Callable[[], tuple[Reply, ...]] = _no_news
    """What became known beside the job since it was last asked; told behind the next replies."""
    last: tuple[Reply, ...] = ()
    quiet: Instant | None = None
    """When the last reply ended."""
    trouble: str = field(default="")
    """Why the newest events are not saved, empty when all are."""
    attention: Attention = field(default_factory=Attention)
    """Whom the ear listens to."""
    sign: Callable[[str], None] = _no_sign
    """Shows without words that the ear is open, dozing or closed from now on."""
    tone: Callable[[str], None] = _no_sign
    """Sounds the tone of that name before what is said next."""
    adjust: Callable[[str], None] = _no_sign
    """Makes the voice louder, softer, slower or faster."""

    def hear(self, heard: Heard) -> Turn:
        """Answer one utterance, or keep silent where it is not for the job."""
        now = self.clock.now()
        attention, admitted = attend(self.attention, heard, self.state, now, self.quiet)
        self._attentive(attention)
        if not admitted:
            return Turn(self.state, now)
        if isinstance(heard.meaning, Meaning) and heard.meaning.kind == "manner":
            self.adjust(heard.meaning.slot("change"))
        return self._carry_out(respond(self.state, heard, now, self.last))

    def pass_time(self) -> Turn:
        """Do what is due now: timers, readings that stand by time, reminders."""
        now = self.clock.now()
        turn = tick(self.state, now, self._silent_since(now))
        if any(isinstance(event, e.TimerDue) for event in turn.events):
            self._attentive(timer_spoke(self.attention))
        return self._carry_out(turn)

    def wait_ms(self) -> int | None:
        """Return the milliseconds until something is due, None when nothing is."""
        now = self.clock.now()
        return next_wait(self.state, now, self._silent_since(now))

    def _silent_since(self, now: Instant) -> Instant | None:
        """Return since when nobody spoke; nobody is reminded of anything while the ear is not open."""
        due = any(timer.due for timer in running(self.state))
        return self.quiet if self.attention.open or due else now

    def _attentive(self, attention: Attention) -> None:
        before, self.attention = self.attention, attention
        if attention.ear is not before.ear:
            self.sign(attention.ear.value)

    def open(self) -> Turn:
        """Say the first instruction of a job that has just started."""
        return self._carry_out(opened(self.state, self.clock.now()))

    def reopen(self, who: str = "") -> Turn:
        """Take up a job again from its journal alone: where it is, and what was not yet read back."""
        return self._carry_out(reopened(self.state, self.clock.now(), who))

    def _carry_out(self, turn: Turn) -> Turn:
        """Write first, then apply, then speak; what becomes true by being said is written last."""
        replies = tuple(turn.replies)
        if turn.events:
            replies = self._written(turn, replies)
            self.committed(turn.events)
        self.state = turn.state
        if replies:
            self.last = tuple(one for one in replies if one.key != "unsaved") or self.last
            sentences = [line for one in (*replies, *self.news()) for line in phrase(one, self.language)]
            tone = tone_of(turn.events, replies)
            if tone:
                self.tone(tone)
            said = self.say(sentences)
            self.quiet = self.clock.now()
            if said and turn.after:
                after = Turn(self.state, self.clock.now())
                after.do(*turn.after)
                self.state = after.state
                self.outbox.append(self.state.job, turn.after)
        return turn

    def _written(self, turn: Turn, replies: tuple[Reply, ...]) -> tuple[Reply, ...]:
        """Append the events; a read-back of what is not durable becomes a warning to write it down."""
        result = self.outbox.append(turn.state.job, turn.events)
        if isinstance(result, Unsaved):
            self.trouble = result.reason
            return tuple(Reply("unsaved", one.args) if one.key in READ_BACK else one for one in replies)
        self.trouble = ""
        return (Reply("saved-now", {}), *replies) if result.caught_up else replies


def new_session(
    *,
    procedure: Mapping[str, object],
    sheet: Mapping[str, object],
    settings: Mapping[str, str],
    versions: Mapping[str, str],
    who: str,
    outbox: DurableFirst,
    clock: Clock,
    say: Say,
    committed: Callable[[Sequence[e.Event]], None] = _nothing,
    past: Mapping[str, object] | None = None,
) -> Session:
    """Begin a job: written durably before its first word.

    `past` is what the last service of each unit was (`assistant.job.past.remembered`).
    """
    at = clock.now()
    started = e.JobStarted(
        at=at,
        job=new_job_id(at),
        procedure=procedure,
        sheet=sheet,
        settings=settings,
        versions=versions,
        who=who,
        past=past or {},
    )
    state = begin(started)
    outbox.append(state.job, [started])
    return Session(state, outbox, clock, say, state.procedure.language, committed)


def resumed_session(
    *,
    history: Sequence[e.Event],
    outbox: DurableFirst,
    clock: Clock,
    say: Say,
    committed: Callable[[Sequence[e.Event]], None] = _nothing,
) -> Session:
    """Rebuild a job from its journal alone."""
    state = fold(history)
    return Session(state, outbox, clock, say, state.procedure.language, committed)
