"""Whom the ear listens to: whether an utterance is for the job, and when the ear dozes off.

A state machine over what was heard, without sound and without a clock: time is an argument. What is
let through goes to the job; everything else is met with silence and written nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Literal, get_args

from assistant.dialogue.company import CLOSE, LEAST_MS, LEAST_WORDS, Company, believable, meant
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning
from assistant.job.instant import Instant, elapsed
from assistant.job.state import State

Way = Literal["always", "question", "addressed", "key"]
"""When the ear is open: always; after a question; when called by its word; while a key or pedal is held."""
WAYS: tuple[Way, ...] = get_args(Way)
DOZE_AFTER_MS = 20_000
"""Other talk for so long sends the ear to sleep."""
LEAST_TALK_MS = 8_000
"""So much of that time must have been speech."""
GAP_MS = 8_000
"""A pause so long ends a stretch of talk."""
AMID_TALK_MS = 3_000
"""Other talk for so long, and a sentence straight out of it belongs to it."""
PAUSE_MS = 2_500
"""A pause so long parts a sentence from the talk before it."""
OVER_MS = 20_000
"""Speech into a reply is asked about once in so long: the next may be that question's own echo."""
CALLED_MS = 8_000
"""After its word alone the ear is open for so long."""
ANSWER_MS = 30_000
"""After the assistant spoke the ear is open for so long where it opens for questions."""
HOLD_MS = 1_500
"""A held key repeats; between two repeats, from a short press to the first word, and from the last word to
the decision, so much may pass."""


class Openness(Enum):
    """How the ear stands."""

    OPEN = "open"
    DOZING = "dozing"
    """Sent to sleep by other talk; its word, a key, "ear open" or a timer wakes it."""
    CLOSED = "closed"
    """Closed by the mechanic; "ear open" or a key opens it."""


@dataclass(frozen=True, slots=True)
class Attention:
    """How the ear stands, and what it needs to know of what was heard before."""

    way: Way = "always"
    address: str = ""
    """The word it is called by; empty: it has none."""
    ear: Openness = Openness.OPEN
    called: Instant | None = None
    """When it was last called by its word alone."""
    key: Instant | None = None
    """When the key was last seen down."""
    talk_from: Instant | None = None
    """When the present stretch of other talk began."""
    talk_to: Instant | None = None
    talk_ms: int = 0
    """How much of that stretch was speech."""
    company: Company = field(default_factory=Company)
    """The other talk of the last minute."""
    over: Instant | None = None
    """When somebody last spoke into a reply and was asked for it again."""
    dozes: bool = True
    """Whether other talk sends the ear to sleep."""

    @property
    def open(self) -> bool:
        """Whether the ear is neither dozing nor closed."""
        return self.ear is Openness.OPEN


def attend(
    before: Attention, heard: Heard, state: State, at: Instant, spoke: Instant | None = None
) -> tuple[Attention, bool]:
    """Return the attention after an utterance that ended at `at`, and whether it is for the job.

    `spoke` is when the assistant fell silent last. An emergency is always for the job.
    """
    meaning = heard.meaning
    if heard.key:
        return replace(_awake(before), key=at), False
    if isinstance(meaning, Meaning) and meaning.kind == "ear":
        return _told(before, heard, meaning, at), False
    if isinstance(meaning, Meaning) and meaning.kind == "emergency":
        return _awake(before), True  # whoever calls it is there
    if heard.typed:
        return (before if before.ear is Openness.CLOSED else _awake(before)), True
    called = bool(before.address) and heard.words.split()[:1] == [before.address]
    if before.ear is Openness.CLOSED or (before.ear is Openness.DOZING and not called):
        return before, False
    if state.question is not None and state.question.name == "note":
        return before, True  # whatever is said is the note
    now = _awake(before) if called else before
    if not (called or _is_open(now, heard, state, at, spoke)):
        return now, False
    if heard.over:
        again = _within(now.over, at, OVER_MS)
        return (now, False) if again else (replace(now, over=at), True)
    amid = _amid_talk(now, heard, at, spoke)
    addressed = called or _pressed(now, heard, at)
    if isinstance(meaning, Meaning):
        if addressed or (not amid and believable(heard, meaning, at, spoke, now.company)):
            return _quiet(now), True
        return _overheard(now, heard, at), False
    answered = addressed or (not amid and meant(heard, meaning, at, spoke, now.company))
    return _listened(now, heard, state, at, answered)


def timer_spoke(before: Attention) -> Attention:
    """Return the attention after a timer has spoken: it wakes a dozing ear, not a closed one."""
    return _awake(before) if before.ear is Openness.DOZING else before


def _told(before: Attention, heard: Heard, meaning: Meaning, at: Instant) -> Attention:
    """Close or open the ear; its word alone opens it for one sentence, but not what was closed on purpose."""
    if meaning.slot("state") == "closed":
        return before if before.ear is Openness.DOZING else replace(_quiet(before), ear=Openness.CLOSED)
    if heard.words == before.address and before.ear is Openness.CLOSED:
        return before
    return replace(_awake(before), called=at)


def _is_open(now: Attention, heard: Heard, state: State, at: Instant, spoke: Instant | None) -> bool:
    """Say whether the ear was open for this utterance by the way that was chosen."""
    if now.way == "always":
        return True
    began = heard.ms
    if _within(now.called, at, CALLED_MS + began) or _pressed(now, heard, at):
        return True
    lately = _within(spoke, at, ANSWER_MS + began)
    if now.way == "addressed":
        return state.question is not None and lately
    return now.way == "question" and (state.question is not None or lately)


def _pressed(now: Attention, heard: Heard, at: Instant) -> bool:
    """Say whether the key was down, or just pressed, when it was said."""
    held = HOLD_MS if now.way == "key" else CALLED_MS
    return _within(now.key, at, held + heard.ms)


def _within(then: Instant | None, at: Instant, ms: int) -> bool:
    return then is not None and elapsed(then, at).ms <= ms


def _amid_talk(now: Attention, heard: Heard, at: Instant, spoke: Instant | None) -> bool:
    """Say whether an utterance came straight out of other talk: who speaks to the assistant pauses first.

    What the assistant said in between makes a pause.
    """
    if now.talk_to is None or now.talk_ms < AMID_TALK_MS:
        return False
    began = at.later(-heard.ms)
    if elapsed(now.talk_to, began).ms > PAUSE_MS:
        return False
    return spoke is None or elapsed(now.talk_to, spoke).ms == 0


def _listened(now: Attention, heard: Heard, state: State, at: Instant, meant: bool) -> tuple[Attention, bool]:
    """Count speech in which there was no sentence; too much of it in a row sends the ear to sleep."""
    if state.standing_by or state.frozen is not None or heard.seconds <= 0:
        return now, meant  # it waits for "I am back" alone
    if meant and (heard.share >= CLOSE or len(heard.words.split()) >= LEAST_WORDS):
        return now, True  # somebody who tries to say a sentence talks to nobody else
    began = at.later(-heard.ms)
    if now.talk_to is None or elapsed(now.talk_to, began).ms > GAP_MS:
        now = replace(now, talk_from=began, talk_ms=0)
    now = replace(now, talk_to=at, talk_ms=now.talk_ms + heard.ms)
    assert now.talk_from is not None
    long = elapsed(now.talk_from, at).ms >= DOZE_AFTER_MS and now.talk_ms >= LEAST_TALK_MS
    now = _overheard(now, heard, at)
    if long and now.dozes:
        return replace(_quiet(now), ear=Openness.DOZING), False
    return now, meant


def _overheard(now: Attention, heard: Heard, at: Instant) -> Attention:
    """Keep in mind that others talk."""
    return replace(now, company=now.company.heard(max(LEAST_MS, heard.ms), at))


def _quiet(now: Attention) -> Attention:
    """Begin to count the other talk anew."""
    return replace(now, talk_from=None, talk_to=None, talk_ms=0)


def _awake(now: Attention) -> Attention:
    return replace(_quiet(now), ear=Openness.OPEN)
