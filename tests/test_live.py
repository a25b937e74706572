"""The live ear: what it does with sound, with its own voice, with typed lines, and without a microphone."""

from __future__ import annotations

import contextlib
import queue
import threading
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.commands.ears import Over
from assistant.commands.listener import Gate, Listener
from assistant.commands.live import LiveEar
from assistant.dialogue.reply import Heard
from assistant.errors import MissingPart
from assistant.grammar.judgement import ANYTHING
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.capture import SteadyMicrophone
from assistant.hearing.gate import BEFORE_S, CLOSED_S, ECHO_S, Part, parts
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.job.state import State
from assistant.shelf.places import procedures_folder
from assistant.speaking.air import JOIN_S, Air
from tests.bench import Bench

SPEECH, SILENCE = Block(b"speech.." * 40), Block(b"silence." * 40)
BLOCK_S = 0.01
SAID = Utterance("drained four litres", 0.0, 1.0, 1.2, -12.0, -60.0, meaning=Meaning("drained", "4", "litre"))
TYPED = Heard(Meaning("next"), "next")
WAIT_S = 5.0


class Ear:
    """A fake recogniser: speech opens an utterance, silence decides it."""

    def __init__(self) -> None:
        self.expectation = ANYTHING
        self.hears_speech = False
        self.fed: list[bytes] = []
        self.thread = threading.get_ident()

    def feed(self, pcm: bytes, opens: bool = True) -> list[Utterance]:
        """Take in one block."""
        assert threading.get_ident() == self.thread
        self.fed.append(pcm if opens else b"(" + pcm + b")")
        if pcm == SPEECH.pcm:
            self.hears_speech = opens or self.hears_speech
            return []
        return self.finish()

    def interrupt(self) -> list[Utterance]:
        """Decide: the speech was not over."""
        return [replace(one, decided=one.end) for one in self.finish()]

    def finish(self) -> list[Utterance]:
        """Decide."""
        was, self.hears_speech = self.hears_speech, False
        return [SAID] if was else []


def test_with_a_headset_the_first_sound_of_speech_cuts_the_reply() -> None:
    """Once for each utterance."""
    cuts: list[str] = []
    listener = Listener(Ear(), lambda: cuts.append("cut"))

    for block in (SILENCE, SPEECH, SPEECH, SILENCE, SPEECH):
        listener.hear(block, ANYTHING)

    assert cuts == ["cut", "cut"]


class Watch:
    """A fake of what listens through our own voice: says what it is told to."""

    def __init__(self) -> None:
        self.word: str | None = None
        self.resets = 0

    def feed(self, pcm: bytes, at: float) -> str | None:
        """Return the word."""
        return self.word

    def reset(self) -> None:
        """Count."""
        self.resets += 1


def gated() -> tuple[Listener, Ear, Air, Watch, list[str]]:
    """A listener beside a loudspeaker."""
    ear, air, watch, cuts = Ear(), Air(), Watch(), list[str]()
    return Listener(ear, lambda: cuts.append("cut"), Gate(air, watch)), ear, air, watch, cuts


def at(block: Block, start: float) -> Block:
    """A block captured at a moment."""
    return Block(block.pcm, block.lost, start)


def test_through_a_loudspeaker_nothing_is_heard_while_it_speaks() -> None:
    """What was under way has lost its end; the ear opens again by the sound's own time, not by the clock."""
    listener, ear, air, _, cuts = gated()
    listener.hear(at(SPEECH, 9.0), ANYTHING)
    air.put(10.0, 2.0)

    said = listener.hear(at(SPEECH, 10.5), ANYTHING)
    assert [(one.meaning, one.reason) for one in said] == [(None, "torn")]
    assert listener.hear(at(SPEECH, 11.0), ANYTHING) == []
    assert len(ear.fed) == 1
    listener.hear(at(SPEECH, 12.0 + ECHO_S + 0.01), ANYTHING)
    assert ear.fed[1:] == [SPEECH.pcm]
    assert cuts == []


def test_an_utterance_that_was_over_is_not_torn_by_a_reply() -> None:
    """Silence enough had followed it."""
    listener, ear, air, _, _ = gated()
    ear.interrupt = ear.finish  # type: ignore[method-assign]
    listener.hear(at(SPEECH, 9.0), ANYTHING)
    air.put(10.0, 2.0)

    assert listener.hear(at(SPEECH, 10.5), ANYTHING) == [SAID]


def test_the_tail_of_the_echo_opens_nothing_but_belongs_to_what_follows() -> None:
    """So that the first word of a quick answer is whole."""
    listener, ear, air, _, _ = gated()
    air.put(10.0, 2.0)
    listener.hear(at(SILENCE, 11.9), ANYTHING)

    assert listener.hear(at(SPEECH, 12.0 + CLOSED_S + BLOCK_S), ANYTHING) == []
    assert ear.fed == [b"(" + SPEECH.pcm + b")"]
    assert not ear.hears_speech


def test_an_answer_that_began_in_our_own_voice_is_torn() -> None:
    """Its first words are missing: "four" of "twenty four" is no reading. The next one is whole."""
    listener, _, air, _, _ = gated()
    air.put(10.0, 2.0)
    listener.hear(at(SILENCE, 11.9), ANYTHING)
    listener.hear(at(SPEECH, 13.0), ANYTHING)

    said = listener.hear(at(SILENCE, 13.5), ANYTHING)
    assert [(one.meaning, one.reason) for one in said] == [(None, "torn")]
    listener.hear(at(SPEECH, 14.0), ANYTHING)
    assert listener.hear(at(SILENCE, 14.5), ANYTHING) == [SAID]


@pytest.mark.parametrize(
    ("word", "means"),
    [("stop", []), ("stand by", [Meaning("stand-by")]), ("emergency", [Meaning("emergency")])],
)
def test_a_few_words_silence_the_voice_through_a_loudspeaker(word: str, means: list[Meaning]) -> None:
    """Each stretch of our voice is listened to anew."""
    listener, ear, air, watch, cuts = gated()
    air.put(10.0, 2.0)
    assert listener.hear(at(SPEECH, 10.5), ANYTHING) == []
    watch.word = word

    said = listener.hear(at(SPEECH, 10.6), ANYTHING)

    assert [one.meaning for one in said] == means
    assert cuts == ["cut"]
    assert ear.fed == []
    listener.hear(at(SILENCE, 13.0), ANYTHING)
    air.put(20.0, 1.0)
    listener.hear(at(SPEECH, 20.5), ANYTHING)
    assert watch.resets == 2


Sounds = list[tuple[float, float]]
"""Pauses and lengths, or starts and ends, in seconds."""


@given(
    start=st.floats(0, 3),
    samples=st.integers(0, 400),
    sounds=st.lists(st.tuples(st.floats(0, 2), st.floats(0.001, 0.5)), max_size=4),
)
def test_the_gate_is_right_to_the_sample(start: float, samples: int, sounds: Sounds) -> None:
    """Every sample is kept, in order, and closed, tail or open by its own time."""
    air, end = Air(), 0.0
    ours: Sounds = []
    for pause, length in sounds:
        ours.append((end + pause, end + pause + length))
        air.put(end + pause, length)
        end += pause + length
    pcm = np.arange(samples, dtype="<i2").tobytes()

    found = parts(Block(pcm, 0, start), air.overlapping)

    assert b"".join(piece.pcm for _, piece in found) == pcm
    assert [piece.at for _, piece in found] == pytest.approx([start + at / RATE for at in starts(found)])
    kinds = [kind for kind, piece in found for _ in range(len(piece.pcm) // 2)]
    slack = 2 / RATE
    for number, kind in enumerate(kinds):
        moment = start + number / RATE

        def within(after: float, give: float, moment: float = moment) -> bool:
            return any(a - BEFORE_S - give <= moment <= b + after + give for a, b in joined(ours))

        if kind is Part.OPEN:
            assert not within(ECHO_S, -slack)
        else:
            assert within(CLOSED_S if kind is Part.CLOSED else ECHO_S, slack)
        if within(CLOSED_S, -slack):
            assert kind is Part.CLOSED


def starts(found: list[tuple[Part, Block]]) -> list[int]:
    """The first sample of each piece."""
    lengths = [len(piece.pcm) // 2 for _, piece in found]
    return [sum(lengths[:number]) for number in range(len(lengths))]


def joined(ours: Sounds) -> Sounds:
    """Sounds so near to each other that the card's clock does not tell them apart count as one."""
    found: Sounds = []
    for a, b in ours:
        found[-1:] = [(found[-1][0], b)] if found and a <= found[-1][1] + JOIN_S else [*found[-1:], (a, b)]
    return found


def test_an_utterance_with_a_hole_in_it_is_refused() -> None:
    """A number with a piece missing is another number; what comes after the hole is heard as usual."""
    listener = Listener(Ear(), lambda: None)
    listener.hear(SPEECH, ANYTHING)

    torn = listener.hear(Block(SPEECH.pcm, lost=512), ANYTHING)

    assert [(one.meaning, one.reason) for one in torn] == [(None, "torn")]
    assert listener.hear(SILENCE, ANYTHING) == [SAID]


@cache
def bench() -> Bench:
    """A job."""
    return Bench(sheet=procedures_folder() / "vehicles" / "example.toml")


class Keys:
    """A keyboard that types what it is told."""

    def __init__(self) -> None:
        self.lines: queue.Queue[Heard | Over] = queue.Queue()

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next line."""
        with contextlib.suppress(queue.Empty):
            return self.lines.get(timeout=WAIT_S)
        return None

    def watch(self, state: Callable[[], State]) -> None:
        """Nothing depends on it."""


class Tape:
    """A microphone that plays what is put on it."""

    def __init__(self) -> None:
        self.messages: queue.Queue[Message] = queue.Queue()

    def next(self, timeout_s: float) -> Message | None:
        """Return what comes next."""
        try:
            return self.messages.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def close(self) -> None:
        """Nothing to let go of."""


def live(
    keys: Keys, tape: Tape, listener: Callable[[], Listener] | None = None
) -> tuple[LiveEar, queue.Queue[str]]:
    """An ear over a tape and typed lines, and what it tells the user."""
    told: queue.Queue[str] = queue.Queue()
    make = listener or (lambda: Listener(Ear(), lambda: None))
    ear = LiveEar(
        keys, SteadyMicrophone(lambda: tape), make, lambda one, _: Heard(one.meaning, one.words), told.put
    )
    return ear, told


def test_what_is_said_and_what_is_typed_both_arrive() -> None:
    """In the order in which they came."""
    keys, tape = Keys(), Tape()
    ear, told = live(keys, tape)
    for block in (SILENCE, SPEECH, SILENCE):
        tape.messages.put(block)

    assert ear.next(WAIT_S, None) == Heard(SAID.meaning, SAID.words)
    keys.lines.put(TYPED)
    assert ear.next(WAIT_S, None) == TYPED
    assert told.get(timeout=WAIT_S) == "listening"
    ear.close()


def test_time_passes_without_a_word() -> None:
    """So that what is due can be done."""
    ear, _ = live(Keys(), Tape())

    assert ear.next(0.01, None) is None
    ear.close()


def test_without_a_microphone_the_keyboard_goes_on_and_it_is_told_once() -> None:
    """One plain notice."""
    keys, tape = Keys(), Tape()
    tape.messages.put(Trouble("no microphone; plug one in"))
    ear, told = live(keys, tape)

    assert "type instead" in told.get(timeout=WAIT_S)
    keys.lines.put(TYPED)
    while (item := ear.next(WAIT_S, None)) is None:
        pass
    assert item == TYPED
    assert told.empty()
    ear.close()


def test_with_neither_microphone_nor_keyboard_it_is_over() -> None:
    """Nobody could ever say anything more."""
    keys, tape = Keys(), Tape()
    keys.lines.put(Over())
    tape.messages.put(Trouble("no microphone"))
    ear, _ = live(keys, tape)

    while (item := ear.next(WAIT_S, None)) is None:
        pass
    assert isinstance(item, Over)
    ear.close()


def test_the_end_of_the_keyboard_does_not_end_a_job_that_is_heard() -> None:
    """As with a program started without a terminal; nor does a microphone lost later."""
    keys, tape = Keys(), Tape()
    ear, told = live(keys, tape)
    tape.messages.put(SILENCE)
    assert told.get(timeout=WAIT_S) == "listening"
    keys.lines.put(Over())
    assert ear.next(WAIT_S, None) is None
    for message in (SPEECH, Trouble("pulled out")):
        tape.messages.put(message)

    torn = ear.next(WAIT_S, None)

    assert isinstance(torn, Heard)
    assert torn.meaning is None
    assert "pulled out" in told.get(timeout=WAIT_S)
    assert ear.next(0.01, None) is None
    ear.close()


def test_what_may_be_said_follows_the_job_while_a_reply_is_spoken() -> None:
    """The ear looks at the job for each block of sound, not only when it is asked for the next utterance."""
    asked: queue.Queue[str] = queue.Queue()
    tape = Tape()
    ear, _ = live(Keys(), tape)

    def state() -> State:
        asked.put("asked")
        return bench().session.state

    ear.watch(state)
    tape.messages.put(SILENCE)

    assert asked.get(timeout=WAIT_S) == "asked"
    ear.close()


def test_a_missing_model_leaves_the_keyboard() -> None:
    """With the cure as told by whoever missed it."""

    def nothing() -> Listener:
        raise MissingPart("put the speech model into the folder")

    keys = Keys()
    ear, told = live(keys, Tape(), nothing)

    assert "put the speech model" in told.get(timeout=WAIT_S)
    keys.lines.put(TYPED)
    while (item := ear.next(WAIT_S, None)) is None:
        pass
    assert item == TYPED
    ear.close()
