"""The newest picture of a job and everybody who watches it: one frame made once, shared by all.

A frame is a whole picture, so a watcher that was slow or away needs only the newest one: nothing is
replayed and nothing can come twice. Everything here runs on the one thread of the server's event loop;
`give` alone may be called from any other.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from typing import Any

BEAT_S = 15.0
"""After this much silence a comment and a beat go out, so that neither proxy nor page takes it for dead."""
RETRY_MS = 1000
"""How long a browser waits before it looks for a lost stream again."""
MOST_WATCHERS = 200


def frame(event: str, data: str, number: str = "") -> bytes:
    """Return one server-sent event; `data` must be free of line ends."""
    named = f"id: {number}\n" if number else ""
    return f"event: {event}\n{named}data: {data}\n\n".encode()


class Hub:
    """Holds the newest picture and sound level, and wakes those who watch."""

    def __init__(self, epoch: str, up_ms: Callable[[], int], beat_s: float = BEAT_S) -> None:
        """`epoch` names this run of the server; `up_ms` is its clock since boot, in milliseconds."""
        self.epoch, self._up_ms, self._beat_s = epoch, up_ms, beat_s
        self._loop: asyncio.AbstractEventLoop | None = None
        self._watchers: set[asyncio.Event] = set()
        self._picture = "null"
        self._frame = b""
        self._sound = b""
        self._number = 0
        self._sounds = 0
        self._over = False

    def begin(self) -> None:
        """Take the running event loop as the one to work on."""
        self._loop = asyncio.get_running_loop()

    def give(self, make: Callable[[], dict[str, Any] | None]) -> None:
        """Show what `make` returns, called on the server's thread; from any thread, never waits or raises."""
        self._later(lambda: self.show(make()))

    def give_sound(self, level_db: float, noise_db: float) -> None:
        """Show how loud the microphone and its noise are, in dB below full scale; from any thread."""
        self._later(lambda: self._hear(level_db, noise_db))

    def _later(self, do: Callable[[], None]) -> None:
        if self._loop is None or self._loop.is_closed():
            return
        try:
            self._loop.call_soon_threadsafe(do)
        except RuntimeError:  # the server ended in between
            return

    def show(self, picture: dict[str, Any] | None) -> None:
        """Make `picture` the newest and wake everybody, unless it looks the same as the one before."""
        text = json.dumps(picture, ensure_ascii=False, separators=(",", ":"))
        if text == self._picture:
            return
        self._picture = text
        self._number += 1
        self._frame = self._framed()
        self._wake()

    def _hear(self, level_db: float, noise_db: float) -> None:
        self._sounds += 1
        self._sound = frame("sound", json.dumps({"level": round(level_db), "noise": round(noise_db)}))
        self._wake()

    @property
    def newest(self) -> str:
        """Return the newest picture as JSON, with the clock it is of."""
        return f'{{"up_ms":{self._up_ms()},"picture":{self._picture}}}'

    def _framed(self) -> bytes:
        return frame("picture", self.newest, f"{self.epoch}-{self._number}")

    def _wake(self) -> None:
        for one in self._watchers:
            one.set()

    @property
    def full(self) -> bool:
        """Say whether nobody more is let in."""
        return len(self._watchers) >= MOST_WATCHERS

    @property
    def watchers(self) -> int:
        """Return how many watch now."""
        return len(self._watchers)

    def end(self) -> None:
        """Let every stream end; from any thread."""
        self._later(self._end)

    def _end(self) -> None:
        self._over = True
        self._wake()

    async def frames(self, greeting: str) -> AsyncIterator[bytes]:
        """Yield a greeting, the newest picture, then each newer one; a beat where nothing happens."""
        woken = asyncio.Event()
        self._watchers.add(woken)
        try:
            yield f"retry: {RETRY_MS}\n".encode() + frame("hello", greeting)
            seen, sounds = self._number, self._sounds
            yield self._framed()
            while not self._over:
                try:
                    await asyncio.wait_for(woken.wait(), self._beat_s)
                except TimeoutError:
                    yield b": still here\n" + frame("beat", f'{{"up_ms":{self._up_ms()}}}')
                    continue
                woken.clear()
                if self._number != seen:
                    seen = self._number
                    yield self._frame
                if self._sounds != sounds:
                    sounds = self._sounds
                    yield self._sound
        finally:
            self._watchers.discard(woken)
