"""Where utterances come from: a keyboard, a recording on its own clock, or a microphone; one loop for all."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, TextIO

from assistant.app import Session
from assistant.commands import log
from assistant.commands.typed import typed_lines
from assistant.commands.understanding import KeepClip, expectation_of, from_line, from_utterance
from assistant.dialogue.reply import Heard
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import NoMatch
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, in_blocks
from assistant.hearing.utterance import Utterance
from assistant.job.state import State
from assistant.timekeeping.clock import RecordedClock

KEY = Heard(NoMatch("empty"), typed=True, key=True)
"""Somebody pressed a key, and no more."""


@dataclass(frozen=True, slots=True)
class Over:
    """The ear will bring nothing more."""


class Ear(Protocol):
    """Something that brings what the mechanic says."""

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next utterance, None when `timeout_s` passed without one, `Over` at the end."""

    def watch(self, state: Callable[[], State]) -> None:
        """Take where the job stands from here: what may be said changes while a reply is still spoken."""


def converse(session: Session, ear: Ear) -> None:
    """Run a job until it ends or the ear does: what is due first, then what is said."""
    ear.watch(lambda: session.state)
    while not session.state.ended:
        wait = session.wait_ms()
        item = ear.next(None if wait is None else wait / 1000, session.state)
        if isinstance(item, Over):
            return
        session.pass_time()
        if item is not None and not session.state.ended:
            if not item.key:
                log.heard(item, session.state)
            session.hear(item)


class Keyboard:
    """Typed lines; a thread reads them so that timers go on meanwhile."""

    def __init__(self, stream: TextIO, grammar: Grammar) -> None:
        self._grammar = grammar
        self._lines: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=self._read, args=(stream,), daemon=True, name="keyboard").start()

    def _read(self, stream: TextIO) -> None:
        try:
            for line in typed_lines(stream):
                self._lines.put(line)
        except (OSError, ValueError):
            pass
        self._lines.put(None)

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next line as what it means; a blank one is the press of a key."""
        try:
            line = self._lines.get(timeout=timeout_s)
        except queue.Empty:
            return None
        if line is None:
            return Over()
        return from_line(line, self._grammar) if line.strip() else KEY

    def watch(self, state: Callable[[], State]) -> None:
        """Typed lines are taken whatever is awaited."""


class Ahead:
    """An ear of which one utterance was heard already, before the job: it comes first."""

    def __init__(self, ear: Ear, heard: Heard) -> None:
        self._ear = ear
        self._first: Heard | None = heard

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the utterance heard before, then whatever the ear brings."""
        first, self._first = self._first, None
        return first or self._ear.next(timeout_s, state)

    def watch(self, state: Callable[[], State]) -> None:
        """Tell the ear where the job stands."""
        self._ear.watch(state)


@dataclass(frozen=True, slots=True)
class Recorded:
    """A stretch of sound at its place on the recording's clock."""

    at_ms: int
    pcm: bytes
    name: str = ""


def play(
    session: Session,
    clips: Iterable[Recorded],
    recogniser: Recogniser,
    grammar: Grammar,
    clock: RecordedClock,
    keep: KeepClip,
    told: Callable[[str, Heard], None],
    zero_ms: int | None = None,
    everything: bool = False,
) -> None:
    """Run a job from recorded sound: timers run on the recording's clock, silence between clips is skipped.

    `zero_ms` is the reading of the since-boot clock at the recording's zero; now when not given.
    `everything` keeps the sound of all that is understood, not of readings and notes alone.
    """
    begun = clock.now().up_ms if zero_ms is None else zero_ms
    for clip in clips:
        _until(session, clock, begun + clip.at_ms)
        for utterance in _heard(recogniser, clip.pcm, session):
            _until(session, clock, begun + clip.at_ms + round(utterance.decided * 1000))
            heard = from_utterance(utterance, grammar, session.state, keep, everything)
            told(clip.name, heard)
            session.hear(heard)


def run_out(session: Session, clock: RecordedClock, ms: int) -> None:
    """Let the recording's clock go on by `ms`, doing what falls due."""
    _until(session, clock, clock.now().up_ms + ms)


def _until(session: Session, clock: RecordedClock, up_ms: int) -> None:
    """Move the clock to a moment, stopping at whatever is due before it."""
    while True:
        left = up_ms - clock.now().up_ms
        wait = session.wait_ms()
        if wait is None or wait > left:
            clock.advance(max(left, 0))
            return
        clock.advance(wait)
        session.pass_time()


def _heard(recogniser: Recogniser, pcm: bytes, session: Session) -> Iterator[Utterance]:
    """Yield the utterances of one clip, each judged by what the job awaits at that moment."""
    for block in in_blocks(pcm):
        recogniser.expectation = expectation_of(session.state)
        yield from recogniser.feed(block)
    recogniser.expectation = expectation_of(session.state)
    yield from recogniser.finish()


def stdin() -> TextIO:
    """Return the keyboard."""
    return sys.stdin


def seconds(pcm: bytes) -> float:
    """Return the length of 16 kHz mono int16 sound."""
    return len(pcm) / 2 / RATE
