"""The live ear: what it does with sound, with its own voice, with typed lines, and without a microphone."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from functools import cache

from assistant.commands.ears import Over
from assistant.commands.live import ECHO_S, Listener, LiveEar, Speaking
from assistant.dialogue.reply import Heard
from assistant.errors import MissingPart
from assistant.grammar.judgement import ANYTHING
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.capture import SteadyMicrophone
from assistant.hearing.utterance import Utterance
from assistant.job.state import State
from assistant.shelf.places import procedures_folder
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.output import Playing
from assistant.speaking.sound import from_samples
from tests.bench import Bench

SPEECH, SILENCE = Block(b"speech"), Block(b"silence")
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

    def feed(self, pcm: bytes) -> list[Utterance]:
        """Take in one block."""
        assert threading.get_ident() == self.thread
        self.fed.append(pcm)
        if pcm == b"speech":
            self.hears_speech = True
            return []
        return self.finish()

    def finish(self) -> list[Utterance]:
        """Decide."""
        was, self.hears_speech = self.hears_speech, False
        return [SAID] if was else []


def test_with_a_headset_the_first_sound_of_speech_cuts_the_reply() -> None:
    """Once for each utterance."""
    cuts: list[str] = []
    listener = Listener(Ear(), lambda: False, lambda: cuts.append("cut"))

    for block in (SILENCE, SPEECH, SPEECH, SILENCE, SPEECH):
        listener.hear(block, ANYTHING)

    assert cuts == ["cut", "cut"]


def test_through_a_loudspeaker_nothing_is_heard_while_it_speaks() -> None:
    """What was under way is decided once, then the ear is deaf until the voice is over."""
    ear, speaking = Ear(), [False]
    listener = Listener(ear, lambda: speaking[0], lambda: None)
    listener.hear(SPEECH, ANYTHING)
    speaking[0] = True

    assert listener.hear(SPEECH, ANYTHING) == [SAID]
    assert listener.hear(SPEECH, ANYTHING) == []
    assert ear.fed == [b"speech"]
    speaking[0] = False
    listener.hear(SPEECH, ANYTHING)
    assert ear.fed == [b"speech", b"speech"]


def test_an_utterance_with_a_hole_in_it_is_refused() -> None:
    """A number with a piece missing is another number; what comes after the hole is heard as usual."""
    listener = Listener(Ear(), lambda: False, lambda: None)
    listener.hear(SPEECH, ANYTHING)

    torn = listener.hear(Block(b"speech", lost=512), ANYTHING)

    assert [(one.meaning, one.reason) for one in torn] == [(None, "torn")]
    assert listener.hear(SILENCE, ANYTHING) == [SAID]


def test_the_voice_is_in_the_air_until_its_echo_has_gone() -> None:
    """Both for a reply said to its end and for one that was stopped."""
    now = [10.0]
    voice = AloudVoice.__new__(AloudVoice)
    voice.last = None
    speaking = Speaking(voice, lambda: now[0])
    assert not speaking()
    voice.last = Playing(from_samples([0.0] * 100, 16_000).samples(), 16_000)
    assert speaking()
    now[0] += 60
    assert speaking()

    voice.last.end()

    assert speaking()
    now[0] += ECHO_S + 0.01
    assert not speaking()


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
        return self.lines.get(timeout=WAIT_S)

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
    make = listener or (lambda: Listener(Ear(), lambda: False, lambda: None))
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
