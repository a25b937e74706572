"""The asker's side, against a voice process of the test's own that misbehaves on purpose.

The process is real and speaks the real frames; only its engine is replaced by tones of the right length.
"""

from __future__ import annotations

import sys
import textwrap
import time
from dataclasses import replace

import pytest

from assistant.errors import MissingPart
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import NATURAL, USUAL

PROLOGUE = """
import os, sys, time
from assistant.speaking import frames
from assistant.speaking.sound import Sound

def say(message):
    frames.write(sys.stdout.buffer, message)

def sound(request, seconds=2.0):
    return frames.Spoken(request.number, Sound(b"\\1\\2" * int(8000 * seconds), 8000))

def requests():
    say(frames.Ready("tones"))
    while (request := frames.read(sys.stdin.buffer)) is not None:
        yield request
"""


def voice(behaviour: str, patience_s: float = 5.0) -> VoiceProcess:
    """Start a voice process that behaves as written."""
    program = PROLOGUE + textwrap.dedent(behaviour)
    return VoiceProcess(command=(sys.executable, "-c", program), patience_s=patience_s)


def test_an_answer_to_an_earlier_question_is_dropped() -> None:
    """Late results are known by their number."""
    client = voice(
        """
        for request in requests():
            say(frames.Spoken(request.number - 1, Sound(b"", 8000)))
            say(frames.Failed(request.number + 1, "not asked"))
            say(sound(request))
        """
    )

    assert client.synthesise("six minutes forty gone").seconds == 2.0
    assert client.restarts == 0
    client.close()


def test_a_crash_is_made_up_for_once() -> None:
    """A process that dies at each first phrase: the phrase is repeated in a new one, then reported."""
    client = voice(
        """
        for request in requests():
            os._exit(11)
        """
    )

    with pytest.raises(MissingPart, match="ended"):
        client.synthesise("ten minutes")
    assert client.restarts == 2
    client.close()


def test_a_success_that_cannot_be_is_not_believed() -> None:
    """Twenty letters in a hundredth of a second, or no sound at all, is a failure."""
    client = voice(
        """
        for request in requests():
            say(sound(request, 0.01))
        """
    )

    with pytest.raises(MissingPart, match="claims"):
        client.synthesise("four point six litres out in all")
    client.close()


def test_a_hanging_engine_is_killed_and_reported() -> None:
    """After its patience has run out, twice."""
    client = voice(
        """
        for request in requests():
            time.sleep(600)
        """,
        patience_s=0.2,
    )
    hung = client.pid

    with pytest.raises(MissingPart, match="hangs"):
        client.synthesise("ten minutes")
    assert client.pid != hung
    client.close()


def test_noise_on_the_pipe_is_a_failure_not_a_hang() -> None:
    """Text printed where frames belong."""
    client = voice("print('Audio saved to phrase.wav', flush=True); time.sleep(600)")

    with pytest.raises(MissingPart):
        client.synthesise("ten minutes")
    client.close()


def test_an_engine_that_cannot_start_says_why() -> None:
    """The reason reaches the caller, who prints it."""
    client = voice("say(frames.Failed(0, 'no speech engine; put it in with: pip install'))")

    with pytest.raises(MissingPart, match="pip install"):
        client.synthesise("ten minutes")
    client.close()


def test_a_closed_voice_starts_nothing_again() -> None:
    """Closing is final."""
    client = voice("list(requests())")
    client.close()

    with pytest.raises(MissingPart, match="closed"):
        client.synthesise("ten minutes")
    assert client.restarts == 0


def rendered(client: VoiceProcess, count: int) -> bool:
    """Wait until so many phrases are rendered ahead."""
    until = time.monotonic() + 10
    while len(client._ahead) < count and time.monotonic() < until:
        time.sleep(0.005)
    return len(client._ahead) == count


def test_what_was_rendered_ahead_is_spoken_in_the_present_manner() -> None:
    """After a change of pace by voice, and after the voice has given way: never in the manner of before."""
    client = voice(
        """
        for request in requests():
            if request.manner.voice == "natural" and request.text == "fails":
                say(frames.Failed(request.number, "no"))
            else:
                pcm = bytes([request.manner.rate % 256, len(request.manner.voice)])
                say(frames.Spoken(request.number, Sound(pcm * 16000, 8000)))
        """
    )
    client.manner = replace(client.manner, voice=NATURAL, rate=165)
    texts = ("Open the plug fully.", "Say again, please.")
    client.prepare(texts)
    assert rendered(client, 2)
    of_before = [client.synthesise(text) for text in texts]

    client.turn_to(replace(client.manner, rate=200))
    assert all(client.synthesise(text).pcm[:1] == bytes([200]) for text in texts)
    assert rendered(client, 2)
    assert [client.synthesise(text).pcm[:1] for text in texts] == [bytes([200])] * 2
    client.synthesise("fails")
    assert client.fallen_back
    assert all(client.synthesise(text).pcm[1] == len(USUAL) for text in texts)
    client.manner = replace(client.manner, voice=NATURAL, rate=165)
    assert [client.synthesise(text) for text in texts] == of_before
    client.close()
