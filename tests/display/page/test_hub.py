"""The stream: whole pictures, none twice, beats in silence; and touches that are taken once."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator

from assistant.display.page.hub import MOST_WATCHERS, Hub
from assistant.display.page.touches import (
    BOUNCE_S,
    MOVED_ON,
    SETTLE_S,
    TAKEN,
    TOO_SOON,
    Touch,
    Touches,
    touch_from,
)


def parts(frame: bytes) -> dict[str, str]:
    """The fields of one server-sent event (WHATWG HTML, 9.2.6); a comment under its own name."""
    found = {}
    for line in frame.decode().strip().split("\n"):
        name, _, value = line.partition(": ")
        found[name or "comment"] = value
    return found


async def following(stream: AsyncIterator[bytes], count: int) -> list[dict[str, str]]:
    """The next frames of a stream."""
    return [parts(await asyncio.wait_for(anext(stream), 5)) for _ in range(count)]


def test_a_watcher_gets_the_newest_picture_first_then_each_newer_one() -> None:
    """Whole, numbered, with the clock of the server."""

    async def watched() -> None:
        hub = Hub("e1", lambda: 77)
        hub.begin()
        hub.show({"step": 1})
        hub.show({"step": 2})
        stream = hub.frames('{"token":"t"}')
        hello, first = await following(stream, 2)
        hub.show({"step": 3})
        [second] = await following(stream, 1)

        assert hello == {"retry": "1000", "event": "hello", "data": '{"token":"t"}'}
        assert json.loads(first["data"]) == {"up_ms": 77, "picture": {"step": 2}}
        assert (first["id"], second["id"]) == ("e1-2", "e1-3")
        await stream.aclose()  # type: ignore[attr-defined]
        assert hub.watchers == 0

    asyncio.run(watched())


def test_a_slow_watcher_misses_pictures_but_never_the_newest() -> None:
    """Ten in a row come as one."""

    async def watched() -> None:
        hub = Hub("e", lambda: 0)
        stream = hub.frames("{}")
        await following(stream, 2)
        for step in range(10):
            hub.show({"step": step})
        [frame] = await following(stream, 1)

        assert json.loads(frame["data"])["picture"] == {"step": 9}

    asyncio.run(watched())


def test_the_same_picture_is_not_sent_twice() -> None:
    """What looks the same is the same: the number stands still."""

    async def watched() -> None:
        hub = Hub("e", lambda: 0)
        hub.show({"step": 1})
        hub.show({"step": 1})
        _, frame = await following(hub.frames("{}"), 2)

        assert frame["id"] == "e-1"

    asyncio.run(watched())


def test_silence_is_filled_with_a_comment_and_a_beat() -> None:
    """A comment for whatever lies between, an event for the page, which cannot see comments."""

    async def watched() -> None:
        stream = Hub("e", lambda: 5, beat_s=0).frames("{}")
        _, _, beat = await following(stream, 3)

        assert beat == {"comment": "still here", "event": "beat", "data": '{"up_ms":5}'}

    asyncio.run(watched())


def test_sound_goes_out_beside_the_picture() -> None:
    """Whole decibels."""

    async def watched() -> None:
        hub = Hub("e", lambda: 0)
        hub.begin()
        stream = hub.frames("{}")
        await following(stream, 2)
        hub.give_sound(-21.6, -49.9)
        [frame] = await following(stream, 1)

        assert json.loads(frame["data"]) == {"level": -22, "noise": -50}

    asyncio.run(watched())


def test_a_picture_given_from_another_thread_is_made_on_the_servers() -> None:
    """The job does not wait; before the server runs and after it ended nothing happens."""

    async def watched() -> None:
        hub = Hub("e", lambda: 0)
        hub.give(lambda: {"step": 0})  # no loop yet: nowhere to show it
        hub.begin()
        stream = hub.frames("{}")
        await following(stream, 2)
        await asyncio.to_thread(hub.give, lambda: {"step": 1})
        [frame] = await following(stream, 1)
        assert json.loads(frame["data"])["picture"] == {"step": 1}
        hub.end()
        assert [one async for one in stream] == []

    asyncio.run(watched())


def test_there_is_an_end_to_who_is_let_in() -> None:
    """So that forgotten tabs cannot eat the workshop computer."""

    async def watched() -> None:
        hub = Hub("e", lambda: 0)
        streams = [hub.frames("{}") for _ in range(MOST_WATCHERS)]
        for one in streams:
            await anext(one)
        assert hub.full
        await streams[0].aclose()  # type: ignore[attr-defined]
        assert not hub.full

    asyncio.run(watched())


def test_a_touch_is_handed_on_as_the_sentence_it_stands_for() -> None:
    """The same name of a touch twice is one touch."""
    said: list[str] = []
    touches = Touches(said.append, lambda: 0.0)

    assert touches.take(Touch("next", "a", "1"), "a") == TAKEN
    assert touches.take(Touch("next", "a", "1"), "b") == TAKEN
    assert said == ["next step"]


def test_a_bounce_or_a_second_hand_moves_a_job_once() -> None:
    """At one place the same word once a second, another once the job could answer.

    "Say again" changes nothing and may come as often as wanted.
    """
    said: list[str] = []
    clock = [0.0]
    touches = Touches(said.append, lambda: clock[0])

    assert touches.take(Touch("next", "a", "1"), "a") == TAKEN
    assert touches.take(Touch("next", "a", "2"), "a") == TOO_SOON
    assert touches.take(Touch("no", "a", "3"), "a") == TOO_SOON
    assert touches.take(Touch("say-again", "a", "4"), "a") == TAKEN
    assert touches.take(Touch("next", "b", "5"), "b") == TAKEN
    clock[0] = SETTLE_S
    assert touches.take(Touch("next", "b", "6"), "b") == TOO_SOON
    assert touches.take(Touch("back", "b", "7"), "b") == TAKEN
    clock[0] += BOUNCE_S
    assert touches.take(Touch("back", "b", "8"), "b") == TAKEN
    assert said == ["next step", "say again", "next step", "step back", "step back"]


def test_a_touch_for_another_place_is_not_taken() -> None:
    """The job moved on between the look and the touch; or there is no job."""
    said: list[str] = []
    touches = Touches(said.append, lambda: 0.0)

    assert touches.take(Touch("yes", "a", "1"), "b") == MOVED_ON
    assert touches.take(Touch("yes", "", "2"), "") == MOVED_ON
    assert said == []


def test_only_a_whole_touch_is_one() -> None:
    """Nothing missing, nothing more, texts alone."""
    whole = {"word": "yes", "place": "a", "press": "1"}

    assert touch_from(whole) == Touch("yes", "a", "1")
    for wrong in (None, [], {**whole, "more": ""}, {**whole, "word": "finish"}, {**whole, "press": 1}):
        assert touch_from(wrong) is None
