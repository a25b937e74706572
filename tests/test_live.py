"""The live ear: what it does with sound, with its own voice, with typed lines, and without a microphone."""

from __future__ import annotations

import contextlib
import queue
from collections.abc import Callable
from functools import cache

from assistant.commands.ears import Over
from assistant.commands.listener import Listener
from assistant.commands.live import LiveEar
from assistant.dialogue.reply import Heard
from assistant.errors import MissingPart
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Message, Trouble
from assistant.hearing.capture import SteadyMicrophone
from assistant.job.state import State
from assistant.shelf.places import procedures_folder
from tests.bench import Bench
from tests.test_listener import SAID, SILENCE, SPEECH, Ear

WAIT_S = 5.0
TYPED = Heard(Meaning("next"), "next")


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


def test_it_is_told_which_microphone_listens() -> None:
    """The chosen one is not there, another one listens; then the chosen one again: a notice each."""
    told: queue.Queue[str] = queue.Queue()
    chosen, looks = Tape(), list[float]()
    chosen.messages.put(Trouble("no microphone is called 'headset'; plug it in"))

    class Endless(Tape):
        def next(self, timeout_s: float) -> Message:
            return SILENCE

    def later() -> float:
        looks.append(0.0)
        return 0.1 * len(looks)

    ear = LiveEar(
        Keys(),
        SteadyMicrophone(lambda: chosen, later, Endless),
        lambda: Listener(Ear(), lambda: None),
        lambda one, _: Heard(one.meaning, one.words),
        told.put,
    )
    assert told.get(timeout=WAIT_S) == (
        "no microphone is called 'headset'; plug it in; another microphone listens until then"
    )
    chosen.messages.put(SILENCE)
    assert told.get(timeout=WAIT_S) == "the microphone you chose is there again: listening"
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
