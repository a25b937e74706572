"""The nicer voice: from its package alone, no slower once prepared, giving way when it fails."""

from __future__ import annotations

import sys
import textwrap
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from statistics import median

import numpy as np
import pytest

from assistant.errors import MissingPart
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import NATURAL, USUAL, Manner
from assistant.speaking.sound import active_level

pytestmark = pytest.mark.full
NICE, PLAIN = Manner(rate=165, voice=NATURAL), Manner(rate=165)
PHRASES = (
    "Out so far, four point two litres.",
    "Open the plug fully and let it run.",
    "What is the drip interval?",
    "Torque three five newton metres, drain plug.",
)
WITHOUT = """
    import sys
    {}
    from assistant.speaking.voice_process import main
    sys.exit(main())
"""


def process(manner: Manner, crippled: str = "pass") -> VoiceProcess:
    """Start the real voice process, crippled by a line before anything is loaded."""
    return VoiceProcess(manner, command=(sys.executable, "-c", textwrap.dedent(WITHOUT).format(crippled)))


@pytest.fixture
def nice(lacking: Callable[[str], None]) -> Iterator[VoiceProcess]:
    """The natural voice, in a process whose attempts to reach a network fail."""
    if find_spec("hibari") is None:
        lacking("the natural voice (pip install '.[voice]')")
    voice = process(NICE, "import socket; socket.socket.connect = None; socket.getaddrinfo = None")
    yield voice
    voice.close()


def test_it_speaks_without_a_network_as_loud_and_as_fast_as_the_usual_voice(nice: VoiceProcess) -> None:
    """Another sound, a level within 3 dB, a pace within a fifth, and faster where that is set."""
    usual = process(PLAIN)
    levels, lengths = [], []
    for phrase in PHRASES:
        ours, theirs = nice.synthesise(phrase), usual.synthesise(phrase)
        assert nice.fallen_back == ""
        assert ours.rate != theirs.rate
        levels.append(active_level(ours.samples(), ours.rate) / active_level(theirs.samples(), theirs.rate))
        lengths.append(ours.seconds / theirs.seconds)
    usual.close()

    assert abs(20 * np.log10(median(levels))) < 3
    assert 0.8 < median(lengths) < 1.2
    calm = nice.synthesise(PHRASES[1]).seconds
    nice.manner = Manner(rate=250, voice=NATURAL)
    assert nice.synthesise(PHRASES[1]).seconds < 0.8 * calm


def test_what_is_prepared_waits_for_nothing(nice: VoiceProcess) -> None:
    """A prompt rendered ahead is there within 5 ms, the same sound as if it had been made now."""
    fresh = {phrase: nice.synthesise(phrase) for phrase in PHRASES}
    nice.prepare(PHRASES)
    until = time.monotonic() + 20
    while len(nice._ahead) < len(PHRASES) and time.monotonic() < until:
        time.sleep(0.02)
    waits = []
    for phrase in PHRASES:
        begun = time.monotonic()
        sound = nice.synthesise(phrase)
        waits.append(time.monotonic() - begun)
        assert sound == fresh[phrase]

    assert median(waits) < 0.005


@pytest.mark.parametrize(
    "crippled",
    [
        "sys.modules['hibari'] = None",  # not installed
        "import types; sys.modules['hibari'] = types.SimpleNamespace(Hibari=lambda threads: None)",  # broken
        "import types; sys.modules['hibari'] = types.SimpleNamespace(Hibari=lambda threads: lambda *a, **k:"
        " __import__('numpy').zeros(24000))",  # claims success and gives silence
    ],
)
def test_one_that_fails_gives_way_to_the_usual_voice(crippled: str) -> None:
    """The phrase is spoken all the same, and why is known."""
    voice = process(NICE, crippled)
    sound = voice.synthesise(PHRASES[0])
    assert sound.seconds > 1
    assert voice.manner.voice == USUAL
    assert voice.fallen_back
    restarts = voice.restarts
    voice.synthesise(PHRASES[1])
    assert voice.restarts == restarts
    voice.close()


def test_a_voice_of_the_system_is_chosen_by_a_part_of_its_name() -> None:
    """Any that the speech engine offers; one it does not have is told, in the usual voice."""
    north = VoiceProcess(Manner(voice="scotland"))
    usual = VoiceProcess(Manner())
    try:
        assert north.synthesise(PHRASES[0]) != usual.synthesise(PHRASES[0])
        assert north.fallen_back == ""
        north.manner = Manner(voice="nobody")
        assert north.synthesise(PHRASES[0]).seconds > 1
        assert "nobody" in north.fallen_back
    finally:
        north.close()
        usual.close()


def test_a_voice_that_is_wholly_missing_is_an_error() -> None:
    """Neither the natural nor the usual one."""
    voice = process(NICE, "sys.modules['espeakng_loader'] = sys.modules['pyttsx3'] = None")
    with pytest.raises(MissingPart, match="pip install"):
        voice.synthesise(PHRASES[0])
    voice.close()
