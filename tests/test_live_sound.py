"""The live ear on real streams: a virtual sound card, the real microphone process, the real recogniser.

Run inside `.ci/sound-card`, which provides the card; elsewhere left out with the reason.
"""

from __future__ import annotations

import os
import queue
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.commands.ears import Over
from assistant.commands.language import grammar_of
from assistant.commands.listener import Listener
from assistant.commands.live import LiveEar
from assistant.dialogue.reply import Heard
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.hearing.blocks import Block
from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone
from assistant.hearing.depth import DEPTH_S
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.microphone import Microphone
from assistant.hearing.model import default_folder, fetch_model
from assistant.hearing.pace import TOO_LITTLE, Pace
from assistant.hearing.recogniser import Recogniser
from assistant.job.state import State
from assistant.shelf.places import cache_folder, data_folder
from tests.benchmark.live import card, command

pytestmark = pytest.mark.full
WAIT_S = 15.0
SAID = Meaning("temperature", "63", "degree")
CLIP, OTHER_CLIP = "31-temperature.flac", "37-to-go.flac"
SECONDS = 8.0
BUSY = 2.0
"""A machine that does other things meanwhile: the figures themselves are the benchmark's."""


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
def virtual(lacking: Callable[[str], None]) -> None:
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

    def make(cut: Callable[[], None] = lambda: None, first: str = "listening", name: str = "") -> Made:
        told: queue.Queue[str] = queue.Queue()
        processes: list[MicrophoneProcess] = []

        def opening() -> MicrophoneProcess:
            processes.append(MicrophoneProcess(name))
            return processes[-1]

        ear = LiveEar(
            Silent(),
            SteadyMicrophone(opening, other=MicrophoneProcess if name else None),
            lambda: Listener(Recogniser(graph, grammar()), cut),
            lambda one, _: Heard(one.meaning or NoMatch(one.reason, one.words), one.words),
            told.put,
        )
        made.append(ear)
        assert told.get(timeout=WAIT_S).startswith(first)
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


def understood(heard: Heard | None) -> None:
    """It is what was said."""
    assert heard is not None
    assert isinstance(heard.meaning, Meaning), heard
    assert (heard.meaning.kind, heard.meaning.value, heard.meaning.unit) == (SAID.kind, SAID.value, SAID.unit)


def test_a_sentence_into_the_microphone_is_understood(live: Callable[..., Made], clip: Path) -> None:
    """Through the sound server, PortAudio, the microphone's process and the recogniser."""
    cuts: list[str] = []
    ear, _, _ = live(cut=lambda: cuts.append("cut"))
    say(clip)

    understood(answer(ear))
    assert cuts == ["cut"]


class Late(Microphone):
    """A microphone whose process does not get its turn for a while, as on a busy computer."""

    blocks = 0

    def _take(self, indata: object, frames: int, times: object, status: object) -> None:
        super()._take(indata, frames, times, status)
        self.blocks += 1
        if self.blocks == 80:
            time.sleep(DEPTH_S - 0.1)


def test_sound_waits_for_a_process_that_does_not_get_its_turn() -> None:
    """None of it is lost, and each block still tells when it was captured."""
    ear, pace, lost = Late(), Pace(), 0
    while ear.blocks < 160:
        block = ear.read(1.0)
        assert block is not None
        lost += block.lost + (pace.take(block) if ear.blocks > 40 else 0)
    ear.close()

    assert lost == 0


def test_a_conversation_over_the_card(tmp_path: Path) -> None:
    """The program itself for a minute: answered and cut short in time; deaf to its own voice at 0 dB; back
    from killed processes, stalls, other devices and cables that are pulled. Nothing is lost, and no reading
    is taken whose middle was.
    """
    figures = command.measured(tmp_path, SECONDS, seed=3)

    assert command.good(figures), figures
    talk, own = figures["talk"], figures["own voice at 0 dB"]
    assert isinstance(talk, dict)
    assert isinstance(own, dict)
    assert talk["unanswered"] == 0, figures
    assert own["answered"] == own["said"] > 0, figures
    asked = {
        "end of speech -> first sample, without the card": 220,
        "onset -> silence, without the card": 100,
    }
    for name, most in asked.items():
        assert talk[name]["median_ms"] < BUSY * most, figures


def test_a_microphone_that_gives_its_sound_in_parts_is_noticed_and_opened_again(
    live: Callable[..., Made], clip: Path
) -> None:
    """Its process stands still for four tenths of each second: nothing reports that, but sound is missing.

    What is said meanwhile is refused, never taken with a piece missing.
    """
    ear, told, processes = live()
    speaking = threading.Thread(target=say, args=(clip,))
    speaking.start()
    until, lost = time.monotonic() + WAIT_S, ""
    while not lost and time.monotonic() < until:
        os.kill(processes[0].pid, signal.SIGSTOP)
        time.sleep(0.4)
        os.kill(processes[0].pid, signal.SIGCONT)
        time.sleep(0.6)
        lost = "" if told.empty() else told.get()
    speaking.join()

    assert TOO_LITTLE in lost
    assert "listening" in told.get(timeout=WAIT_S)
    while (heard := answer(ear, 0.5)) is not None:
        assert isinstance(heard.meaning, NoMatch), heard
    assert len(processes) == 2
    say(clip)
    understood(answer(ear))


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[card.Bench]:
    """Where other microphones than the computer's own are plugged in, as devices of their own names."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("PIPEWIRE_ALSA", "{ node.dont-reconnect = true }")  # a lost device is not replaced
    with card.Bench(tmp_path / ".asoundrc") as devices:
        yield devices


OPENED = "from assistant.hearing.microphone import Microphone as M; print(M('{}').rate)"


@pytest.mark.parametrize(("rate", "channels"), [(8_000, 1), (44_100, 4)])
def test_a_device_that_knows_its_own_rate_alone_is_heard(
    live: Callable[..., Made], clip: Path, bench: card.Bench, rate: int, channels: int
) -> None:
    """A wireless headset of 8 kHz; a card of four channels that knows 44.1 kHz alone and refuses 16 kHz."""
    bench.plug("other", rate, channels)
    ear, _, _ = live(name="other")
    say(clip, "other")
    understood(answer(ear))
    ear.close()

    program = [sys.executable, "-c", OPENED.format("other")]
    opened = subprocess.run(program, capture_output=True, text=True, check=True)
    assert opened.stdout.split() == [str(rate)]


def test_a_microphone_is_chosen_by_name_and_gone_back_to(
    live: Callable[..., Made], clip: Path, bench: card.Bench
) -> None:
    """By a part of its name and its sound system; another one listens while it is away; the choice stays."""
    bench.plug("headset")
    bench.plug("wall")
    asked = {named: MicrophoneProcess(named) for named in ("WALL, alsa", "wall, oss", "ceiling")}
    found = [named for named, one in asked.items() if isinstance(one.next(WAIT_S), Block)]
    for process in asked.values():
        process.close()
    assert found == ["WALL, alsa"]
    ear, told, _ = live(name="headset")
    other = threading.Thread(target=say, args=(data_folder("recordings") / OTHER_CLIP,))
    other.start()  # into the computer's own microphone, at the same time
    say(clip, "headset")
    understood(answer(ear))
    other.join()

    bench.pull("headset")
    assert "microphone lost" in told.get(timeout=WAIT_S)
    assert "another microphone listens" in told.get(timeout=WAIT_S)
    say(clip)
    understood(answer(ear))

    bench.plug("headset")
    assert "you chose is there again" in told.get(timeout=WAIT_S)
    say(clip, "headset")
    understood(answer(ear))


def test_without_a_microphone_it_starts_and_listens_when_one_appears(
    live: Callable[..., Made], clip: Path
) -> None:
    """Nothing to record from at the start; then one is plugged in."""
    card.unplug("mic")
    card.unplug("speaker")
    try:
        until = time.monotonic() + WAIT_S
        while card.pactl("list", "short", "sources") and time.monotonic() < until:
            time.sleep(0.05)
        ear, told, _ = live(first="no microphone")
    finally:
        card.plug("mic")
        card.plug("speaker")
        card.use()
    assert "listening" in told.get(timeout=WAIT_S)
    for _ in range(3):  # the sound server may still be joining it with the program
        say(clip)
        heard = answer(ear)
        if heard is not None:
            break
    assert heard is not None
    assert isinstance(heard.meaning, Meaning), heard
