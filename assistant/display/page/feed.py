"""Feeds a page or a terminal: takes the facts of a job as they become known and has them shown.

The state of a job and its last events are values; they are handed to the page's thread, which makes the
picture. A job never waits for its page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

from assistant.display.page.amounts import Picture
from assistant.display.page.picture import TAIL, Live, picture
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import State, apply, begin, fold


class Screen(Protocol):
    """What shows pictures of a job: the page, or a terminal."""

    @property
    def touchable(self) -> bool:
        """Whether words can be touched on it."""

    def give(self, make: Callable[[], Picture | None]) -> None:
        """Show what `make` returns; it may be called later, by another thread."""


class Feed:
    """The job a screen shows; used by one thread at a time."""

    def __init__(self, page: Screen, now: Callable[[], Instant], live: bool = False) -> None:
        """`live` says that sentences heard and spoken come in beside the events."""
        self._page, self._now = page, now
        self._state: State | None = None
        self._tail: tuple[e.Event, ...] = ()
        self._live = Live() if live else None
        self._touch = page.touchable
        self._written = True

    @property
    def job(self) -> str:
        """Return the job that is shown, empty where there is none."""
        return self._state.job if self._state is not None else ""

    def begin(self, history: Sequence[e.Event]) -> None:
        """Show the job with this history from its start."""
        self._state = fold(history)
        self._tail = tuple(history[-TAIL:])
        self._show()

    def take(self, events: Sequence[e.Event]) -> None:
        """Show what happened since."""
        for one in events:
            if isinstance(one, e.JobStarted):
                self._state, self._tail = begin(one), ()
            elif self._state is not None:
                self._state = apply(one, self._state)
            self._tail = (*self._tail, one)[-TAIL:]
        self._show()

    def heard(self, words: str, understood: str) -> None:
        """Show a sentence and what it was taken for (empty: not understood)."""
        if self._live is not None:
            self._live = replace(self._live, words=words, understood=understood)
            self._show()

    def said(self, sentences: Sequence[str]) -> None:
        """Show what the assistant says."""
        if self._live is not None:
            self._live = replace(self._live, said=tuple(sentences))
            self._show()

    def unsaved(self, why: str) -> None:
        """Show that the newest events are not saved; empty: they are."""
        if self._live is not None:
            self._live = replace(self._live, unsaved=why)
            self._show()

    def writer(self, alive: bool) -> None:
        """Show whether the program that writes the record still runs."""
        if alive != self._written:
            self._written = alive
            self._show()

    def _show(self) -> None:
        state, tail, live, touch, now = self._state, self._tail, self._live, self._touch, self._now()
        written = self._written

        def make() -> Picture | None:
            if state is None:
                return None
            return {**picture(state, tail, now, live, touch), "written": written or bool(state.ended)}

        self._page.give(make)
