"""A fake of the sound library: one device of 48 kHz whose clock the test turns."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

BLOCK = 480
GOOD = SimpleNamespace(output_underflow=False)
NO_CLOCK = SimpleNamespace(currentTime=0.0, outputBufferDacTime=0.0)


class Card:
    """What the loudspeaker uses of the library, with the rates its device takes."""

    PortAudioError = RuntimeError

    def __init__(self, rates: tuple[int, ...] = (48_000,), devices: int = 1) -> None:
        self.rates, self.devices = rates, devices

    def query_devices(self, device: object, kind: str) -> dict[str, float]:
        if not self.devices:
            raise RuntimeError("Error querying device -1")
        return {"default_samplerate": 48_000.0}

    def OutputStream(self, *, samplerate: int, callback: Any, **_: object) -> SimpleNamespace:  # noqa: N802
        if samplerate not in self.rates:
            raise RuntimeError("Invalid sample rate")
        self.callback = callback
        nothing = lambda *_, **__: None  # noqa: E731
        return SimpleNamespace(start=nothing, abort=nothing, close=nothing, active=True, latency=0.01)

    def block(self, times: SimpleNamespace = NO_CLOCK) -> np.ndarray:
        """Let the card ask for 10 ms."""
        out = np.ones((BLOCK, 1), dtype=np.float32)
        self.callback(out, BLOCK, times, GOOD)
        return out[:, 0]
