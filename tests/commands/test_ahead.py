"""What a job is sure to say is known before it is said, word for word."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.commands import house
from assistant.commands.ahead import fixed_replies, steps_ahead
from assistant.phrasing import phrase
from assistant.shelf.places import procedures_folder
from assistant.speaking import output
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import PrintedVoice
from assistant.speaking.sound import Sound
from tests.bench import SHEET, Bench
from tests.speaking.card import Card


def test_the_sentences_of_the_steps_are_the_ones_that_are_said_later() -> None:
    """Figures of the sheet filled in; what is behind is left out."""
    bench = Bench(sheet=procedures_folder() / "vehicles" / "example.toml")
    known = {*steps_ahead(bench.session.state, "en"), *fixed_replies("en")}
    bench.hear("plate reads hotel seven kilo two", "done", "done", "all clear", "done")
    steps = [one for one in bench.replies if one.key in ("step", "ask")]

    assert len(steps) >= 4
    assert {sentence for one in steps for sentence in phrase(one)} <= known
    assert set(steps_ahead(bench.session.state, "en")) < known


class Recorder(AloudVoice):
    """A voice that notes what it is to have ready, and prints what it says."""

    def __init__(self) -> None:
        super().__init__(VoiceProcess(), Loudspeaker(), PrintedVoice(sys.stdout))
        self.ready: list[str] = []

    def prepare(self, texts: Sequence[str]) -> None:
        """Note them."""
        self.ready += texts

    def speak(self, text: str) -> Sound:
        """Print it."""
        return self._printed.speak(text)


@pytest.mark.full
def test_however_a_job_begins_its_sentences_are_made_ready(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By command, by voice from the list, and taken up again."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))
    monkeypatch.setenv("ASSISTANT_SETTINGS", str(tmp_path / "settings.toml"))
    (tmp_path / "settings.toml").write_text('clips = "off"\nwho = "Bay"\n')
    monkeypatch.setattr(output, "library", Card)
    voices: list[Recorder] = []
    monkeypatch.setattr(house, "open_voice", lambda *_: voices.append(Recorder()) or voices[-1])

    for argv, typed in (
        (["start", "automatic-drain-refill", "--vehicle", str(SHEET), "--ear", "keyboard"], ""),
        (["--ear", "keyboard"], "quick job\none\nno\n"),
        (["resume", "--ear", "keyboard"], ""),
    ):
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        assert main(argv) == 0, capsys.readouterr().out
        assert set(fixed_replies("en")) < set(voices[-1].ready), argv
    assert len(voices) == 3
