"""The words heard through our own voice, with the real recogniser: people saying "stop" into replies."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.hearing.break_in import BreakIn
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE
from assistant.speaking.air import Air
from assistant.speaking.client import VoiceProcess
from assistant.speaking.sound import active_level, level_db

pytestmark = pytest.mark.full
REPLIES = (
    "Drained four point two litres. Out so far, four point six litres in all.",
    "Step nine. Hand clear, the fluid is hot. Open the plug fully and let it run.",
    "Drain timer on. I report at ten minutes. What is the drip interval?",
)
ECHO_DB = -20.0


@pytest.fixture(scope="module")
def replies() -> list[np.ndarray]:
    """What the assistant says, at one level."""
    voice = VoiceProcess()
    sounds = [voice.synthesise(text).at_rate(RATE).samples() for text in REPLIES]
    voice.close()
    return [0.1 * sound / active_level(sound, RATE) for sound in sounds]


class Bench:
    """A voice whose echo comes back, and who listens through it; a reply has taught it how loud that is."""

    def __init__(self, ear: Recogniser, lesson: np.ndarray) -> None:
        self.air, self.now = Air(), 0.0
        self.watch = BreakIn(ear.model, self.air.loudest)
        self.learnt = self.broken(lesson)

    def broken(self, echo: np.ndarray, voice: np.ndarray | None = None) -> list[str]:
        """The words that were heard in a reply, somebody speaking after a second of it."""
        self.watch.reset()
        mixed = echo.copy()
        if voice is not None:
            mixed[RATE : RATE + len(voice)] += voice
        found = list[str]()
        for at in range(0, len(echo), 160):
            self.air.put(self.now, 0.01, level_db(echo[at : at + 160].astype(np.float32)))
            pcm = (np.clip(mixed[at : at + 160], -1, 1) * 32767).astype("<i2").tobytes()
            word = self.watch.feed(pcm, self.now)
            found += [word] if word is not None else []
            self.now += 0.01
        self.now += 5.0
        return found


def test_our_own_voice_alone_does_not_break_in(ear: Recogniser, replies: list[np.ndarray]) -> None:
    """Not one word of it."""
    bench = Bench(ear, replies[0])

    assert bench.learnt == []
    assert [bench.broken(reply) for reply in replies] == [[], [], []]


def test_people_who_say_stop_are_heard_through_a_faint_echo(
    ear: Recogniser, replies: list[np.ndarray], speech_folder: Path
) -> None:
    """Ten recordings of "stop" (AN4), the echo of the reply 20 dB below them: at least eight."""
    echoes = [reply * 10 ** (ECHO_DB / 20) for reply in replies]
    bench, heard = Bench(ear, echoes[0]), 0
    with (speech_folder / "an4" / "transcripts.tsv").open(encoding="utf-8") as table:
        clips = [row[0] for row in csv.reader(table, delimiter="\t") if row[-1] == "stop"]
    for number, clip in enumerate(clips):
        sound, rate = soundfile.read(speech_folder / "an4" / clip, dtype="float32")
        assert rate == RATE
        voice = 0.1 * sound / active_level(sound, RATE)
        echo = np.concatenate([echoes[number % 3], np.zeros(len(voice))])[: RATE + len(voice) + RATE // 2]
        heard += "stop" in bench.broken(echo, voice)

    assert len(clips) == 10
    assert heard >= 8
