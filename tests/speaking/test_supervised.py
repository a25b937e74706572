"""The voice process supervised end to end: each fault once, then it is made up for; each fault for good, then
the phrase is printed with the tone of trouble.

The processes, pipes and signals are real, and so is the missing library; only the engine is replaced by one
that misbehaves, and the sound card by one whose clock the test turns.
"""

from __future__ import annotations

import io
import os
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest

from assistant.speaking import output
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.earcons import earcon
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import PrintedVoice
from tests.speaking.card import Card

pytestmark = pytest.mark.full
PHRASE = "Four point six litres out in all."
PATIENCE_S = 1.0
FAULTS = {
    "crash": "os._exit(11)",
    "signal": "os.kill(os.getpid(), signal.SIGSEGV)",
    "hang": "time.sleep(600)",
    "silence": "say(frames.Spoken(request.number, Sound(bytes(2 * 16000), 8000)))",
    "too short": "say(frames.Spoken(request.number, tone(0.1)))",
    "nothing": "say(frames.Spoken(request.number, Sound(b'', 8000)))",
    "its own account": "say(frames.Failed(request.number, 'the engine is confused'))",
    "noise on the pipe": "print('Audio saved', flush=True)",
}
"""What goes wrong -> what the process does instead of speaking."""
PROGRAM = """
    import os, signal, sys, time
    from assistant.speaking import frames
    from assistant.speaking.sound import Sound

    def say(message):
        frames.write(sys.stdout.buffer, message)

    def tone(seconds):
        return Sound(b"\\x00\\x20\\x00\\xe0" * int(4000 * seconds), 8000)

    say(frames.Ready("tones"))
    while (request := frames.read(sys.stdin.buffer)) is not None:
        if {often} or not os.path.exists({mark!r}):
            open({mark!r}, "w").close()
            {fault}
            continue
        say(frames.Spoken(request.number, tone(2.0)))
"""


class Shop:
    """A voice aloud over a process that misbehaves."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, program: str) -> None:
        self.card, self.paper = Card(), io.StringIO()
        monkeypatch.setattr(output, "library", lambda: self.card)
        self.process = VoiceProcess(command=(sys.executable, "-c", program), patience_s=PATIENCE_S)
        self.voice = AloudVoice(self.process, Loudspeaker(), PrintedVoice(self.paper))

    def sounding_s(self) -> float:
        """Return for how long the card sounds."""
        blocks = np.concatenate([self.card.block() for _ in range(300)])
        loud = np.flatnonzero(np.abs(blocks) > 0.01)
        return float(loud[-1] - loud[0]) / 48_000 if loud.size else 0.0


def misbehaving(fault: str, mark: Path, often: bool) -> str:
    """Return the program of a voice process with a fault, once or for good."""
    return textwrap.dedent(PROGRAM).format(fault=FAULTS[fault], mark=str(mark), often=often)


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_that_comes_once_is_not_noticed_by_the_listener(
    fault: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The phrase is repeated in a new process and spoken whole; nothing is printed."""
    shop = Shop(monkeypatch, misbehaving(fault, tmp_path / "once", often=False))
    first = shop.process.pid
    shop.voice.speak(PHRASE)

    assert shop.sounding_s() == pytest.approx(2.0, abs=0.05)
    assert shop.paper.getvalue() == ""
    assert (shop.process.restarts, shop.process.pid != first) == (1, True)
    with pytest.raises(ProcessLookupError):
        os.kill(first, 0)
    shop.voice.close()


@pytest.mark.parametrize("fault", ["hang", "silence", "signal"])
def test_a_fault_that_stays_is_printed_with_a_tone(
    fault: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Why, once; the phrase; the tone of trouble. Nothing raises."""
    shop = Shop(monkeypatch, misbehaving(fault, tmp_path / "always", often=True))
    shop.voice.speak(PHRASE)

    why, phrase = shop.paper.getvalue().splitlines()
    assert why.startswith("(voice: ")
    assert phrase == PHRASE
    assert shop.sounding_s() == pytest.approx(earcon("trouble").seconds, abs=0.05)
    shop.voice.close()


def test_a_missing_library_is_printed_with_its_cure_and_a_tone(monkeypatch: pytest.MonkeyPatch) -> None:
    """By the real voice process, from which the library was taken away."""
    shop = Shop(
        monkeypatch,
        "import sys; sys.modules['espeakng_loader'] = sys.modules['pyttsx3'] = None\n"
        "from assistant.speaking.voice_process import main; sys.exit(main())",
    )
    shop.voice.speak(PHRASE)

    why, phrase = shop.paper.getvalue().splitlines()
    assert "pip install" in why
    assert phrase == PHRASE
    assert shop.sounding_s() == pytest.approx(earcon("trouble").seconds, abs=0.05)
    shop.voice.close()
