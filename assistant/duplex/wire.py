"""What the sound process and its starter tell each other, as framed messages over its two pipes.

From the process come the blocks and troubles of any microphone, and beside them what became of the sounds
that were to be played. To it go sounds and what to do with them.
"""

from __future__ import annotations

import json
import struct
from dataclasses import asdict, dataclass
from typing import IO

from assistant.hearing import blocks
from assistant.hearing.blocks import HEADER, Block, Trouble
from assistant.speaking.frames import HIGHEST_RATE, LOWEST_RATE
from assistant.speaking.sound import Sound

_AIRED = struct.Struct("<dd")
_SOUND = struct.Struct("<II")


@dataclass(frozen=True, slots=True)
class Aired:
    """Sound of ours leaves the card from `start` on, in seconds of `time.monotonic`."""

    start: float
    seconds: float
    level_db: float


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the sound with a number has been handed to the card."""

    number: int
    seconds: float
    started_at: float
    heard_at: float
    completed: bool
    over: bool


@dataclass(frozen=True, slots=True)
class Measured:
    """What the canceller took out over the last second of our own voice, and whether that is enough."""

    db: float
    settled: bool


@dataclass(frozen=True, slots=True)
class Play:
    """To the process: put a sound behind what is playing."""

    number: int
    sound: Sound


@dataclass(frozen=True, slots=True)
class Stop:
    """To the process: fall silent and drop what waits."""


@dataclass(frozen=True, slots=True)
class Hold:
    """To the process: pause, or go on."""

    held: bool


@dataclass(frozen=True, slots=True)
class Gain:
    """To the process: play so loud."""

    gain: float


Told = Block | Trouble | Aired | Progress | Measured
Order = Play | Stop | Hold | Gain
_PLAIN: dict[str, type[Stop | Hold | Gain | Progress | Measured]] = {
    one.__name__: one for one in (Stop, Hold, Gain, Progress, Measured)
}
"""What goes as JSON, for there is no sound in it."""


def write(stream: IO[bytes], message: Told | Order) -> None:
    """Write one message and push it out; raises `OSError` when nobody reads."""
    match message:
        case Block() | Trouble():
            blocks.write(stream, message)
            return
        case Aired(start, seconds, level_db):
            kind, at, body = b"A", start, _AIRED.pack(seconds, level_db)
        case Play(number, sound):
            kind, at, body = b"P", 0.0, _SOUND.pack(number, sound.rate) + sound.pcm
        case _:
            fields = {"message": type(message).__name__, **asdict(message)}
            kind, at, body = b"J", 0.0, json.dumps(fields).encode()
    stream.write(HEADER.pack(kind, len(body), 0, at) + body)
    stream.flush()


def read(stream: IO[bytes]) -> Told | Order | None:
    """Return the next message; None at the end, and for anything that is no message."""
    framed = blocks.read_framed(stream)
    if framed is None:
        return None
    kind, lost, at, body = framed
    try:
        if kind == b"A":
            return Aired(at, *_AIRED.unpack(body))
        if kind == b"P":
            number, rate = _SOUND.unpack_from(body)
            pcm = body[_SOUND.size :]
            playable = LOWEST_RATE <= rate <= HIGHEST_RATE and len(pcm) % 2 == 0
            return Play(number, Sound(pcm, rate)) if playable else None
        if kind == b"J":
            fields = json.loads(body)
            return _PLAIN[fields.pop("message")](**fields)
    except (struct.error, ValueError, KeyError, TypeError, AttributeError):
        return None
    return blocks.decoded(kind, lost, at, body)
