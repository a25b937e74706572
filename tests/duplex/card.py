"""A fake of the sound library with both directions: its clock is turned by the test."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

FLAGS = ("input_overflow", "input_underflow", "output_overflow", "output_underflow")
DEVICE = {
    "name": "Set: Audio (hw:1,0)", "index": 0, "hostapi": 0, "default_samplerate": 48_000.0,
    "max_input_channels": 1, "max_output_channels": 2,
}  # fmt: skip


class Card:
    """One device, or two."""

    PortAudioError = RuntimeError

    def __init__(
        self,
        rates: tuple[int, ...] = (16_000,),
        least: int = 1,
        names: tuple[str, str] = ("default", "default"),
        outputs: int = 2,
    ) -> None:
        self.rates, self.least, self.names, self.outputs = rates, least, names, outputs
        self.asked: list[tuple[int, tuple[int, int]]] = []

    def query_hostapis(self) -> list[dict[str, Any]]:
        """The one sound system."""
        return [{"name": "ALSA"}]

    def query_devices(self, device: object = None, kind: str = "") -> Any:
        """Answer for the one or the other side, or list the microphone."""
        if not kind:
            return [self.query_devices(device, "input")]
        side = 0 if kind == "input" else 1
        return {**DEVICE, "name": self.names[side], "max_output_channels": self.outputs}

    def Stream(  # noqa: N802
        self, *, samplerate: int, channels: tuple[int, int], callback: Any, device: object, **_: object
    ) -> SimpleNamespace:
        """Open both sides."""
        self.asked.append((samplerate, channels))
        self.device = device
        if samplerate not in self.rates:
            raise RuntimeError("Invalid sample rate")
        if channels[1] < self.least:
            raise RuntimeError("Invalid number of channels")
        self.callback, self.channels = callback, channels
        nothing = lambda *_, **__: None  # noqa: E731
        return SimpleNamespace(start=nothing, abort=nothing, close=nothing, latency=(0.01, 0.02))

    def block(self, captured: np.ndarray, *flags: str) -> np.ndarray:
        """Let the card bring a block and take one; return what it was given."""
        sides = np.repeat(captured[:, None], self.channels[0], axis=1)
        out = np.ones((len(captured), self.channels[1]), dtype=np.int16)
        status = SimpleNamespace(**{flag: flag in flags for flag in FLAGS})
        times = SimpleNamespace(currentTime=5.0, inputBufferAdcTime=4.98, outputBufferDacTime=5.03)
        self.callback(sides, out, len(captured), times, status)
        return out
