"""The live ear on real streams: a virtual sound card, the real microphone process, the real recogniser.

Run inside `.ci/sound-card`, which provides the card; elsewhere left out with the reason.
"""

from __future__ import annotations

import os
import queue
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.commands.ears import Over
from assistant.commands.language import grammar_of
from assistant.commands.listener import Gate, Listener
from assistant.commands.live import LiveEar
from assistant.dialogue.reply import Heard
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.hearing.break_in import BreakIn
from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import default_folder, fetch_model
from assistant.hearing.recogniser import Recogniser
from assistant.job.state import State
from assistant.shelf.places import cache_folder, data_folder
from assistant.speaking.air import Air
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import PrintedVoice

pytestmark = pytest.mark.full
WAIT_S = 15.0
SAID = Meaning("temperature", "63", "degree")
CLIP = "31-temperature.flac"
REPLY = "Drained four point two litres."


@cache
def grammar() -> Grammar:
    """The shipped grammar."""
    return grammar_of("en", data_folder("grammars"))


@pytest.fixture(scope="module")
def graph() -> Path:
    """The recogniser's folder, the model fetched if need be."""
    cache_place = cache_folder()
    model = fetch_model(default_folder(cache_place), lambda _done, _total: None)
    return prepared_folder(grammar().acceptor, model, cache_place)


@pytest.fixture(autouse=True)
def card(lacking: Callable[[str], None]) -> None:
    """The virtual card."""
    if "VIRTUAL_SOUND_CARD" not in os.environ or shutil.which("paplay") is None:
        lacking("the virtual sound card (run the tests inside .ci/sound-card)")


class Silent:
    """A keyboard on which nobody types."""

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Never return."""
        time.sleep(WAIT_S)
        return None

    def watch(self, state: Callable[[], State]) -> None:
        """Nothing depends on it."""


Made = tuple[LiveEar, "queue.Queue[str]", list[MicrophoneProcess]]


@pytest.fixture
def live(graph: Path) -> Iterator[Callable[..., Made]]:
    """Make ears over the real microphone; all are closed afterwards."""
    made: list[LiveEar] = []

    def make(cut: Callable[[], None] = lambda: None, air: Air | None = None) -> Made:
        told: queue.Queue[str] = queue.Queue()
        processes: list[MicrophoneProcess] = []

        def opening() -> MicrophoneProcess:
            processes.append(MicrophoneProcess())
            return processes[-1]

        def listener() -> Listener:
            recogniser = Recogniser(graph, grammar())
            gate = Gate(air, BreakIn(recogniser.model, air.loudest)) if air is not None else None
            return Listener(recogniser, cut, gate)

        ear = LiveEar(
            Silent(),
            SteadyMicrophone(opening),
            listener,
            lambda one, _: Heard(one.meaning or NoMatch(one.reason, one.words), one.words),
            told.put,
        )
        made.append(ear)
        assert told.get(timeout=WAIT_S) == "listening"
        return ear, told, processes

    yield make
    for ear in made:
        ear.close()


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sentence of the recorded job between silences, as a file the sound server plays."""
    sound, rate = soundfile.read(data_folder("recordings") / CLIP, dtype="int16")
    quiet = np.zeros(rate // 2, dtype=np.int16)
    path = tmp_path_factory.mktemp("said") / "said.wav"
    soundfile.write(path, np.concatenate([quiet, sound, quiet]), rate)
    return path


def say(path: Path, into: str = "mic") -> None:
    """Play a file into the microphone, in real time."""
    subprocess.run(["paplay", "--latency-msec=30", f"--device={into}", str(path)], check=True)


def answer(ear: LiveEar, within_s: float = 3.0) -> Heard | None:
    """What is heard next."""
    item = ear.next(within_s, None)
    return item if isinstance(item, Heard) else None


def test_a_sentence_into_the_microphone_is_understood(live: Callable[..., Made], clip: Path) -> None:
    """Through the sound server, PortAudio, the microphone's process and the recogniser."""
    cuts: list[str] = []
    ear, _, _ = live(cut=lambda: cuts.append("cut"))
    say(clip)

    heard = answer(ear)

    assert heard is not None
    assert isinstance(heard.meaning, Meaning), heard
    assert (heard.meaning.kind, heard.meaning.value, heard.meaning.unit) == (SAID.kind, SAID.value, SAID.unit)
    assert cuts == ["cut"]


def test_a_killed_microphone_process_comes_back_and_hears(live: Callable[..., Made], clip: Path) -> None:
    """The notice when it goes, the notice when it is back, and the next sentence."""
    ear, told, processes = live()
    processes[0]._process.kill()

    assert "microphone lost" in told.get(timeout=WAIT_S)
    assert "listening" in told.get(timeout=WAIT_S)
    say(clip)
    heard = answer(ear)
    assert heard is not None
    assert isinstance(heard.meaning, Meaning), heard


def test_through_a_loudspeaker_its_own_words_are_not_heard(live: Callable[..., Made], clip: Path) -> None:
    """The reply, a sentence of the grammar, goes from the loudspeaker straight into the microphone.

    With the gate open it is heard, as it must be for the test to mean anything.
    """
    process = VoiceProcess()
    voice = AloudVoice(process, Loudspeaker(), PrintedVoice(open(os.devnull, "w")))  # noqa: SIM115
    loop = [
        "pactl",
        "load-module",
        "module-loopback",
        "source=speaker.monitor",
        "sink=mic",
        "latency_msec=20",
    ]
    number = subprocess.run(loop, capture_output=True, text=True, check=True).stdout.strip()
    try:
        ear, _, _ = live()
        voice.speak(REPLY)
        assert answer(ear, WAIT_S) is not None
        ear.close()
        ear, _, _ = live(air=voice.air)
        voice.speak(REPLY)
        assert voice.last is not None
        assert voice.last.wait(WAIT_S)
        assert answer(ear, 2.0) is None
        say(clip)
        heard = answer(ear)
        assert heard is not None
        assert isinstance(heard.meaning, Meaning)
    finally:
        subprocess.run(["pactl", "unload-module", number], check=False)
        voice.close()
