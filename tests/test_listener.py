"""What the ear does with sound by the route of the voice: a headset, or a loudspeaker that it would hear."""

from __future__ import annotations

import threading
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.commands.listener import MOST_WAIT_S, Gate, Listener
from assistant.grammar.judgement import ANYTHING
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block
from assistant.hearing.gate import BEFORE_S, CLOSED_S, ECHO_S, Part, parts
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.speaking.air import JOIN_S, Air

SPEECH, SILENCE = Block(b"speech.." * 40), Block(b"silence." * 40)
BLOCK_S = 0.01
SAID = Utterance("drained four litres", 0.0, 1.0, 1.2, -12.0, -60.0, meaning=Meaning("drained", "4", "litre"))


class Ear:
    """A fake recogniser: speech opens an utterance, silence decides it."""

    def __init__(self) -> None:
        self.expectation = ANYTHING
        self.hears_speech = self.stirs = False
        self.noise_db = -60.0
        self.said = SAID
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
        return [self.said] if was else []


def test_with_a_headset_the_first_sound_of_speech_cuts_the_reply() -> None:
    """Once for each utterance."""
    cuts: list[str] = []
    listener = Listener(Ear(), lambda: cuts.append("cut"))

    for block in (SILENCE, SPEECH, SPEECH, SILENCE, SPEECH):
        listener.hear(block, ANYTHING)

    assert cuts == ["cut", "cut"]


class Watch:
    """A fake of what listens through our own voice: says what it is told to."""

    louder = False

    def __init__(self) -> None:
        self.word: str | None = None
        self.resets = 0

    def feed(self, pcm: bytes, at: float) -> str | None:
        """Return the word."""
        return self.word

    def reset(self) -> None:
        """Count."""
        self.resets += 1


def test_with_a_headset_a_reply_pauses_while_speech_may_be_beginning() -> None:
    """It goes on where none came; it is cut where some did; attention elsewhere pauses nothing."""
    ear, done = Ear(), list[str]()
    listener = Listener(
        ear, lambda: done.append("cut"), hold=lambda held: done.append("hold" if held else "on")
    )

    for stirs, block, cuts in (
        (True, SILENCE, True), (True, SILENCE, True), (False, SILENCE, True),
        (True, SILENCE, True), (False, SPEECH, True), (False, SILENCE, True), (True, SILENCE, False),
    ):  # fmt: skip
        ear.stirs = stirs
        listener.hear(block, ANYTHING, cuts)

    assert done == ["hold", "on", "hold", "cut", "on"]


def test_no_reply_begins_while_somebody_speaks_but_none_waits_for_ever() -> None:
    """A timer that is over then is announced after the sentence, or after three seconds of noise."""
    ear, held = Ear(), list[bool]()
    listener = Listener(ear, lambda: None, hold=held.append)
    for block in (SPEECH, SPEECH, SILENCE):
        listener.hear(block, ANYTHING)
    assert held == [True, False]

    for _ in range(round(MOST_WAIT_S / BLOCK_S) + 1):
        listener.hear(SPEECH, ANYTHING)
    assert held == [True, False, True, False]


def test_a_reply_does_not_stay_paused_when_the_microphone_is_lost() -> None:
    """Nothing more comes that could end the pause."""
    ear, held = Ear(), list[bool]()
    listener = Listener(ear, lambda: None, hold=held.append)
    ear.stirs = True
    listener.hear(SILENCE, ANYTHING)
    listener.lost()

    assert held == [True, False]


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


def test_where_our_voice_was_taken_out_everything_is_heard_and_a_sentence_cuts_the_reply() -> None:
    """But nothing opens that is no louder than what is left of our voice; where the cancelling ends, the ear
    is shut again.
    """
    listener, ear, air, watch, cuts = gated()
    air.put(10.0, 2.0)

    def through(block: Block, start: float) -> Block:
        return replace(at(block, start), cancelled=True)

    assert listener.hear(through(SPEECH, 10.2), ANYTHING) == []
    assert not ear.hears_speech
    watch.louder = True
    assert listener.hear(through(SPEECH, 10.4), ANYTHING) == []
    assert ear.hears_speech
    assert cuts == []
    assert listener.hear(through(SILENCE, 10.6), ANYTHING) == [SAID]
    assert cuts == ["cut"]
    assert watch.resets == 1
    listener.hear(through(SPEECH, 10.8), ANYTHING)
    listener.hear(through(SILENCE, 11.0), ANYTHING, cuts=False)
    assert cuts == ["cut"]
    heard = len(ear.fed)
    assert listener.hear(at(SPEECH, 11.2), ANYTHING) == []
    assert len(ear.fed) == heard


@pytest.mark.parametrize(("word", "silenced"), [("stop", ["cut"]), ("stand by", []), ("emergency", [])])
def test_where_our_voice_was_taken_out_the_ear_itself_hears_all_but_stop(
    word: str, silenced: list[str]
) -> None:
    """Of few words another sentence is easily taken for one of them; the ear knows all sentences."""
    listener, ear, air, watch, cuts = gated()
    air.put(10.0, 2.0)
    watch.word = word

    assert listener.hear(replace(at(SPEECH, 10.5), cancelled=True), ANYTHING) == []
    assert cuts == silenced
    assert len(ear.fed) == 1


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


def test_an_utterance_with_a_hole_in_it_is_refused_as_one() -> None:
    """A number with a piece missing is another number, and so is what comes behind the hole: asked once."""
    listener = Listener(Ear(), lambda: None)
    listener.hear(SPEECH, ANYTHING)

    assert listener.hear(Block(SPEECH.pcm, lost=512), ANYTHING) == []
    torn = listener.hear(SILENCE, ANYTHING)

    assert [(one.meaning, one.reason, one.mass) for one in torn] == [(None, "lost", 1.0)]


@pytest.mark.parametrize(("pause_s", "whole"), [(0.0, False), (0.3, False), (0.6, True)])
def test_what_begins_in_a_hole_is_refused_too(pause_s: float, whole: bool) -> None:
    """Of "five point", a hole, "three litres" no three litres are taken; a later sentence is heard."""
    ear = Ear()
    for lose in ("a block", "the microphone"):
        listener = Listener(ear, lambda: None)
        ear.said = replace(SAID, decided=0.03)
        if lose == "a block":
            listener.hear(Block(SILENCE.pcm, lost=512), ANYTHING)
        else:
            listener.lost()
        for _ in range(round(pause_s / BLOCK_S)):
            listener.hear(SILENCE, ANYTHING)
        listener.hear(SPEECH, ANYTHING)

        assert [one.meaning is not None for one in listener.hear(SILENCE, ANYTHING)] == [whole]


def test_a_sentence_made_whole_with_a_torn_one_is_torn() -> None:
    """The hole is in the part that was heard before."""
    ear = Ear()
    listener = Listener(ear, lambda: None)
    listener.hear(SPEECH, ANYTHING)
    listener.hear(Block(SPEECH.pcm, lost=512), ANYTHING)
    listener.hear(SILENCE, ANYTHING)
    for _ in range(60):
        listener.hear(SILENCE, ANYTHING)
    ear.said = replace(SAID, amends=True)  # it goes back to the beginning of the first
    listener.hear(SPEECH, ANYTHING)

    assert [one.reason for one in listener.hear(SILENCE, ANYTHING)] == ["lost"]
