"""The first ten minutes: read by synthetic voices, heard by the real ear, told how to say it better."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from assistant.__main__ import main
from assistant.commands import practise
from assistant.commands.ears import Keyboard
from assistant.commands.practise import judged
from assistant.commands.takes import LiveTakes, Take
from assistant.grammar.meaning import Meaning
from assistant.hearing.blocks import Block, Message, Trouble
from assistant.hearing.capture import SteadyMicrophone
from assistant.hearing.sound import RATE, Samples
from assistant.hearing.utterance import Utterance
from assistant.phrasing.en.enrolling import PHRASES
from assistant.phrasing.en.practising import LEVEL, SENTENCES
from assistant.shelf.profile_file import read_profile
from tests.bench import grammar
from tests.hearing.synthetic import at_peak, in_room, said

WANTED, OTHER = Meaning("drained", "4", "litre"), Meaning("drained", "5", "litre")
VOICE = "en-us+m3"


def utterance(meaning: Meaning | None, doubtful: bool = False, candidate: Meaning | None = None) -> Utterance:
    """What the ear brought."""
    words = "[unk]" if meaning is None else "drained four litres"
    return Utterance(
        words, 0.0, 1.0, 1.2, -12.0, -60.0, meaning=meaning, doubtful=doubtful, candidate=candidate
    )


@pytest.mark.parametrize(
    ("brought", "outcome", "heard"),
    [
        ([], "nothing", ""),
        ([utterance(WANTED)], "right", "drained four litres"),
        ([utterance(WANTED, doubtful=True)], "unsure", "drained four litres"),
        ([utterance(OTHER)], "other", "drained four litres"),
        ([utterance(None)], "unknown", ""),
        ([utterance(None, candidate=WANTED)], "unsure", ""),
        ([utterance(None), utterance(None)], "cut", ""),
        ([utterance(None), utterance(WANTED)], "right", "drained four litres"),
    ],
)
def test_how_a_sentence_went_is_told(brought: list[Utterance], outcome: str, heard: str) -> None:
    """By what the ear decided, not by its words."""
    assert judged(brought, WANTED) == (outcome, heard)


def test_every_sentence_of_the_practice_is_one_and_no_phrase_of_the_enrolment() -> None:
    """Five readings of a job; the line of the level means nothing."""
    assert len(SENTENCES) == 5
    assert all(isinstance(grammar().parse(one), Meaning) for one in SENTENCES)
    assert not set(SENTENCES) & set(PHRASES)
    assert not isinstance(grammar().parse(LEVEL), Meaning)


class Deciding:
    """A recogniser that is content with one block."""

    def feed(self, pcm: bytes) -> list[Utterance]:
        """Decide."""
        return [utterance(WANTED)]


class Script:
    """A microphone that brings what is written down, or has trouble for ever."""

    def __init__(self, *messages: Message, trouble: str = "") -> None:
        self.messages, self.trouble = list(messages), trouble

    def next(self, timeout_s: float) -> Message | None:
        """Return what comes next; what came before the question is taken away by it."""
        if self.trouble:
            return Trouble(self.trouble)
        return self.messages.pop(0) if self.messages and timeout_s else None

    def close(self) -> None:
        """Nothing to give back."""


def live(script: Script, typed: str | None, asked: list[Sequence[str]]) -> LiveTakes:
    """A person at a microphone, with a keyboard where a line is given."""
    keyboard = None if typed is None else Keyboard(io.StringIO(typed), grammar())
    say = lambda sentences: asked.append(sentences) or True  # noqa: E731 - a voice
    return LiveTakes(SteadyMicrophone(lambda: script), say, Deciding, keyboard)  # type: ignore[arg-type]


def test_a_take_is_what_comes_after_the_question() -> None:
    """As sound, to the block that ends it."""
    asked: list[Sequence[str]] = []
    take = live(Script(Block(b"\1\0" * 1600), Block(b"\2\0" * 1600)), None, asked).take(["Read."])

    assert asked == [["Read."]]
    assert len(take.sound) == 1600
    assert take.typed is None


def test_without_a_microphone_the_line_is_typed() -> None:
    """And waited for."""
    take = live(Script(trouble="none is there"), "drained 4 l\n", []).take(["Read."])

    assert take.typed is not None
    assert isinstance(take.typed.meaning, Meaning)
    assert (take.typed.meaning.kind, take.typed.meaning.value) == ("drained", "4")
    assert len(take.sound) == 0


def spoken(text: str, peak_db: float = -14.0, rate: int = 140) -> Samples:
    """A line read by a synthetic voice in a quiet room."""
    return in_room(at_peak(said(text, VOICE, rate), peak_db))


@pytest.mark.full
def test_the_whole_walk_by_recorded_voice(
    model: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Too quiet at first, one sentence misread, one missed: told why; the voice is kept."""
    monkeypatch.setenv("ASSISTANT_SETTINGS", str(tmp_path / "settings.toml"))
    wrong = "first can two point nine litres"
    read = [spoken(LEVEL, -52.0), spoken(LEVEL), *(spoken(one) for one in PHRASES)]
    read += [spoken(wrong), spoken(SENTENCES[0]), spoken(SENTENCES[1])]
    read += [np.zeros(2 * RATE, np.int16), *(spoken(one) for one in SENTENCES[2:])]
    files = [tmp_path / f"{number:02}.wav" for number in range(len(read))]
    for file, sound in zip(files, read, strict=True):
        soundfile.write(file, sound, RATE)

    command = ["practise", "--who", "Ada", "--voice", "print", "--model", str(model), "--ear"]
    code = main([*command, *map(str, files)])
    told = capsys.readouterr().out.splitlines()

    assert code == 0, told
    assert told[:3] == ["Three things before your first job.", *practise.words.welcome(3)[1:]]
    assert "It is too quiet." in told
    assert told.index("It is too quiet.") < told.index("The level is good.")
    assert "Your voice is kept." in told
    assert "I heard, first can two point nine litres." in told, told
    assert told[told.index("I heard, first can two point nine litres.") + 1] == "That is another one."
    assert "I heard nothing." in told
    assert told.count("That is right.") == 5
    assert told[-2:] == ["Three of five at the first try.", "You are ready for a job."]
    (profile,) = (tmp_path / "profiles").iterdir()
    assert read_profile(profile).pause_factor >= 1


def test_the_same_walk_by_keyboard(capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody there to speak: each line is typed, one of them wrongly, and answered alike."""
    lines = ["ok", SENTENCES[0], "rhubarb", SENTENCES[1], *SENTENCES[2:]]

    class Typist:
        """Types line after line."""

        def take(self, sentences: Sequence[str]) -> Take | None:
            """Say what is to be read; type the next line."""
            said(sentences)
            return Take(typed=practise_line(lines.pop(0))) if lines else None

    def said(sentences: Sequence[str]) -> bool:
        print(*sentences, sep="\n")
        return True

    practise_line = lambda line: Keyboard(io.StringIO(f"{line}\n"), grammar()).next(5.0, None)  # noqa: E731
    reader = SimpleNamespace(grammar=grammar())
    assert not practise.set_level(Typist(), said)  # type: ignore[arg-type]
    assert practise.practise(Typist(), said, reader, None) == (4, 5)  # type: ignore[arg-type]
    assert "That was none of my sentences." in capsys.readouterr().out
    with pytest.raises(practise.Silenced):
        practise.practise(Typist(), said, reader, None)  # type: ignore[arg-type]
