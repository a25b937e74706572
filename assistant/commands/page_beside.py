"""The page beside a running job: shows what is heard, said and kept, and lets a few words be touched."""

from __future__ import annotations

import argparse
import contextlib
import queue
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from assistant.app import Say
from assistant.commands import house
from assistant.commands.book import Book
from assistant.commands.ears import Ear, Over
from assistant.commands.live import LiveEar
from assistant.commands.page_watch import door_of
from assistant.commands.understanding import from_line
from assistant.dialogue.reply import Heard
from assistant.display.page.book import Records
from assistant.display.page.feed import Feed
from assistant.display.page.server import Page
from assistant.errors import AssistantError
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import Meaning
from assistant.hearing.sound import rms_db
from assistant.job.events import Event, JobStarted
from assistant.job.instant import Instant
from assistant.job.state import State
from assistant.journal.outbox import DurableFirst, Saved, Unsaved
from assistant.phrasing.en.page import pairing_sentence, understood_text

METER_S = 0.5
FLOOR_DB = -90.0
SLICE_S = 0.05
"""How long the ear is waited for before touched words are looked at."""


class ShownOutbox(DurableFirst):
    """Writes as ever, then shows what was written, or that it was not."""

    def __init__(self, inner: DurableFirst, feed: Feed) -> None:
        super().__init__(inner.journal)
        self._inner, self._feed = inner, feed

    def append(self, job: str, events: Sequence[Event]) -> Saved | Unsaved:
        """Write, then show."""
        result = self._inner.append(job, events)
        with contextlib.suppress(AssistantError):  # a store that cannot be read now is no reason to stop
            self._show(job, events)
            self._feed.unsaved(result.reason if isinstance(result, Unsaved) else "")
        return result

    def _show(self, job: str, events: Sequence[Event]) -> None:
        """Show events; the first of a job that was taken up bring its whole history."""
        if self._feed.job == job or any(isinstance(one, JobStarted) for one in events):
            self._feed.take(events)
        else:
            self._feed.begin([*self.journal.read(job), *self._inner.pending(job)])

    def retry(self) -> Saved | Unsaved:
        """Write what waits."""
        return self._inner.retry()

    def pending(self, job: str | None = None) -> list[Event]:
        """Return what is in memory only."""
        return self._inner.pending(job)


class TouchedEar:
    """An ear that also brings what is touched on the page."""

    def __init__(
        self, inner: Ear, touched: queue.Queue[str], heard: Callable[[str], Heard], feed: Feed
    ) -> None:
        self._inner, self._touched, self._heard, self._feed = inner, touched, heard, feed
        self._over: Over | None = None

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return what is said, typed or touched next."""
        end = None if timeout_s is None else time.monotonic() + timeout_s
        while True:
            left = SLICE_S if end is None else end - time.monotonic()
            item = self._touch() or self._over or self._inner.next(max(min(left, SLICE_S), 0), state)
            if isinstance(item, Heard):
                self._show(item)
            elif item is not None:
                self._over = item
            if item is not None or (end is not None and left <= 0):
                return item

    def watch(self, state: Callable[[], State]) -> None:
        """Pass on where the job stands."""
        self._inner.watch(state)

    def _touch(self) -> Heard | None:
        try:
            return self._heard(self._touched.get_nowait())
        except queue.Empty:
            return None

    def _show(self, item: Heard) -> None:
        known = isinstance(item.meaning, Meaning)
        if item.words:
            self._feed.heard(item.words, understood_text(item.meaning) if known else "")  # type: ignore[arg-type]


class Meter:
    """Tells the page twice a second how loud the microphone was, at its loudest block, and its noise."""

    def __init__(
        self, show: Callable[[float, float], None], now: Callable[[], float] = time.monotonic
    ) -> None:
        self._show, self._now = show, now
        self._loudest, self._shown = FLOOR_DB, now()

    def __call__(self, pcm: bytes, noise_db: float) -> None:
        """Take a block of 16 kHz mono int16 sound; called by the ear's own thread."""
        self._loudest = max(self._loudest, rms_db(np.frombuffer(pcm, dtype="<i2")))
        if self._now() - self._shown >= METER_S:
            self._show(self._loudest, noise_db)
            self._loudest, self._shown = FLOOR_DB, self._now()


@contextlib.contextmanager
def page_beside(
    arguments: argparse.Namespace,
    store: house.Store,
    metered: Ear,
    ear: Ear,
    say: Say,
    grammar: Grammar,
    now: Callable[[], Instant],
) -> Iterator[tuple[Ear, Say]]:
    """Give the ear and the voice with a page beside them.

    A page that cannot be served is told, and the job goes on without.
    """
    touched: queue.Queue[str] = queue.Queue()
    with _served(arguments, store, say, now, touched.put) as (page, feed, spoken):
        if page is None or feed is None:
            yield ear, say
            return
        if isinstance(metered, LiveEar):
            metered.metered = Meter(page.give_sound)
        yield TouchedEar(ear, touched, lambda line: from_line(line, grammar), feed), spoken


@contextlib.contextmanager
def page_beside_recording(
    arguments: argparse.Namespace, store: house.Store, say: Say, now: Callable[[], Instant]
) -> Iterator[Say]:
    """Give the voice of a job that is played from a recording, with a page that shows it.

    Nothing can be touched, for the recording goes on whatever is touched. What it came to stays on the
    page until the program is interrupted.
    """
    with _served(arguments, store, say, now, None) as (page, _, spoken):
        yield spoken
        if page is not None:
            _tell("the recording is over; the page stays until Ctrl-C")
            with contextlib.suppress(KeyboardInterrupt):
                threading.Event().wait()


@contextlib.contextmanager
def _served(
    arguments: argparse.Namespace,
    store: house.Store,
    say: Say,
    now: Callable[[], Instant],
    submit: Callable[[str], None] | None,
) -> Iterator[tuple[Page | None, Feed | None, Say]]:
    """Serve a page of the job whose store is given; without one where it cannot be."""
    book = Book(house.journal_place(getattr(arguments, "journal", None), house.settings()))
    page = Page(
        door_of(arguments, arguments.page),
        lambda: now().up_ms,
        submit,
        book=Records(book.entries, book.history),
    )
    try:
        page.start()
    except AssistantError as trouble:
        _tell(f"no page: {trouble}")
        yield None, None, say
        return
    feed = Feed(page, now, live=True)
    store.outbox = ShownOutbox(store.outbox, feed)

    def spoken(sentences: Sequence[str]) -> bool:
        feed.said(sentences)
        return say(sentences)

    _tell(f"the page: {page.address}")
    if page.door.code is not None:
        _tell(f"pairing code: {' '.join(page.door.code)}")
        say([pairing_sentence(page.door.code)])
    try:
        yield page, feed, spoken
    finally:
        page.close()


def _tell(text: str) -> None:
    print(f"({text})", file=sys.stderr, flush=True)
