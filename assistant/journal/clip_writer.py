"""Writes clips in a thread of its own, so that a slow disk never holds up the event of a reading."""

from __future__ import annotations

import queue
import threading
from contextlib import suppress
from dataclasses import dataclass, field

from assistant.journal.clips import Clip, ClipStore

LONGEST_S = 0.12
"""How long an event waits for its clip; with the encoding of the sound it stays under 200 ms."""


@dataclass(slots=True)
class _Task:
    """One clip on its way, and whether anybody still waits for it."""

    job: str
    sound: bytes
    done: threading.Event = field(default_factory=threading.Event)
    given_up: bool = False
    clip: Clip = field(default_factory=lambda: Clip(None, "the disk is too slow"))


class ClipWriter:
    """Keeps clips within a bounded time: one that is late is removed again, and its event says "no clip"."""

    def __init__(self, clips: ClipStore, longest_s: float = LONGEST_S) -> None:
        self._clips, self._longest_s = clips, longest_s
        self._tasks: queue.SimpleQueue[_Task | int | None] = queue.SimpleQueue()
        self._mind = threading.Lock()
        """Held while it is settled whether a clip came in time."""
        self._thread = threading.Thread(target=self._work, daemon=True, name="clips")
        self._thread.start()

    def keep(self, job: str, sound: bytes) -> Clip:
        """Write a clip durably and return its name, or after at most `longest_s` that there is none."""
        task = _Task(job, sound)
        self._tasks.put(task)
        task.done.wait(self._longest_s)
        with self._mind:
            task.given_up = not task.done.is_set()
            return task.clip

    def sweep(self, before_ms: int) -> None:
        """Remove clips that were written before an instant (UTC, milliseconds), when there is time."""
        self._tasks.put(before_ms)

    def close(self, longest_s: float = 2.0) -> bool:
        """Finish what is under way; return false when the disk did not answer within `longest_s`."""
        self._tasks.put(None)
        self._thread.join(longest_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        while (task := self._tasks.get()) is not None:
            if isinstance(task, int):
                with suppress(OSError):
                    self._clips.sweep(task)
            elif not task.given_up:
                self._write(task)

    def _write(self, task: _Task) -> None:
        there = self._clips.holds(task.job, task.sound)
        clip = self._clips.keep(task.job, task.sound)
        with self._mind:
            late = task.given_up
            if not late:
                task.clip = clip
                task.done.set()
        if late and clip.name is not None and not there:
            with suppress(OSError):
                self._clips.remove(task.job, clip.name)
