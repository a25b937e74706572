"""What the sound process and its starter tell each other."""

from __future__ import annotations

import io

import pytest

from assistant.duplex import wire
from assistant.duplex.wire import Aired, Gain, Hold, Measured, Play, Progress, Stop
from assistant.hearing.blocks import Block, Trouble
from assistant.speaking.sound import Sound

MESSAGES = [
    Block(bytes(range(8)), 3, 12.5, True),
    Block(b"", 0, 1.0),
    Trouble("no device"),
    Aired(1.25, 0.01, -20.5),
    Progress(7, 0.5, 1.0, 1.5, False, False),
    Measured(17.5, True),
    Play(7, Sound(b"\1\2\3\4", 22_050)),
    Stop(),
    Hold(True),
    Gain(0.5),
]


def test_every_message_comes_out_as_it_went_in() -> None:
    """One behind the other, then the end."""
    stream = io.BytesIO()
    for message in MESSAGES:
        wire.write(stream, message)
    stream.seek(0)

    assert [wire.read(stream) for _ in MESSAGES] == MESSAGES
    assert wire.read(stream) is None


@pytest.mark.parametrize("kind", [b"A", b"P", b"J", b"?"])
@pytest.mark.parametrize("body", [b"", b"{}", b"[]", b'{"message": "Stop", "x": 1}', b"\xff\xff"])
def test_what_is_no_message_is_the_end(kind: bytes, body: bytes) -> None:
    """Never an exception."""
    stream = io.BytesIO(wire.HEADER.pack(kind, len(body), 0, 0.0) + body)

    assert wire.read(stream) is None
