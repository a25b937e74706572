"""The sounds that wait for a loudspeaker, and what its stream's callback does with them.

The callback runs on the sound system's own thread: it only copies samples, and it is the one that knows
what has really been handed over, so positions and endings come from it.
"""

from __future__ import annotations

import threading
from collections import deque
from typing import Protocol

import numpy as np
import numpy.typing as npt

from assistant.speaking.air import Air
from assistant.speaking.sound import Samples, Sound, level_db

FADE_S = 0.005
"""A sound that is cut off is faded this long: a hard cut clicks."""


class Playing:
    """One sound on its way to the loudspeaker."""

    def __init__(self, samples: Samples, rate: int) -> None:
        self._samples, self._rate = samples, rate
        self._at = 0
        self._ended = threading.Event()
        self.started_at: float | None = None
        """Monotonic time at which the first sample was handed to the sound card."""
        self.heard_at: float | None = None
        """Monotonic time at which the first sample leaves the sound card, by the card's own word."""

    @property
    def position_s(self) -> float:
        """Seconds handed to the sound card so far."""
        return self._at / self._rate

    @property
    def completed(self) -> bool:
        """Tell whether the last sample has been handed over (false for a sound that was stopped)."""
        return self._at >= len(self._samples)

    @property
    def over(self) -> bool:
        """Tell whether nothing more of it will be played: it was said to its end, or stopped."""
        return self._ended.is_set()

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait until the sound has ended or was stopped; return whether all of it was played."""
        self._ended.wait(timeout_s)
        return self.completed

    def take(self, count: int) -> Samples:
        """Return the next `count` samples, or what is left; called by the stream only."""
        piece = self._samples[self._at : self._at + count]
        self._at += len(piece)
        return piece

    def reached(self, seconds: float, *, completed: bool) -> None:
        """Take the word of another process for how far it is; the whole of it only where that is said."""
        most = len(self._samples) if completed else len(self._samples) - 1
        self._at = most if completed else min(round(seconds * self._rate), most)

    def end(self) -> None:
        """Wake whoever waits."""
        self._ended.set()


class Output(Protocol):
    """Something that plays sounds, in order, each at once where nothing is playing."""

    gain: float
    """How loud, 1 being as the sound comes."""
    air: Air
    """When what was played left the card."""

    @property
    def alive(self) -> bool:
        """Tell whether what is given now will be heard."""

    @property
    def playing(self) -> Playing | None:
        """The sound being played now, if any."""

    def play(self, sound: Sound) -> Playing:
        """Put `sound` behind what is playing and return it at once."""

    def stop(self, timeout_s: float = 0.3) -> bool:
        """Fall silent, drop what waits, and return whether it was silent within `timeout_s`."""

    def hold(self, held: bool) -> None:
        """Fall silent in the middle of what is playing, or go on with it where it was."""

    def reopen(self) -> None:
        """Open the device anew; `MissingPart` when none opens."""

    def close(self) -> None:
        """Stop and let go of the device."""


class Line:
    """The sounds on their way to one stream; the stream's callback calls `fill`."""

    def __init__(self, gain: float = 1.0, rate: int = 48_000, air: Air | None = None) -> None:
        """`rate` is that of the stream; it may change while nothing is in the line."""
        self.gain, self.rate = gain, rate
        self.air = air if air is not None else Air()
        """When what was played left the card."""
        self._lock = threading.Lock()
        self._line: deque[Playing] = deque()
        self._cutting = self._held = self._was_held = False
        self._silent = threading.Event()

    @property
    def playing(self) -> Playing | None:
        """The sound being played now, if any."""
        with self._lock:
            return self._line[0] if self._line else None

    def play(self, sound: Sound) -> Playing:
        """Put `sound` behind what is playing and return it at once."""
        playing = Playing(sound.at_rate(self.rate).samples(), self.rate)
        with self._lock:
            self._silent.clear()
            self._line.append(playing)
        return playing

    def stop(self, timeout_s: float = 0.3) -> bool:
        """Fade out, drop what waits, and return whether the stream was silent within `timeout_s`."""
        with self._lock:
            if not self._line:
                return True
            self._cutting = True
        silent = self._silent.wait(timeout_s)
        if not silent:  # the card asks for nothing: whatever waits must not be heard when it comes back
            with self._lock:
                self._drop()
        return silent

    def hold(self, held: bool) -> None:
        """Fall silent in the middle of what is playing, or go on with it where it was."""
        self._held = held

    def fill(self, out: npt.NDArray[np.float32], now: float, leaves: float) -> int:
        """Fill one block of mono samples, whose first leaves the card at `leaves`.

        Return how many of them are sound of ours; `now` is the time, both of `time.monotonic`.
        """
        out.fill(0)
        fade = min(len(out), max(1, round(FADE_S * self.rate)))
        with self._lock:
            falls, was_held, self._was_held = self._cutting or self._held, self._was_held, self._held
            at = 0 if falls and was_held else self._taken(out, fade if falls else len(out), now, leaves)
            if was_held and not falls:
                out[:fade] *= np.linspace(0, 1, fade, dtype=np.float32)
            if at:
                self.air.put(leaves, at / self.rate, level_db(self.gain * out[:at]))
            if falls:
                out[:fade] *= np.linspace(1, 0, fade, dtype=np.float32)
            if self._cutting:
                self._drop()
            elif not self._line:
                self._silent.set()
        np.clip(self.gain * out, -1.0, 1.0, out=out)
        return at

    def drop(self) -> None:
        """Drop everything at once, without a fade: nobody asks for samples any more."""
        with self._lock:
            self._drop()

    def _drop(self) -> None:
        while self._line:
            self._line.popleft().end()
        self._cutting = False
        self._silent.set()

    def _taken(self, out: npt.NDArray[np.float32], frames: int, now: float, leaves: float) -> int:
        at = 0
        while at < frames and self._line:
            current = self._line[0]
            if current.started_at is None:
                current.started_at = now
                current.heard_at = leaves + at / self.rate
            piece = current.take(frames - at)
            out[at : at + len(piece)] = piece
            at += len(piece)
            if current.completed:
                self._line.popleft().end()
        return at
