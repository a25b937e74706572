"""What the microphone process tells the ear, as framed messages over a pipe."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import IO

HEADER = struct.Struct("<cIId")
"""Kind, bytes that follow, samples lost, when the first sample was captured."""
LONGEST = 1 << 20
"""No message is longer; a length beyond it means that the two ends are out of step."""


@dataclass(frozen=True, slots=True)
class Block:
    """A stretch of sound, 16 kHz mono int16 little endian, and how many samples were lost before it."""

    pcm: bytes
    lost: int = 0
    at: float = 0.0
    """When its first sample was captured, in seconds of `time.monotonic`, which all processes share."""
    cancelled: bool = False
    """Our own voice has been taken out of it, so far that somebody else can be understood."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why there is no sound (any more), as one plain sentence."""

    why: str


Message = Block | Trouble


def write(stream: IO[bytes], message: Message) -> None:
    """Write one message and push it out; raises `OSError` when nobody reads."""
    if isinstance(message, Block):
        stream.write(
            HEADER.pack(b"C" if message.cancelled else b"S", len(message.pcm), message.lost, message.at)
            + message.pcm
        )
    else:
        body = message.why.encode("utf-8")
        stream.write(HEADER.pack(b"T", len(body), 0, 0.0) + body)
    stream.flush()


def read(stream: IO[bytes]) -> Message | None:
    """Return the next message; None at the end, and for anything that is no message."""
    framed = read_framed(stream)
    return None if framed is None else decoded(*framed)


def read_framed(stream: IO[bytes]) -> tuple[bytes, int, float, bytes] | None:
    """Return kind, samples lost, time and body of the next message, whatever its kind; None at the end."""
    head = stream.read(HEADER.size)
    if len(head) < HEADER.size:
        return None
    kind, length, lost, at = HEADER.unpack(head)
    body = stream.read(length) if length <= LONGEST else b""
    return None if len(body) < length else (kind, lost, at, body)


def decoded(kind: bytes, lost: int, at: float, body: bytes) -> Message | None:
    """Return the message of these parts; None where it is of no known kind."""
    if kind in (b"S", b"C"):
        return Block(body, lost, at, kind == b"C")
    return Trouble(body.decode("utf-8", "replace")) if kind == b"T" else None
