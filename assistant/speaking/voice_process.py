"""The voice process: reads what to say from its standard input, writes the sound to its standard output.

Run as `python -m assistant.speaking.voice_process`. It lives as long as its standard input is open,
whatever the engine is doing, so that it never outlives the assistant.
"""

from __future__ import annotations

import os
import queue
import signal
import sys
import threading
from typing import IO

from assistant.errors import AssistantError
from assistant.speaking import frames
from assistant.speaking.engine import Engine
from assistant.speaking.natural import Natural


def main() -> int:
    """Answer every `Speak` with `Spoken` or `Failed`, in order, until the input ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C is for the assistant, which ends this process
    answers = _claimed_output()
    requests: queue.SimpleQueue[frames.Speak] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, requests), daemon=True).start()
    try:
        voices = Voices(Engine())
    except AssistantError as trouble:
        frames.write(answers, frames.Failed(0, str(trouble)))
        return 1
    frames.write(answers, frames.Ready(voices.usual.name))
    while True:
        request = requests.get()
        frames.write(answers, _answer(voices, request))


class Voices:
    """The engines: the usual one, and the natural one once somebody asks for it."""

    def __init__(self, usual: Engine) -> None:
        self.usual = usual
        self._natural: Natural | None = None

    def of(self, manner: frames.Manner) -> Engine | Natural:
        """Return what speaks in a manner; raises `MissingPart` when it cannot be loaded."""
        if manner.voice != frames.NATURAL:
            return self.usual
        if self._natural is None:
            self._natural = Natural()
        return self._natural


def _answer(voices: Voices, request: frames.Speak) -> frames.Message:
    try:
        engine = voices.of(request.manner)
        return frames.Spoken(request.number, engine.synthesise(request.text, request.manner))
    except (AssistantError, OSError, RuntimeError, ValueError) as trouble:
        return frames.Failed(request.number, str(trouble))


def _claimed_output() -> IO[bytes]:
    """Take standard output for the answers; what libraries print there goes to standard error instead."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return answers


def _listen(stream: IO[bytes], requests: queue.SimpleQueue[frames.Speak]) -> None:
    """Queue what is asked; end the process when the asker is gone, even in the middle of a phrase."""
    try:
        while (message := frames.read(stream)) is not None:
            if isinstance(message, frames.Speak):
                requests.put(message)
    finally:
        os._exit(0)


if __name__ == "__main__":
    sys.exit(main())
