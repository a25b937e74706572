"""The loudspeaker: one stream, opened once and kept open, so that a reply starts without delay.

The stream's callback runs on the sound system's own thread: it only copies samples, and it is the one
that knows what has really been handed over, so positions and endings come from it.
"""

from __future__ import annotations

import sys
import threading
import time
from collections import deque
from typing import Any

import numpy as np
import numpy.typing as npt

from assistant.errors import MissingPart
from assistant.speaking.air import Air
from assistant.speaking.probe import broken
from assistant.speaking.sound import Samples, Sound, level_db

RATES = (48_000, 44_100, 22_050, 16_000)
"""Rates tried after the device's own one."""
FADE_S = 0.005
"""A sound that is cut off is faded this long: a hard cut clicks."""
MOST_AHEAD_S = 2.0
"""A card that claims to be further ahead than this has no clock of its own."""
STALE_S = 1.0
"""A stream whose callback has not run for so long has lost its device (unplugging raises no error)."""


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

    def end(self) -> None:
        """Wake whoever waits."""
        self._ended.set()


class Loudspeaker:
    """The default (or named) output device with its one open stream."""

    def __init__(self, device: str | int | None = None, gain: float = 1.0) -> None:
        """Open the stream; `MissingPart` when there is no sound library or no device that opens."""
        self.gain = gain
        self.underflows = 0
        self.air = Air()
        """When what was played left the card."""
        self._lock = threading.Lock()
        self._line: deque[Playing] = deque()
        self._cutting = self._held = self._was_held = False
        self._silent = threading.Event()
        self._called_at = time.monotonic()
        self._device = device
        self._delay_s = 0.0
        self._stream, self.rate = self._opened()

    @property
    def playing(self) -> Playing | None:
        """The sound being played now, if any."""
        with self._lock:
            return self._line[0] if self._line else None

    @property
    def alive(self) -> bool:
        """Tell whether the sound card still asks for samples."""
        return bool(self._stream.active) and time.monotonic() - self._called_at < STALE_S

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

    def reopen(self) -> None:
        """Close the stream and open the device anew (after an unplugged or a busy device)."""
        self._shut()
        self._stream, self.rate = self._opened()

    def close(self) -> None:
        """Stop and let go of the device."""
        self._shut()

    def _opened(self) -> tuple[Any, int]:
        sounddevice = library()
        tried = []
        for rate in self._rates(sounddevice):
            try:
                stream = sounddevice.OutputStream(
                    samplerate=rate, channels=1, dtype="float32", latency="low",
                    device=self._device, callback=self._fill,
                )  # fmt: skip
            except (sounddevice.PortAudioError, ValueError) as trouble:
                tried.append(f"{rate} Hz: {trouble}")
                continue
            self._delay_s = float(stream.latency)
            try:
                stream.start()
            except sounddevice.PortAudioError as trouble:
                stream.close(ignore_errors=True)
                tried.append(f"{rate} Hz: {trouble}")
            else:
                self._called_at = time.monotonic()
                return stream, rate
        raise MissingPart(
            f"the loudspeaker cannot be opened ({tried[-1]}); plug one in, or close what holds it"
        )

    def _rates(self, sounddevice: Any) -> list[int]:
        try:
            own = int(sounddevice.query_devices(self._device, "output")["default_samplerate"])
        except (sounddevice.PortAudioError, ValueError) as trouble:
            raise MissingPart(f"no loudspeaker ({trouble}); plug in a headset or a loudspeaker") from trouble
        return [own, *(rate for rate in RATES if rate != own)]

    def _shut(self) -> None:
        with self._lock:
            self._drop()
        self._stream.abort(ignore_errors=True)
        self._stream.close(ignore_errors=True)

    def _drop(self) -> None:
        while self._line:
            self._line.popleft().end()
        self._cutting = False
        self._silent.set()

    def _fill(self, out: npt.NDArray[np.float32], frames: int, times: Any, status: Any) -> None:
        """Give the sound card its next `frames` samples; runs on its thread."""
        self._called_at = time.monotonic()
        self.underflows += bool(status.output_underflow)
        out.fill(0)
        # some sound systems tell no time: then the stream's own delay is the best that is known
        ahead = times.outputBufferDacTime - times.currentTime
        leaves = self._called_at + (ahead if 0 < ahead < MOST_AHEAD_S else self._delay_s)
        fade = min(frames, max(1, round(FADE_S * self.rate)))
        with self._lock:
            falls, was_held, self._was_held = self._cutting or self._held, self._was_held, self._held
            at = 0 if falls and was_held else self._taken(out, fade if falls else frames, leaves)
            if was_held and not falls:
                out[:fade, 0] *= np.linspace(0, 1, fade, dtype=np.float32)
            if at:
                self.air.put(leaves, at / self.rate, level_db(self.gain * out[:at, 0]))
            if falls:
                out[:fade, 0] *= np.linspace(1, 0, fade, dtype=np.float32)
            if self._cutting:
                self._drop()
            elif not self._line:
                self._silent.set()
        np.clip(self.gain * out, -1.0, 1.0, out=out)

    def _taken(self, out: npt.NDArray[np.float32], frames: int, leaves: float) -> int:
        at = 0
        while at < frames and self._line:
            current = self._line[0]
            if current.started_at is None:
                current.started_at = self._called_at
                current.heard_at = leaves + at / self.rate
            piece = current.take(frames - at)
            out[at : at + len(piece), 0] = piece
            at += len(piece)
            if current.completed:
                self._line.popleft().end()
        return at


def library() -> Any:
    """Return the sound library; `MissingPart` names the system package it needs when it does not load."""
    if "sounddevice" not in sys.modules and (why := broken()):
        raise MissingPart(why)
    try:
        import sounddevice
    except (ImportError, OSError) as trouble:
        raise MissingPart(
            f"no sound library ({trouble}); on Debian and its kin put it in with: apt install libportaudio2"
        ) from trouble
    return sounddevice
