"""The steady microphone: lost, looked for, found again; and its real process."""

from __future__ import annotations

import sys
from collections.abc import Callable

import pytest

from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.capture import AGAIN_S, LOOK_S, OPENING_S, STALE_S, MicrophoneProcess, SteadyMicrophone

SOUND = Block(b"\0\0" * 512)


class Clock:
    """Seconds that pass when told."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


class Script:
    """A source that gives what is written down; waiting makes time pass."""

    def __init__(self, clock: Clock, messages: list[Message | None]) -> None:
        self.clock, self.messages, self.closed = clock, messages, False

    def next(self, timeout_s: float) -> Message | None:
        """Return the next line of the script."""
        message = self.messages.pop(0) if self.messages else None
        if message is None:
            self.clock.now += timeout_s
        return message

    def close(self) -> None:
        """Remember it."""
        self.closed = True


def steady(clock: Clock, *scripts: list[Message | None]) -> tuple[SteadyMicrophone, list[Script]]:
    """A microphone whose attempts go as written."""
    opened: list[Script] = []

    def opening() -> Script:
        opened.append(Script(clock, scripts[min(len(opened), len(scripts) - 1)]))
        return opened[-1]

    return SteadyMicrophone(opening, clock), opened


def read_until(ear: SteadyMicrophone, clock: Clock, true: Callable[[], bool], most_s: float) -> float:
    """Read until something is true; return how long that took."""
    begun = clock.now
    while not true():
        before = clock.now
        ear.read(0.1)
        clock.now = max(clock.now, before + 0.01)
        assert clock.now - begun < most_s
    return clock.now - begun


def test_a_microphone_that_falls_silent_is_lost_and_opened_again() -> None:
    """No error comes from anywhere: that no block comes is the only sign."""
    clock = Clock()
    ear, opened = steady(clock, [SOUND], [SOUND] * 1000)
    assert ear.read(0.1) == SOUND
    assert ear.listening

    assert read_until(ear, clock, lambda: not ear.listening, 5) == pytest.approx(STALE_S, abs=0.2)
    assert opened[0].closed
    assert "no sound" in ear.trouble
    assert read_until(ear, clock, lambda: ear.listening, 10) < 0.2  # at once: it was there just now
    assert ear.losses == 1
    assert ear.trouble == ""


def test_a_missing_microphone_is_looked_for_until_it_appears() -> None:
    """Without a rush, and without counting as a loss."""
    clock = Clock()
    gone: list[Message | None] = [Trouble("no microphone; plug one in")]
    ear, opened = steady(clock, gone, list(gone), list(gone), [SOUND])

    took = read_until(ear, clock, lambda: ear.listening, 60)

    assert len(opened) == 4
    assert took == pytest.approx(3 * AGAIN_S, abs=0.5)
    assert ear.losses == 0


def test_a_device_that_hangs_while_opening_is_given_up() -> None:
    """After the time any device needs."""
    clock = Clock()
    ear, opened = steady(clock, [])

    ear.read(0.1)
    assert read_until(ear, clock, lambda: bool(ear.trouble), 30) == pytest.approx(OPENING_S, abs=0.3)
    assert opened[0].closed
    assert not ear.ever


def test_a_process_that_cannot_be_started_is_told_and_tried_again() -> None:
    """As with too many processes."""

    def opening() -> Script:
        raise OSError("no more processes")

    ear = SteadyMicrophone(opening, Clock())
    assert ear.read(0) is None
    assert "no more processes" in ear.trouble


def at_pace(speed: float, begun: float = 1.0) -> list[Message | None]:
    """Ten minutes of a device that gives `speed` times as much sound as time passes."""
    step = 0.032 / speed
    return [Block(SOUND.pcm, at=begun + number * step) for number in range(round(600 / step))]


def test_a_microphone_that_loses_sound_is_opened_again_and_told_once() -> None:
    """Again and again, but more and more seldom, and whoever speaks meanwhile is asked again."""
    clock = Clock()
    ear, opened = steady(clock, at_pace(0.6))
    told, lost_at, torn = 0, [], 0
    for _ in range(round(300 * 0.6 / 0.032)):
        was, before = ear.listening, len(opened)
        block = ear.read(0.1)
        clock.now += 0.032 / 0.6
        told += was and not ear.listening
        torn += block is not None and block.lost > 0
        lost_at += [clock.now] if len(opened) > before else []

    assert told == ear.losses == 1
    assert ear.listening
    assert 2.0 < lost_at[1] - lost_at[0] < 5.0
    assert 5 <= len(opened) < 12
    assert torn > 500  # of some 5,600 blocks, for some is missing before each
    assert all(one.closed for one in opened[:-1])


def test_a_hole_that_the_sound_system_did_not_report_is_counted() -> None:
    """By the times at which the blocks were captured."""
    clock = Clock()
    ear, _ = steady(clock, [Block(SOUND.pcm, at=7.0), Block(SOUND.pcm, at=7.032), Block(SOUND.pcm, at=7.4)])

    assert [block.lost > 0 for _ in range(3) if (block := ear.read(0.1)) is not None] == [False, False, True]


GONE = Trouble("no microphone is called so; plug it in")


def two(
    clock: Clock, chosen: list[list[Message | None]], other: list[Message | None]
) -> tuple[SteadyMicrophone, list[str]]:
    """A chosen microphone whose attempts go as written, and another one; and which of them were opened."""
    opened: list[str] = []

    def opening() -> Script:
        opened.append("chosen")
        return Script(clock, list(chosen.pop(0) if len(chosen) > 1 else chosen[0]))

    def standing_in() -> Script:
        opened.append("other")
        return Script(clock, list(other))

    return SteadyMicrophone(opening, clock, standing_in), opened


def test_another_microphone_stands_in_until_the_chosen_one_is_back() -> None:
    """The chosen one is pulled out; it is tried, then the other listens; back, it is gone back to."""
    clock, mine, its = Clock(), Block(b"\1\0" * 512), Block(b"\2\0" * 512)
    ear, opened = two(clock, [[mine, GONE], [GONE], [None, GONE], [None, mine, mine]], [its] * 9_000)
    assert ear.read(0.1) == mine
    begun = clock.now
    assert read_until(ear, clock, lambda: ear.instead and ear.listening, 5) < 0.2
    assert ear.read(0.1) == its
    assert "called so" in ear.trouble

    read_until(ear, clock, lambda: not ear.instead, 60)

    assert clock.now - begun == pytest.approx(2 * LOOK_S, abs=1.0)
    assert ear.listening
    assert ear.read(0.1) == mine
    assert ear.trouble == ""
    assert opened == ["chosen", "chosen", "other", "chosen", "chosen"]
    assert ear.losses == 1


def test_where_neither_is_there_both_are_looked_for() -> None:
    """Each in turn, with a pause; then the first that comes listens."""
    clock = Clock()
    ear, opened = two(clock, [[GONE]], [GONE])
    read_until(ear, clock, lambda: len(opened) >= 6, 60)

    assert opened == ["chosen", "other"] * 3
    assert clock.now - 100 == pytest.approx(2 * AGAIN_S, abs=0.5)
    assert not ear.ever


def test_what_a_chosen_microphone_says_first_after_its_return_is_not_half_of_a_sentence() -> None:
    """The sound before it was another device's."""
    clock, mine = Clock(), Block(b"\1\0" * 512)
    ear, _ = two(clock, [[GONE], [mine]], [SOUND] * 9_000)
    found = None
    while found is None or found.pcm != mine.pcm:
        clock.now += 0.01
        found = ear.read(0.1)

    assert found.lost > 0


WORDS = "from assistant.hearing import blocks; import sys; o = sys.stdout.buffer; "


def test_a_real_process_is_read_to_its_end() -> None:
    """Its sound, then why there is no more."""
    sends = WORDS + "[blocks.write(o, blocks.Block(bytes([n]) * 4, n)) for n in range(200)]"
    process = MicrophoneProcess("", (sys.executable, "-c", sends))

    got = [process.next(10) for _ in range(201)]

    assert got[:200] == [Block(bytes([n]) * 4, n) for n in range(200)]
    assert isinstance(got[200], Trouble)
    process.close()


def test_a_sound_library_that_ends_its_process_is_told_as_such() -> None:
    """It does so where the sound system's own files are missing."""
    process = MicrophoneProcess("", (sys.executable, "-c", "import os; os.abort()"))

    message = process.next(10)

    assert isinstance(message, Trouble)
    assert message.why.startswith("the sound library breaks off; assistant check")
    process.close()


def test_closing_does_not_wait_for_a_process_that_hangs() -> None:
    """It is killed."""
    process = MicrophoneProcess("", (sys.executable, "-c", "import time; time.sleep(1000)"))

    process.close()

    assert process._process.returncode is not None


@pytest.mark.full
def test_the_real_microphone_process_says_what_is_wrong() -> None:
    """No device is called so, or there is no sound at all on this computer: either way one sentence."""
    process = MicrophoneProcess("a device that nobody owns")

    message = process.next(20)

    assert isinstance(message, Trouble)
    assert message.why.endswith(("plug one in", "choose another one", "libportaudio2"))
    process.close()
