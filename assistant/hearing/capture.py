"""The ear's side of the microphone: starts its process, watches it, starts it again when it falls silent
or does not keep pace."""

from __future__ import annotations

import contextlib
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import IO, Protocol

from assistant.hearing import blocks
from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.pace import WRONG_S, Pace

COMMAND = (sys.executable, "-m", "assistant.hearing.microphone_process")
OPENING_S = 10.0
"""How long a device may take to give its first sound."""
ENDING_S = 1.0
"""How long a process whose output has ended may take to be gone."""
STALE_S = 1.3
"""A microphone without a block for so long is lost; unplugging raises no error anywhere."""
WAITING = 200
"""Messages that may wait here, about two seconds of sound; then the microphone process counts losses."""
MOST_PATIENCE_S = 30 * WRONG_S
"""A device that keeps no pace whenever it is opened is opened again more and more seldom, up to here."""
AGAIN_S = 2.0
"""Pause before an absent microphone is tried again; one that was just lost is tried at once."""
LOOK_S = 5.0
"""While another one listens, the chosen microphone is looked for so often: each look is a process."""


class Source(Protocol):
    """One attempt at a microphone."""

    def next(self, timeout_s: float) -> Message | None:
        """Return the next message, None when there was none in `timeout_s`."""

    def close(self) -> None:
        """End the attempt."""


class MicrophoneProcess:
    """One run of the microphone process and the thread that reads it."""

    def __init__(self, name: str = "", command: Sequence[str] = COMMAND) -> None:
        self._process = subprocess.Popen(
            [*command, name], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        assert self._process.stdout is not None
        self._messages: queue.Queue[Message] = queue.Queue(WAITING)
        self._closed = False
        threading.Thread(target=self._read, args=(self._process.stdout,), daemon=True).start()

    @property
    def pid(self) -> int:
        """The process id."""
        return self._process.pid

    def next(self, timeout_s: float) -> Message | None:
        """Return the next message, None when there was none in `timeout_s`."""
        try:
            return self._messages.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def close(self) -> None:
        """Kill the process and wait until it is gone."""
        self._closed = True
        self._process.kill()
        self._process.wait()
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()

    def _read(self, stream: IO[bytes]) -> None:
        with stream, contextlib.suppress(OSError, ValueError):
            while (message := blocks.read(stream)) is not None:
                self._put(message)
        self._put(Trouble(self._why_it_ended()))

    def _why_it_ended(self) -> str:
        """Return why the process is over, whose output has ended."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            if self._process.wait(ENDING_S) == -signal.SIGABRT:  # the sound library does so when it is loaded
                return "the sound library breaks off; assistant check tells the cure under loudspeaker"
        return "the microphone process has ended"

    def _put(self, message: Message) -> None:
        """Queue a message, waiting while the queue is full and somebody still listens."""
        while not self._closed:
            with contextlib.suppress(queue.Full):
                self._messages.put(message, timeout=0.5)
                return


class SteadyMicrophone:
    """A microphone that is opened again whenever it is lost, and looked for while there is none.

    Another one may stand in for it meanwhile; the choice stays, and it is gone back to when it is there.
    """

    def __init__(
        self,
        opening: Callable[[], Source],
        now: Callable[[], float] = time.monotonic,
        other: Callable[[], Source] | None = None,
    ) -> None:
        """`opening` begins one attempt at the microphone that was chosen, `other` at the one to stand in.

        `now` is a clock in seconds that never jumps.
        """
        self._opening, self._now, self._other = opening, now, other
        self._source: Source | None = None
        self._again_at = now()
        self._until = 0.0
        self.listening = False
        """Whether sound is coming in."""
        self.ever = False
        """Whether it ever came in."""
        self.instead = False
        """Whether the attempt under way, or the sound, is of the other one."""
        self.trouble = ""
        """Why there is no sound, empty while it is or before that is known; why there is another one."""
        self.losses = 0
        self._pace, self._patience_s = Pace(), WRONG_S
        self._look: Source | None = None
        """An attempt at the chosen one while the other listens."""
        self._look_at = 0.0

    def read(self, timeout_s: float) -> Block | None:
        """Return the next sound, None when there was none in `timeout_s`; never raises for a lost device.

        Sound that is missing before it is counted in it, also where the sound system did not say so.
        """
        now = self._now()
        if self._source is None:
            if now < self._again_at:
                return None
            try:
                self._source = self._other() if self.instead and self._other else self._opening()
            except OSError as trouble:
                self._lost(f"the microphone process cannot be started ({trouble})")
                return None
            self._until = now + OPENING_S
        message: Message | None = self._back() if self.instead and self.listening else None
        message = message or self._source.next(timeout_s)
        if isinstance(message, Block):
            return self._heard(message)
        if isinstance(message, Trouble):
            self._lost(message.why)
        elif self._now() >= self._until:
            self._lost("the microphone gives no sound")
        return None

    def close(self) -> None:
        """Let go of the device."""
        for source in (self._source, self._look):
            if source is not None:
                source.close()
        self._source = self._look = None

    def _back(self) -> Block | None:
        """Look for the chosen microphone; return its first sound once it is there and has taken over."""
        now = self._now()
        if self._look is None:
            if now >= self._look_at:
                self._look_at = now + OPENING_S
                with contextlib.suppress(OSError):
                    self._look = self._opening()
            return None
        message = self._look.next(0)
        if isinstance(message, Block):
            found, self._look = self._look, None
            self.close()
            self._source, self.instead = found, False
            self._pace, self._patience_s = Pace(), WRONG_S
            return replace(message, lost=max(message.lost, 1))
        if message is not None or now >= self._look_at:
            self._look.close()
            self._look, self._look_at = None, now + LOOK_S
        return None

    def _heard(self, block: Block) -> Block | None:
        """Return a block with what is missing before it; none from a device that does not keep pace."""
        block = replace(block, lost=block.lost + self._pace.take(block))
        if not self._pace.wrong:
            self._until = self._now() + STALE_S
            if not self.listening:
                self._look_at = self._now() + LOOK_S
            self.listening, self.ever = True, True
            self.trouble = self.trouble if self.instead else ""
            return block
        first, longer = self._patience_s == WRONG_S, min(2 * self._patience_s, MOST_PATIENCE_S)
        if first:
            self._lost(self._pace.wrong)
        else:  # it was told before: the device is opened again, and whoever speaks is asked again
            self.close()
            self._again_at = self._now()
        self._pace, self._patience_s = Pace(longer), longer
        return None if first else replace(block, lost=max(block.lost, 1))

    def _lost(self, why: str) -> None:
        """The attempt is over: the chosen one is tried again, or the other one, at once or after a while."""
        self.close()
        self._pace, self._patience_s = Pace(), WRONG_S
        self.losses += self.listening
        here_too = self.instead or self._other is None
        self._again_at = self._now() + (AGAIN_S if here_too and not self.listening else 0.0)
        self.instead = not self.listening and not here_too
        self.trouble = why
        self.listening = False
