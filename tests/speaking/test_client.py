"""The asker's side, against a voice process of the test's own that misbehaves on purpose.

The process is real and speaks the real frames; only its engine is replaced by tones of the right length.
"""

from __future__ import annotations

import sys
import textwrap

import pytest

from assistant.errors import MissingPart
from assistant.speaking.client import VoiceProcess

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
