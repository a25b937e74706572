"""One stream for both directions: one card, one clock, and what is played known beside what is captured.

The stream's callback runs on the sound system's own thread: it only copies, the captured block and the
block it handed over at the same moment, into a bounded queue.
"""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from assistant.duplex.canceller import RATE
from assistant.duplex.cancelling import Both
from assistant.duplex.cards import devices
from assistant.errors import MissingPart
from assistant.hearing.microphone import BLOCK_S, MOST_BEHIND_S, QUEUE, library
from assistant.speaking.line import Line
from assistant.speaking.output import MOST_AHEAD_S

LATENCY_S = 0.1
"""Asked of the card, both ways. With half of it a busy computer (load 11 on two cores) lost the step once a
second, and each time the canceller had to find it again; with this never in ten seconds. The filter has room
for it."""
SLIPS = ("input_overflow", "input_underflow", "output_overflow", "output_underflow")
"""Flags of the sound library that put the two sides out of step."""


class DuplexStream:
    """The default devices, or the microphone that `name` stands for and its own loudspeaker."""

    def __init__(
        self,
        line: Line,
        name: str = "",
        sounddevice: Any = None,
        late: Callable[[float], None] = lambda _: None,
    ) -> None:
        """Open and start the stream; `MissingPart` when there is no sound library or no device that opens.

        `line` holds what is to be played; `sounddevice` is the sound library, else the real one; `late` is
        told before each block how much later it will be heard than the one captured at the moment.
        """
        self._library = sounddevice if sounddevice is not None else library()
        self._line, self._late = line, late
        self._blocks: queue.Queue[Both] = queue.Queue(QUEUE)
        self._dropped = 0
        self._told = 0
        self.slips = 0
        """How often the sound system lost sound on one side."""
        self._stream = self._opened(name)

    def read(self, timeout_s: float) -> Both | None:
        """Return the next block of both sides, None when `timeout_s` passed without any."""
        try:
            return self._blocks.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def close(self) -> None:
        """Let go of the devices."""
        self._stream.abort(ignore_errors=True)
        self._stream.close(ignore_errors=True)

    def _opened(self, name: str) -> Any:
        tried = []
        for device, rate, channels in self._forms(name):
            self.rate = self._line.rate = rate
            try:
                stream = self._library.Stream(
                    samplerate=rate, channels=channels, dtype="int16", device=device,
                    blocksize=round(rate * BLOCK_S), latency=LATENCY_S, callback=self._exchange,
                )  # fmt: skip
                self._delay_s = float(stream.latency[1])
                stream.start()
            except (self._library.PortAudioError, ValueError) as trouble:
                tried.append(f"{rate} Hz, {channels[0]} and {channels[1]} channels: {trouble}")
            else:
                return stream
        why = "; ".join(tried)
        raise MissingPart(
            f"microphone and loudspeaker cannot be opened together ({why}); close what holds them"
        )

    def _forms(self, name: str) -> Iterator[tuple[tuple[Any, Any], int, tuple[int, int]]]:
        """Yield devices, rate and channels to try: our rate, then the device's own; one channel, then all."""
        try:
            device = devices(self._library, name)
            ears = self._library.query_devices(device[0], "input")
            mouths = self._library.query_devices(device[1], "output")
        except (self._library.PortAudioError, ValueError) as trouble:
            raise MissingPart(f"no microphone or no loudspeaker ({trouble}); plug one in") from trouble
        most = (max(int(ears["max_input_channels"]), 1), max(int(mouths["max_output_channels"]), 1))
        for channels in dict.fromkeys(((1, 1), (1, min(2, most[1])), (most[0], min(2, most[1])))):
            for rate in dict.fromkeys((RATE, int(ears["default_samplerate"]))):
                yield device, rate, channels

    def _exchange(self, indata: Any, outdata: Any, frames: int, times: Any, status: Any) -> None:
        """Hand over the next sound and copy both sides; runs on the sound system's thread."""
        now = time.monotonic()
        ahead = times.outputBufferDacTime - times.currentTime
        leaves = now + (ahead if 0 < ahead < MOST_AHEAD_S else self._delay_s)
        behind = times.currentTime - times.inputBufferAdcTime
        at = now - (behind if 0 < behind < MOST_BEHIND_S else frames / self.rate)
        self._late(leaves - at)
        sound = np.empty(frames, dtype=np.float32)
        self._line.fill(sound, now, leaves)
        played = np.rint(sound * 32_767).astype(np.int16)
        outdata[:] = played[:, None]
        slipped = any(getattr(status, flag) for flag in SLIPS)
        self.slips += slipped
        lost = self._dropped - self._told + bool(status.input_overflow)
        try:
            self._blocks.put_nowait(Both(indata[:, 0].copy(), played, at, lost, slipped))
        except queue.Full:
            self._dropped += frames
        else:
            self._told = self._dropped
