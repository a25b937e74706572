"""Microphone and loudspeaker as one on the virtual card, the loudspeaker led into the microphone.

Run inside `.ci/sound-card`, which provides the card; elsewhere left out with the reason.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable

import pytest

from assistant.duplex.client import Duplex
from assistant.duplex.lacking import lacking as why_not
from assistant.hearing.blocks import Block
from assistant.hearing.capture import SteadyMicrophone
from assistant.speaking.client import VoiceProcess
from assistant.speaking.earcons import earcon
from assistant.speaking.output import Loudspeaker
from tests.benchmark.live import card

pytestmark = pytest.mark.full
REPLY = "Drained four point two litres. Out so far, four point six litres in all. What is the drip interval?"
MOST_S, BACK_S = 20.0, 3.0


def test_its_own_voice_is_cancelled_and_the_ear_is_back_when_the_process_dies(
    lacking: Callable[[str], None],
) -> None:
    """Spoken until it has settled; then killed in the middle of a reply, which is over at once."""
    if "VIRTUAL_SOUND_CARD" not in os.environ or shutil.which("pw-link") is None:
        lacking("the virtual sound card (run the tests inside .ci/sound-card)")
    if why_not(""):
        lacking(why_not(""))
    voice = VoiceProcess()
    sound = voice.synthesise(REPLY)
    voice.close()
    card.link("speaker:monitor_MONO", "mic:playback_MONO")
    duplex = Duplex("", 1.0, lambda gain: Loudspeaker(gain=gain))
    ear = SteadyMicrophone(duplex.opening)
    try:
        duplex.reopen()
        assert duplex.alive
        playing, cancelled, until = duplex.play(sound), False, time.monotonic() + MOST_S
        while not cancelled and time.monotonic() < until:
            block = ear.read(0.2)
            cancelled = block is not None and block.cancelled
            if playing.over:
                assert playing.completed
                playing = duplex.play(sound)
        assert cancelled
        assert duplex.measured.db > 10

        pid = duplex._process.pid
        os.kill(pid, 9)
        assert playing.wait(BACK_S) is False
        begun = time.monotonic()
        while not isinstance(ear.read(0.1), Block) or duplex._process.pid == pid:
            assert time.monotonic() < begun + BACK_S
        assert duplex.play(earcon("heard")).wait(BACK_S)
    finally:
        ear.close()
        duplex.close()
        subprocess.run(["pw-link", "-d", "speaker:monitor_MONO", "mic:playback_MONO"], check=False)
