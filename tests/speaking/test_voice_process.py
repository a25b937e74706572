"""The real engine in its real process, and the real loudspeaker where there is one."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import MissingPart
from assistant.speaking import frames
from assistant.speaking.client import COMMAND, VoiceProcess
from assistant.speaking.output import Loudspeaker
from assistant.speaking.sound import AUDIBLE, from_samples

pytestmark = pytest.mark.full
LONG = "first most of it, then small amounts with a check after each, until the level is right. " * 20


@pytest.fixture
def voice() -> Iterator[VoiceProcess]:
    """The real voice process."""
    process = VoiceProcess()
    yield process
    process.close()


def test_twenty_phrases_are_spoken_in_order(voice: VoiceProcess) -> None:
    """Each phrase is longer than the one before, and so must its sound be; none is lost, none starts late."""
    sounds = [voice.synthesise(" ".join(["litres"] * count)) for count in range(1, 21)]

    lengths = [sound.seconds for sound in sounds]
    assert lengths == sorted(lengths)
    assert lengths[-1] > 10 * lengths[0]
    assert voice.restarts == 0
    for sound in sounds:
        assert np.argmax(np.abs(sound.samples()) > AUDIBLE) < 0.01 * sound.rate


def test_two_hundred_runs_are_all_there(voice: VoiceProcess) -> None:
    """One run for each phrase: none is dropped, cut off or answered with another's sound."""
    phrases = ("ten minutes", "what is the drip interval?", "four point six litres out in all")
    typical = {phrase: voice.synthesise(phrase).seconds for phrase in phrases}

    for run in range(200):
        phrase = phrases[run % 3]
        assert voice.synthesise(phrase).seconds == pytest.approx(typical[phrase], abs=0.06)
    assert voice.restarts == 0


def test_an_answer_is_there_at_once(voice: VoiceProcess) -> None:
    """The median phrase is ready within 60 ms, so that a reply does not wait for its sound."""
    voice.synthesise("ready")
    waits = []
    for run in range(30):
        began = time.monotonic()
        voice.synthesise(f"number {run}, four point two litres drained")
        waits.append(time.monotonic() - began)

    assert sorted(waits)[15] < 0.06


def test_a_killed_process_is_back_within_three_seconds(voice: VoiceProcess) -> None:
    """Killed in the middle of a phrase: the phrase is still spoken, whole."""
    whole = voice.synthesise(LONG).seconds
    got: list[float] = []
    speaking = threading.Thread(target=lambda: got.append(voice.synthesise(LONG).seconds))
    killed = voice.pid
    speaking.start()
    speaking.join(0.02)
    assert speaking.is_alive()
    began = time.monotonic()
    os.kill(killed, signal.SIGKILL)
    speaking.join(20)

    assert time.monotonic() - began < 3.0
    assert got == [pytest.approx(whole, abs=0.3)]
    assert voice.pid != killed
    assert voice.restarts == 1


def test_a_hung_process_is_noticed_killed_and_replaced() -> None:
    """Stopped by a signal, it answers nothing; the phrase comes from its successor."""
    voice = VoiceProcess(patience_s=1.0)
    voice.synthesise("ready")
    hung = voice.pid
    os.kill(hung, signal.SIGSTOP)

    assert voice.synthesise("ten minutes").seconds > 0.3
    assert voice.restarts == 1
    with pytest.raises(ProcessLookupError):
        os.kill(hung, 0)
    voice.close()


@pytest.mark.parametrize("busy", [False, True])
def test_the_process_ends_with_its_asker(busy: bool) -> None:
    """Also when it is busy with a long phrase."""
    process = subprocess.Popen(COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    assert process.stdin is not None
    assert process.stdout is not None
    assert isinstance(frames.read(process.stdout), frames.Ready)
    if busy:
        frames.write(process.stdin, frames.Speak(1, LONG * 20))
    process.stdin.close()

    assert process.wait(3) == 0
    process.stdout.close()


def test_no_process_is_left_when_the_assistant_is_killed() -> None:
    """Killed without a chance to tidy up, it leaves no voice behind."""
    program = (
        "import time; from assistant.speaking.client import VoiceProcess; voice = VoiceProcess();"
        "voice.synthesise('ready'); print(voice.pid, flush=True); time.sleep(600)"
    )
    assistant = subprocess.Popen((sys.executable, "-c", program), stdout=subprocess.PIPE, text=True)
    assert assistant.stdout is not None
    voice = int(assistant.stdout.readline())
    assistant.kill()
    assistant.wait()
    assistant.stdout.close()

    until = time.monotonic() + 3
    while _runs(voice) and time.monotonic() < until:
        time.sleep(0.02)
    assert not _runs(voice)


def _runs(process: int) -> bool:
    """Tell whether a process is there and not merely waiting to be counted as ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def test_a_missing_library_is_told_with_its_cure() -> None:
    """The process says why it cannot start, and the asker passes it on."""
    program = (
        "import sys; sys.modules['espeakng_loader'] = None; sys.modules['pyttsx3'] = None\n"
        "from assistant.speaking.voice_process import main; sys.exit(main())"
    )
    voice = VoiceProcess(command=(sys.executable, "-c", program))

    with pytest.raises(MissingPart, match="pip install"):
        voice.synthesise("ten minutes")
    voice.close()


def test_a_manner_changes_the_sound(voice: VoiceProcess) -> None:
    """Faster is shorter."""
    calm = voice.synthesise("open the plug fully and let it run")
    voice.manner = frames.Manner(rate=250)

    assert voice.synthesise("open the plug fully and let it run").seconds < 0.8 * calm.seconds


def test_a_manner_holds_from_the_very_next_phrase(voice: VoiceProcess) -> None:
    """Changing to and fro, no phrase is spoken in the manner of the one before it."""
    text = "open the plug fully and let it run"
    lengths: dict[int, list[float]] = {150: [], 220: []}
    for _ in range(15):
        for rate, found in lengths.items():
            voice.manner = frames.Manner(rate=rate)
            found.append(voice.synthesise(text).seconds)

    assert max(lengths[150]) - min(lengths[150]) < 0.1
    assert max(lengths[220]) - min(lengths[220]) < 0.1
    assert min(lengths[150]) > 1.2 * max(lengths[220])


def test_an_unknown_voice_is_told(voice: VoiceProcess) -> None:
    """The usual one speaks, but not as if nothing were."""
    voice.manner = frames.Manner(voice="nobody")

    assert voice.synthesise("ten minutes").seconds > 0.3
    assert "nobody" in voice.fallen_back


def test_stop_silences_fifty_times(lacking: Callable[[str], None]) -> None:
    """Within 300 ms each time, and the next sound plays."""
    try:
        speaker = Loudspeaker()
    except MissingPart as trouble:
        lacking(str(trouble))
        return
    hum = from_samples(0.1 * np.sin(0.05 * np.arange(44_100)), 22_050)
    for _ in range(50):
        playing = speaker.play(hum)
        playing.wait(0.05)
        began = time.monotonic()
        assert speaker.stop()
        assert time.monotonic() - began < 0.3
        assert not playing.completed
        assert playing.position_s > 0
    speaker.close()
