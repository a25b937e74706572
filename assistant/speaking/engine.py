"""The speech engine: pyttsx3, used as a synthesiser only, one phrase per run.

Its own playing, stopping and queueing lose phrases, block, or report success for what nobody heard. On
Linux the speech library comes inside a Python package, so that none has to be installed, and its samples
are taken straight from the library under pyttsx3: by way of a file each phrase would wait 15 ms for the
engine's own loop. Elsewhere the system's own voices are used, through a file.
"""

from __future__ import annotations

import ctypes
import os
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

import soundfile

from assistant.errors import MissingPart
from assistant.speaking.frames import USUAL, Manner
from assistant.speaking.sound import Sound, plausible, trimmed

TRIES = 2
"""A run that gave nothing usable is repeated once: a late event of the run before it can cut it off."""
RATE = 22_050
"""Of the library's samples."""


class Engine:
    """pyttsx3 with this computer's driver; to be used from the thread that made it."""

    def __init__(self, deadline_s: float = 10.0) -> None:
        """Load the library; `MissingPart` says what is missing when it cannot be loaded."""
        self._deadline_s = deadline_s
        self._finished = threading.Event()
        self._manner: Manner | None = None
        self._troubles: list[str] = []
        self._engine = _pyttsx3()
        self._engine.connect("finished-utterance", lambda **_: self._finished.set())
        self._engine.connect("error", lambda exception, **_: self._troubles.append(str(exception)))
        self._run = self._through_file
        if sys.platform == "linux":
            self._engine.runAndWait()  # nothing; only after a run are settings taken, or refused, at once
            self._library = _library()
            self._pieces: list[bytes] = []
            self._library.SetSynthCallback(self._take)
            self._run = self._straight
        self._own = str(self._engine.getProperty("voice"))
        self.name = f"pyttsx3, {self._engine}"

    def synthesise(self, text: str, manner: Manner) -> Sound:
        """Return the sound of `text` without silence at its ends.

        Raises `MissingPart` when the engine gives no sound that can hold the text, and returns the empty
        sound for a text without a letter.
        """
        if not any(letter.isalnum() for letter in text):
            return Sound(b"", RATE)
        self._apply(manner)
        for _ in range(TRIES):
            sound = self._run(text)
            if sound is not None and plausible(sound, text):
                return sound
        raise MissingPart(f"the speech engine gave no sound for {text!r}")

    def _apply(self, manner: Manner) -> None:
        if manner == self._manner:
            return
        self._troubles.clear()
        self._engine.setProperty("voice", self._voice(manner.voice))
        if sys.platform == "linux":  # elsewhere it is not settable
            self._engine.setProperty("pitch", manner.pitch)
        self._engine.setProperty("rate", manner.rate)
        if self._troubles:
            raise MissingPart(f"the speech engine does not take {manner}: {'; '.join(self._troubles)}")
        self._manner = manner

    def _voice(self, named: str) -> str:
        """Return the engine's own name of a voice; raises `MissingPart` where there is none like it."""
        if named == USUAL:
            return USUAL if sys.platform == "linux" else self._own
        offered = self._engine.getProperty("voices")
        for like in (
            lambda one: named == one.id,
            lambda one: named.lower() in f"{one.id} {one.name}".lower(),
        ):
            for one in filter(like, offered):
                return str(one.id)
        raise MissingPart(f"the speech engine has no voice {named!r}")

    def _straight(self, text: str) -> Sound | None:
        """Let the library speak into memory; its samples come piecewise on a thread of its own.

        The event of the end is waited for: the library's own waiting sleeps 20 ms.
        """
        self._finished.clear()
        self._pieces = []
        self._library.Synth(text.encode("utf-8"), flags=self._library.CHARS_UTF8)
        if not self._finished.wait(self._deadline_s):
            raise MissingPart(f"the speech engine did not finish {text!r}")
        return trimmed(Sound(b"".join(self._pieces), RATE))

    def _take(self, samples: Any, count: int, events: Any) -> int:
        """Keep a piece; called by the library."""
        if count > 0:
            self._pieces.append(ctypes.string_at(samples, 2 * count))
        at = 0
        while (kind := events[at].type) != self._library.EVENT_LIST_TERMINATED:
            if kind == self._library.EVENT_MSG_TERMINATED:
                self._finished.set()
            at += 1
        return 0

    def _through_file(self, text: str) -> Sound | None:
        with tempfile.TemporaryDirectory(prefix="spoken-") as folder:
            path = Path(folder) / "phrase"
            self._finished.clear()
            self._engine.save_to_file(text, str(path))
            self._engine.runAndWait()
            if not self._finished.wait(self._deadline_s):
                raise MissingPart(f"the speech engine did not finish {text!r}")
            if not path.exists():
                return None
            samples, rate = soundfile.read(str(path), dtype="int16", always_2d=True)
        return trimmed(Sound(samples[:, 0].astype("<i2").tobytes(), int(rate)))


def _library() -> Any:
    """Return the speech library as pyttsx3 binds it."""
    from pyttsx3.drivers import _espeak

    return _espeak


def _pyttsx3() -> Any:
    """Return the engine object of pyttsx3, the packaged library put where its driver finds it first."""
    try:
        if sys.platform == "linux":
            import espeakng_loader

            # without the data path the library ends the whole process instead of reporting an error
            os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
            ctypes.CDLL(espeakng_loader.get_library_path())
        import pyttsx3

        return pyttsx3.init()
    except (ImportError, OSError, RuntimeError, KeyError) as trouble:
        raise MissingPart(
            f"no speech engine ({trouble}); put it in with: pip install pyttsx3 espeakng-loader"
        ) from trouble
