"""The messages between the assistant and its voice process, and how they are framed on a pipe.

A frame is two 32-bit big-endian lengths, then a JSON header and a binary payload. Each request carries
a number, each answer that of its request: an answer that comes too late is known by its number.
"""

from __future__ import annotations

import json
import struct
from dataclasses import asdict, dataclass
from typing import IO

from assistant.errors import WrongInput
from assistant.speaking.sound import Sound

LENGTHS = struct.Struct(">II")
LOWEST_RATE, HIGHEST_RATE = 4_000, 192_000
MAX_HEADER, MAX_PAYLOAD = 1 << 16, 1 << 26
"""Longest header and payload in bytes; anything longer is no frame of ours."""


USUAL = "gmw/en-gb-x-rp"
"""The voice that speaks where none is named. Of eight English voices of the packaged library it was
understood best by a recogniser, in quiet and over an idling engine at 15 dB."""
NATURAL = "natural"
"""Names the nicer voice, which comes as an extra part."""


@dataclass(frozen=True, slots=True)
class Ready:
    """From the voice process: the engine is loaded; `engine` names it."""

    engine: str


@dataclass(frozen=True, slots=True)
class Manner:
    """How the voice speaks: words per minute, pitch 0..99, whose voice: `USUAL`, `NATURAL` or a name.

    As it comes: calm, a little slow, low.
    """

    rate: int = 150
    pitch: int = 40
    voice: str = USUAL


@dataclass(frozen=True, slots=True)
class Speak:
    """To the voice process: make sound of `text`."""

    number: int
    text: str
    manner: Manner = Manner()


@dataclass(frozen=True, slots=True)
class Spoken:
    """From the voice process: the sound asked for under `number`."""

    number: int
    sound: Sound


@dataclass(frozen=True, slots=True)
class Failed:
    """From the voice process: what was asked for under `number` (0: starting) did not succeed."""

    number: int
    why: str


Message = Ready | Speak | Spoken | Failed


def encoded(message: Message) -> bytes:
    """Return the frame of a message."""
    payload = b""
    match message:
        case Spoken(number, sound):
            fields: dict[str, object] = {"number": number, "rate": sound.rate}
            payload = sound.pcm
        case _:
            fields = asdict(message)
    header = json.dumps({"message": type(message).__name__, **fields}).encode()
    return LENGTHS.pack(len(header), len(payload)) + header + payload


def decoded(header: bytes, payload: bytes) -> Message:
    """Return the message of a frame's two parts; raises `WrongInput` for anything else."""
    try:
        fields = json.loads(header)
        match fields.pop("message"):
            case "Ready":
                return Ready(**fields)
            case "Speak":
                return Speak(fields["number"], fields["text"], Manner(**fields["manner"]))
            case "Spoken":
                rate = fields["rate"]
                if type(rate) is not int or not LOWEST_RATE <= rate <= HIGHEST_RATE:
                    raise WrongInput(f"a frame whose sound cannot be played: rate {rate!r}")
                return Spoken(fields["number"], Sound(payload, rate))
            case "Failed":
                return Failed(**fields)
            case other:
                raise WrongInput(f"a frame with the unknown message {other!r}")
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as trouble:
        raise WrongInput(f"a frame that cannot be read: {trouble}") from trouble


def write(stream: IO[bytes], message: Message) -> None:
    """Write one frame and flush it."""
    stream.write(encoded(message))
    stream.flush()


def read(stream: IO[bytes]) -> Message | None:
    """Return the next message, or None when the stream has ended (also in the middle of a frame)."""
    lengths = stream.read(LENGTHS.size)
    if len(lengths) < LENGTHS.size:
        return None
    header_size, payload_size = LENGTHS.unpack(lengths)
    if header_size > MAX_HEADER or payload_size > MAX_PAYLOAD:
        raise WrongInput("a frame longer than any of ours")
    header, payload = stream.read(header_size), stream.read(payload_size)
    if len(header) < header_size or len(payload) < payload_size:
        return None
    return decoded(header, payload)
