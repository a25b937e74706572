"""The microphone: one input stream, its sound as 16 kHz mono int16 whatever the device's own form.

The stream's callback runs on the sound system's own thread: it only copies the sound into a bounded
queue and counts what it had to drop. Everything else happens in `read`.
"""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator, Mapping
from itertools import product
from typing import Any

import numpy as np
import soxr

from assistant.errors import MissingPart
from assistant.hearing.blocks import Block
from assistant.hearing.depth import latencies
from assistant.hearing.devices import find
from assistant.hearing.sound import RATE

QUEUE = 128
"""Blocks that may wait. More would be old sound: it is dropped, counted, and asked again."""
BLOCK_S = 0.010
"""Short, so that a reply is cut soon after somebody speaks up."""
MOST_BEHIND_S = 2.0
"""A card that claims to have captured a block longer ago than this has no clock of its own."""


class Microphone:
    """The default input device, or the one that `name` stands for (`devices.find`)."""

    def __init__(self, name: str = "", sounddevice: Any = None) -> None:
        """Open and start the stream; `MissingPart` when there is no sound library or no device that opens.

        `sounddevice` is the sound library; the real one where none is given.
        """
        self._library = sounddevice if sounddevice is not None else library()
        self._blocks: queue.Queue[tuple[bytes, float]] = queue.Queue(QUEUE)
        self._dropped = 0
        self._told = 0
        self._taken_in, self._given_out = 0, 0
        self.overflows = 0
        """How often the sound system itself had to drop sound."""
        self._stream = self._opened(name)

    def read(self, timeout_s: float) -> Block | None:
        """Return the next stretch of sound, None when `timeout_s` passed without any."""
        try:
            raw, at = self._blocks.get(timeout=timeout_s)
        except queue.Empty:
            return None
        lost = self._dropped - self._told
        self._told += lost
        first = np.frombuffer(raw, dtype="<i2").reshape(-1, self.channels)[:, 0]
        if self._resampler is None:
            return Block(first.astype("<i2").tobytes(), lost, at)
        pcm = self._resampler.resample_chunk(np.ascontiguousarray(first))
        self._taken_in += len(first)
        self._given_out += len(pcm)
        # what the resampler still holds back was captured last: what it gave is older by as much
        held_s = self._taken_in / self.rate - self._given_out / RATE
        began = at + len(first) / self.rate - held_s - len(pcm) / RATE
        return Block(pcm.astype("<i2").tobytes(), lost, began)

    def close(self) -> None:
        """Let go of the device."""
        self._stream.abort(ignore_errors=True)
        self._stream.close(ignore_errors=True)

    def _opened(self, name: str) -> Any:
        try:
            device = find(name, self._library)
            form = self._library.query_devices(device, "input")
        except (self._library.PortAudioError, ValueError) as trouble:
            raise MissingPart(f"no microphone ({trouble}); plug one in") from trouble
        tried = []
        for latency, (rate, channels) in product(latencies(self._library), _forms(form)):
            self.rate, self.channels = rate, channels
            try:
                stream = self._library.RawInputStream(
                    samplerate=rate, channels=channels, dtype="int16", device=device,
                    blocksize=round(rate * BLOCK_S), latency=latency, callback=self._take,
                )  # fmt: skip
                stream.start()
            except (self._library.PortAudioError, ValueError) as trouble:
                tried.append(f"{rate} Hz, {channels} channel: {trouble}")
            else:
                self._resampler = None if rate == RATE else _resampler(rate)
                return stream
        raise MissingPart(f"the microphone cannot be opened ({'; '.join(tried)}); close what holds it")

    def _take(self, indata: Any, frames: int, times: Any, status: Any) -> None:
        """Copy the sound; runs on the sound system's thread, so it waits for nothing."""
        behind = times.currentTime - times.inputBufferAdcTime
        at = time.monotonic() - (behind if 0 < behind < MOST_BEHIND_S else frames / self.rate)
        if status.input_overflow:
            self.overflows += 1
            self._dropped += 1
        try:
            self._blocks.put_nowait((bytes(indata), at))
        except queue.Full:
            self._dropped += frames


def _forms(device: Mapping[str, Any]) -> Iterator[tuple[int, int]]:
    """Yield the rates and channels to try: our rate, then the device's own; one channel, then all it has."""
    own, most = int(device["default_samplerate"]), int(device["max_input_channels"])
    for channels in dict.fromkeys((1, max(most, 1))):
        for rate in dict.fromkeys((RATE, own)):
            yield rate, channels


def _resampler(rate: int) -> soxr.ResampleStream:
    """Return what turns sound of `rate` into ours, 35 ms late at the usual rates.

    Doubling a rate takes longer: 110 ms at the best quality, 60 ms at the lowest, and a narrow band
    holds nothing that the better one would keep.
    """
    return soxr.ResampleStream(rate, RATE, 1, dtype="int16", quality="HQ" if rate > RATE else "LQ")


def library() -> Any:
    """Return the sound library; `MissingPart` names the system package it needs when it does not load."""
    try:
        import sounddevice
    except (ImportError, OSError) as trouble:
        raise MissingPart(
            f"no sound library ({trouble}); on Debian and its kin put it in with: apt install libportaudio2"
        ) from trouble
    return sounddevice
