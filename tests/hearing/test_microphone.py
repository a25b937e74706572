"""The microphone's stream, driven by hand through its callback, and the messages of its process."""

from __future__ import annotations

import io
import sys
import time
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import MissingPart
from assistant.hearing import blocks, microphone
from assistant.hearing.blocks import Block, Trouble
from assistant.hearing.microphone import QUEUE, Microphone

FINE, OVERFLOW = SimpleNamespace(input_overflow=False), SimpleNamespace(input_overflow=True)


NO_CLOCK = SimpleNamespace(currentTime=0.0, inputBufferAdcTime=0.0)


class Card:
    """A fake of the sound library: one device whose clock the test turns."""

    PortAudioError = RuntimeError

    def __init__(self, rates: tuple[int, ...] = (16_000,), channels: int = 1, least: int = 1) -> None:
        self.rates, self.channels, self.least = rates, channels, least
        self.asked: list[tuple[int, int]] = []

    def query_devices(self, device: int | None = None, kind: str | None = None) -> Any:
        if not self.channels:
            raise RuntimeError("Error querying device -1")
        told = {"default_samplerate": float(self.rates[-1]), "max_input_channels": self.channels}
        return told if kind else [{**told, "name": "built-in", "hostapi": 0, "index": 0}]

    def query_hostapis(self) -> list[dict[str, str]]:
        return [{"name": "ALSA"}]

    def RawInputStream(  # noqa: N802
        self, *, samplerate: int, channels: int, callback: Any, **_: object
    ) -> SimpleNamespace:
        self.asked.append((samplerate, channels))
        if samplerate not in self.rates:
            raise RuntimeError("Invalid sample rate")
        if channels < self.least:
            raise RuntimeError("Invalid number of channels")
        self.callback = callback
        nothing = lambda *_, **__: None  # noqa: E731
        return SimpleNamespace(start=nothing, abort=nothing, close=nothing)

    def sound(
        self, samples: np.ndarray, status: SimpleNamespace = FINE, times: SimpleNamespace = NO_CLOCK
    ) -> None:
        """Let the card deliver samples (one column for each channel)."""
        self.callback(samples.astype("<i2").tobytes(), len(samples), times, status)


def heard(ear: Microphone) -> np.ndarray:
    """Everything that waits."""
    pieces = []
    while (block := ear.read(0)) is not None:
        pieces.append(np.frombuffer(block.pcm, dtype="<i2"))
    return np.concatenate(pieces)


def test_sound_comes_through_unchanged_at_our_rate() -> None:
    """Sample for sample, in order."""
    card = Card()
    ear = Microphone("", card)
    card.sound(np.arange(512))
    card.sound(np.arange(512, 1024))

    assert np.array_equal(heard(ear), np.arange(1024))
    assert ear.read(0) is None


@pytest.mark.parametrize("rate", [8_000, 44_100, 48_000])
def test_another_rate_is_resampled(rate: int) -> None:
    """A tone of 440 Hz keeps its pitch, its level and its length, across the seams of the blocks."""
    card = Card(rates=(rate,))
    ear = Microphone("", card)
    tone = np.round(10_000 * np.sin(2 * np.pi * 440 * np.arange(rate) / rate))
    for at in range(0, rate, rate // 40):
        card.sound(tone[at : at + rate // 40])

    sound = heard(ear)

    assert 16_000 - 1_000 <= len(sound) <= 16_000  # the rest is still in the filter
    middle = sound[4_000 : 4_000 + 8_000].astype(float)
    spectrum = np.abs(np.fft.rfft(middle))
    assert np.argmax(spectrum) * 2 == pytest.approx(440, abs=2)
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(10_000 / np.sqrt(2), rel=0.01)


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100])
def test_a_block_tells_when_it_was_captured(rate: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the sample by the card's own clock, also where a resampler holds some of the sound back."""
    monkeypatch.setattr(microphone.time, "monotonic", lambda: now)
    card = Card(rates=(rate,))
    ear = Microphone("", card)
    click, size = rate // 2, rate // 100
    sound = np.zeros(rate)
    sound[click] = 20_000
    found = []
    for at in range(0, rate, size):
        now = 100.0 + (at + size) / rate + 0.02  # the card gives a block 20 ms after its last sample
        captured = SimpleNamespace(currentTime=7.0, inputBufferAdcTime=7.0 - 0.02 - size / rate)
        card.sound(sound[at : at + size], FINE, captured)
        block = ear.read(0)
        assert block is not None
        samples = np.frombuffer(block.pcm, dtype="<i2").astype(int)
        if len(samples) and np.max(samples) > 5_000:
            found.append(block.at + int(np.argmax(samples)) / 16_000)

    assert found[0] == pytest.approx(100.0 + click / rate, abs=1.5 / min(rate, 16_000))


def test_a_card_without_a_clock_captured_its_block_just_now() -> None:
    """By the block's own length."""
    card = Card()
    ear = Microphone("", card)
    before = time.monotonic()
    card.sound(np.zeros(160))

    block = ear.read(0)
    assert block is not None
    assert before - 0.0101 <= block.at <= time.monotonic() - 0.0099


def test_a_device_that_refuses_one_channel_is_opened_with_all() -> None:
    """The first channel is taken."""
    card = Card(channels=4, least=4)
    ear = Microphone("", card)
    card.sound(np.stack([np.arange(8), *[np.full(8, 99)] * 3], axis=1))

    assert np.array_equal(heard(ear), np.arange(8))


def test_our_rate_and_one_channel_are_asked_for_first() -> None:
    """Then the device's own."""
    card = Card(rates=(44_100,), channels=2)
    Microphone("", card)

    assert card.asked == [(16_000, 1), (44_100, 1)]


def test_what_nobody_fetches_is_dropped_and_counted() -> None:
    """The queue is bounded; the next block that comes through tells how much is missing."""
    card = Card()
    ear = Microphone("", card)
    for _ in range(QUEUE + 3):
        card.sound(np.zeros(512))

    told = [block.lost for _ in range(QUEUE) if (block := ear.read(0)) is not None]

    assert len(told) == QUEUE
    assert sum(told) == 3 * 512


def test_an_overflow_of_the_sound_system_counts_as_a_loss() -> None:
    """How much it dropped is not known; that it did is."""
    card = Card()
    ear = Microphone("", card)
    card.sound(np.zeros(512), OVERFLOW)

    block = ear.read(0)

    assert ear.overflows == 1
    assert block is not None
    assert block.lost


@pytest.mark.parametrize(
    ("card", "name", "says"),
    [
        (Card(channels=0), "", "plug one in"),
        (Card(), "unplugged", "called 'unplugged', only built-in"),
        (Card(rates=(11_025,), least=2), "", "16000 Hz.*11025 Hz"),
    ],
)
def test_what_cannot_be_opened_is_told(card: Card, name: str, says: str) -> None:
    """One sentence with what was tried."""
    with pytest.raises(MissingPart, match=says):
        Microphone(name, card)


def test_without_the_sound_library_the_cure_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """The package to put in."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)

    with pytest.raises(MissingPart, match="libportaudio2"):
        microphone.library()


MESSAGES = st.one_of(
    st.builds(Block, st.binary(max_size=2000), st.integers(0, 2**32 - 1), st.floats(0, 1e9)),
    st.builds(Trouble, st.text(max_size=50)),
)


@given(sent=st.lists(MESSAGES, max_size=5))
def test_messages_come_through_the_pipe_as_they_were(sent: list[blocks.Message]) -> None:
    """In order, and then the end."""
    pipe = io.BytesIO()
    for message in sent:
        blocks.write(pipe, message)
    pipe.seek(0)

    assert [blocks.read(pipe) for _ in sent] == sent
    assert blocks.read(pipe) is None


@given(torn=st.binary(max_size=40))
def test_what_is_no_message_ends_the_pipe(torn: bytes) -> None:
    """Never an error, and never a block longer than what came."""
    message = blocks.read(io.BytesIO(torn))

    assert message is None or torn[:1] in (b"S", b"T")
