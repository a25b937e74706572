"""The loudspeaker: one stream, opened once and kept open, so that a reply starts without delay."""

from __future__ import annotations

import sys
import time
from typing import Any

import numpy as np
import numpy.typing as npt

from assistant.errors import MissingPart
from assistant.speaking.line import Line
from assistant.speaking.probe import broken

RATES = (48_000, 44_100, 22_050, 16_000)
"""Rates tried after the device's own one."""
MOST_AHEAD_S = 2.0
"""A card that claims to be further ahead than this has no clock of its own."""
STALE_S = 1.0
"""A stream whose callback has not run for so long has lost its device (unplugging raises no error)."""


class Loudspeaker(Line):
    """The default (or named) output device with its one open stream."""

    def __init__(self, device: str | int | None = None, gain: float = 1.0) -> None:
        """Open the stream; `MissingPart` when there is no sound library or no device that opens."""
        super().__init__(gain)
        self.underflows = 0
        self._called_at = time.monotonic()
        self._device = device
        self._delay_s = 0.0
        self._stream, self.rate = self._opened()

    @property
    def alive(self) -> bool:
        """Tell whether the sound card still asks for samples."""
        return bool(self._stream.active) and time.monotonic() - self._called_at < STALE_S

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
        self.drop()
        self._stream.abort(ignore_errors=True)
        self._stream.close(ignore_errors=True)

    def _fill(self, out: npt.NDArray[np.float32], frames: int, times: Any, status: Any) -> None:
        """Give the sound card its next `frames` samples; runs on its thread."""
        self._called_at = time.monotonic()
        self.underflows += bool(status.output_underflow)
        # some sound systems tell no time: then the stream's own delay is the best that is known
        ahead = times.outputBufferDacTime - times.currentTime
        leaves = self._called_at + (ahead if 0 < ahead < MOST_AHEAD_S else self._delay_s)
        self.fill(out[:, 0], self._called_at, leaves)


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
