"""The messages on the pipe: every one comes back as it was sent; anything else is refused."""

from __future__ import annotations

import io
import struct
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.speaking import frames
from assistant.speaking.sound import Sound

SOUNDS = st.builds(Sound, st.binary(max_size=400), st.sampled_from([8_000, 16_000, 22_050, 48_000]))
MESSAGES = {
    kind: st.builds(kind, sound=SOUNDS) if kind is frames.Spoken else st.builds(kind)
    for kind in get_args(frames.Message)
}


@pytest.mark.parametrize("kind", MESSAGES, ids=lambda kind: kind.__name__)
def test_every_message_comes_back(kind: type) -> None:
    """Whatever its fields hold."""

    @given(MESSAGES[kind])
    def comes_back(message: frames.Message) -> None:
        stream = io.BytesIO(frames.encoded(message))

        assert frames.read(stream) == message
        assert frames.read(stream) is None

    comes_back()


@given(st.lists(st.one_of(list(MESSAGES.values())), max_size=5))
def test_messages_follow_one_another(messages: list[frames.Message]) -> None:
    """A stream of frames is read one by one, in order."""
    stream = io.BytesIO(b"".join(frames.encoded(message) for message in messages))

    assert [frames.read(stream) for _ in messages] == messages


@given(st.integers(min_value=0))
def test_a_frame_that_breaks_off_is_the_end(cut: int) -> None:
    """A process killed in the middle of an answer has given none."""
    frame = frames.encoded(frames.Spoken(7, Sound(b"\1\2" * 50, 22_050)))

    assert frames.read(io.BytesIO(frame[: cut % len(frame)])) is None


@pytest.mark.parametrize(
    "header", [b"", b"[]", b"{}", b'{"message": "Sing"}', b'{"message": "Ready", "tune": 1}', b"\xff"]
)
def test_what_is_no_message_is_refused(header: bytes) -> None:
    """With an error that the reader knows, not with a stray one."""
    with pytest.raises(WrongInput):
        frames.read(io.BytesIO(frames.LENGTHS.pack(len(header), 0) + header))


def test_a_frame_of_impossible_length_is_refused() -> None:
    """Text printed into the pipe by mistake must not be waited for as gigabytes."""
    with pytest.raises(WrongInput):
        frames.read(io.BytesIO(struct.pack(">II", 0x41756469, 0x6F207361) + b"ved"))
