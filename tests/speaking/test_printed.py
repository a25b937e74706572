"""Voices without a loudspeaker."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.errors import BadFile, MissingPart
from assistant.speaking.earcons import earcon
from assistant.speaking.printed import FileVoice, PrintedVoice
from assistant.speaking.sound import Sound, from_samples


class ToneVoice(PrintedVoice):
    """A fake engine: a tone for each letter; none for an empty text."""

    def synthesise(self, text: str) -> Sound:
        """Return 50 ms of tone a letter."""
        if not text:
            raise MissingPart("no engine")
        return from_samples(0.3 * np.sin(0.2 * np.arange(800 * len(text))), 16_000)


def test_each_phrase_is_one_line() -> None:
    """At once, marked as told."""
    stream = io.StringIO()
    voice = PrintedVoice(stream, "assistant  ")

    voice.speak("Ten minutes.")
    voice.speak("What is the drip interval?")

    assert stream.getvalue() == "assistant  Ten minutes.\nassistant  What is the drip interval?\n"


def test_the_file_holds_every_phrase_in_order(tmp_path: Path) -> None:
    """It can be read after each phrase, also if nobody ever closes it."""
    path = tmp_path / "said.wav"
    voice = FileVoice(path, ToneVoice(io.StringIO()))

    voice.speak("four")
    after_one = soundfile.info(str(path)).duration
    voice.speak("litres out")
    after_two = soundfile.info(str(path)).duration
    voice.close()

    assert after_one == pytest.approx(0.2 + 0.4, abs=0.01)
    assert after_two == pytest.approx(after_one + 0.5 + 0.4, abs=0.01)


def test_a_phrase_without_a_voice_leaves_a_tone(tmp_path: Path) -> None:
    """The job goes on, and the file tells that something was to be said."""
    voice = FileVoice(tmp_path / "said.wav", ToneVoice(io.StringIO()))

    assert voice.speak("") == earcon("trouble", 22_050)


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """With its name and what to do."""
    with pytest.raises(BadFile, match=r"nowhere.*\.wav"):
        FileVoice(tmp_path / "nowhere" / "said.wav", ToneVoice(io.StringIO()))
