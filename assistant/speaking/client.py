"""The asker's side of the voice process: starts it, watches it, kills it when it hangs, starts it again."""

from __future__ import annotations

import contextlib
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import replace
from typing import IO

from assistant.errors import AssistantError, MissingPart
from assistant.speaking import frames
from assistant.speaking.sound import Sound, plausible

COMMAND = (sys.executable, "-m", "assistant.speaking.voice_process")
START_S = 20.0
"""How long a voice process may take to load its engine (less than a second on an idle computer)."""
PATIENCE_S = 5.0
LETTER_S = 0.01
"""A phrase may take PATIENCE_S and LETTER_S for each letter: hundreds of times what it needs."""
TRIES = 2
AHEAD = 300
"""So many prompts are kept rendered ahead: some 40 MB."""
APART_S = 0.02
"""Pause between two of them, for whoever wants to speak now."""


class VoiceProcess:
    """The voice process, kept running: at most one phrase is under way at a time.

    A process that crashes, hangs or claims a success that cannot be is killed and started again, and the
    phrase is repeated once.
    """

    def __init__(
        self,
        manner: frames.Manner | None = None,
        *,
        command: Sequence[str] = COMMAND,
        patience_s: float = PATIENCE_S,
    ) -> None:
        """Start the process without waiting for its engine; trouble shows in `synthesise`."""
        self.manner = manner or frames.Manner()
        self.restarts = 0
        self.fallen_back = ""
        """Why the voice that was asked for does not speak and the usual one does; empty while it is well."""
        self._command, self._patience_s = tuple(command), patience_s
        self._number = 0
        self._turn = threading.Lock()
        self._closed = threading.Event()
        self._ahead: dict[tuple[str, frames.Manner], Sound] = {}
        self._wanted_ahead: tuple[str, ...] = ()
        self._child = _Child(self._command)
        if self.manner.voice == frames.NATURAL:
            self._child.warm(self.manner)

    @property
    def pid(self) -> int:
        """The process id of the present voice process."""
        return self._child.pid

    @property
    def engine(self) -> str:
        """What speaks, by its own account; empty before the first phrase."""
        return self._child.engine

    def synthesise(self, text: str) -> Sound:
        """Return the sound of `text`; raises `MissingPart` when it failed twice.

        Another voice than the usual one that fails gives way to it for good.
        """
        ready = self._ahead.get((text, self.manner))
        if ready is not None:
            return ready
        with self._turn:
            trouble = ""
            for _ in range(TRIES):
                try:
                    return self._asked(text, self.manner)
                except MissingPart as failure:
                    trouble = str(failure)
                    self._restart()
                    self._fall_back(trouble)
            raise MissingPart(trouble)

    def prepare(self, texts: Sequence[str]) -> None:
        """Render texts ahead where the voice is slower than the usual one, while nothing else is said.

        What cannot be rendered now is told when it is to be spoken.
        """
        self._wanted_ahead = tuple(texts)
        if self.manner.voice == frames.NATURAL:
            threading.Thread(target=self._prepare, args=(self._wanted_ahead,), daemon=True).start()

    def turn_to(self, manner: frames.Manner) -> None:
        """Speak in another manner from the next phrase on; what was rendered ahead is rendered anew in it."""
        self.manner = manner
        self._ahead = {}
        self.prepare(self._wanted_ahead)

    def _prepare(self, texts: Sequence[str]) -> None:
        for text in texts:
            if self._closed.wait(APART_S) or len(self._ahead) >= AHEAD:
                return
            with self._turn:
                manner, ahead = self.manner, self._ahead
                if (text, manner) in ahead:
                    continue
                try:
                    ahead[text, manner] = self._asked(text, manner)
                except MissingPart:
                    return

    def _fall_back(self, why: str) -> None:
        if self.manner.voice != frames.USUAL:
            self.manner, self.fallen_back = replace(self.manner, voice=frames.USUAL), why

    def close(self) -> None:
        """End the process; nothing can be asked afterwards."""
        self._closed.set()
        self._child.end()

    def _asked(self, text: str, manner: frames.Manner) -> Sound:
        if self._closed.is_set():
            raise MissingPart("the voice has been closed")
        self._child.await_ready()
        self._number += 1
        patience_s = self._patience_s + LETTER_S * len(text)
        answer = self._child.ask(frames.Speak(self._number, text, manner), patience_s)
        if isinstance(answer, frames.Failed):
            raise MissingPart(answer.why)
        if not plausible(answer.sound, text) and any(letter.isalnum() for letter in text):
            raise MissingPart(f"the voice claims to have said {text!r} in {answer.sound.seconds:.2f} s")
        return answer.sound

    def _restart(self) -> None:
        self._child.end()
        if not self._closed.is_set():
            self.restarts += 1
            self._child = _Child(self._command)


class _Child:
    """One run of the voice process and the thread that reads its answers."""

    def __init__(self, command: tuple[str, ...]) -> None:
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._requests = self._process.stdin
        self._ready = False
        self.engine = ""
        """What speaks, by its own account; empty until it is loaded."""
        self._answers: queue.SimpleQueue[frames.Message | None] = queue.SimpleQueue()
        threading.Thread(target=self._read, args=(self._process.stdout,), daemon=True).start()

    @property
    def pid(self) -> int:
        return self._process.pid

    def await_ready(self) -> None:
        """Return once the engine is loaded; raises `MissingPart` when it cannot be."""
        if self._ready:
            return
        message = self._next(time.monotonic() + START_S, "loading the voice took too long")
        if isinstance(message, frames.Failed):
            raise MissingPart(message.why)
        if isinstance(message, frames.Ready):
            self.engine = message.engine
        self._ready = True

    def warm(self, manner: frames.Manner) -> None:
        """Let the engine of a voice load meanwhile; what comes of it shows at the first phrase."""
        with contextlib.suppress(OSError):
            frames.write(self._requests, frames.Speak(0, "", manner))

    def ask(self, request: frames.Speak, patience_s: float) -> frames.Spoken | frames.Failed:
        """Return the answer to `request`; answers to earlier requests are dropped."""
        try:
            frames.write(self._requests, request)
        except OSError as trouble:
            raise MissingPart("the voice process has ended") from trouble
        until = time.monotonic() + patience_s
        while True:
            message = self._next(until, f"the voice hangs at {request.text!r}")
            if isinstance(message, frames.Spoken | frames.Failed) and message.number == request.number:
                return message

    def end(self) -> None:
        """Kill the process (a hung one listens to nothing else) and wait until it is gone."""
        self._process.kill()
        self._process.wait()
        with contextlib.suppress(OSError):
            self._requests.close()

    def _next(self, until: float, too_late: str) -> frames.Message:
        try:
            message = self._answers.get(timeout=max(0.0, until - time.monotonic()))
        except queue.Empty:
            raise MissingPart(too_late) from None
        if message is None:
            raise MissingPart("the voice process has ended")
        return message

    def _read(self, stream: IO[bytes]) -> None:
        """Queue the answers; None stands for the end of the process, or for an answer that makes no sense."""
        with stream, contextlib.suppress(AssistantError, OSError, ValueError):
            while (message := frames.read(stream)) is not None:
                self._answers.put(message)
        self._answers.put(None)
