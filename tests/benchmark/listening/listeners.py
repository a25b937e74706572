"""The two recognisers that listen, each with its own free vocabulary, and the errors they make."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Protocol

WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")


class Listener(Protocol):
    """One recogniser without a grammar."""

    name: str

    def heard(self, pcm: bytes) -> list[str]:
        """Return the words it hears in 16 kHz mono int16 sound."""

    def knows(self, word: str) -> bool:
        """Return whether the word is in its vocabulary: one that is not can never be heard."""


class Vosk:
    """The recogniser of the program, with the free word graph its model comes with."""

    name = "vosk"

    def __init__(self, folder: Path) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self._model = vosk.Model(str(folder))
        self._make: Any = vosk.KaldiRecognizer

    def heard(self, pcm: bytes) -> list[str]:
        """Decode one sentence."""
        recogniser = self._make(self._model, 16_000)
        recogniser.AcceptWaveform(pcm)
        return words(json.loads(recogniser.FinalResult())["text"])

    def knows(self, word: str) -> bool:
        """Ask the model."""
        return int(self._model.vosk_model_find_word(word)) >= 0


class Pocketsphinx:
    """Another maker's recogniser, with the model of general English in its package, in one quick pass."""

    name = "pocketsphinx"

    def __init__(self) -> None:
        from pocketsphinx import Decoder

        self._decoder: Any = Decoder(
            samprate=16_000, loglevel="FATAL", fwdflat=False, bestpath=False, maxhmmpf=3000, maxwpf=5, ds=2
        )

    def heard(self, pcm: bytes) -> list[str]:
        """Decode one sentence."""
        self._decoder.start_utt()
        self._decoder.process_raw(pcm, no_search=False, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return words(found.hypstr if found is not None else "")

    def knows(self, word: str) -> bool:
        """Ask the dictionary."""
        return self._decoder.lookup_word(word) is not None


def words(text: str) -> list[str]:
    """Return the words of a text, lower case, without anything between them."""
    return WORD.findall(text.lower())


def errors(said: list[str], heard: list[str]) -> int:
    """Return how many words were replaced, left out or put in: the least number of changes."""
    row = list(range(len(heard) + 1))
    for place, word in enumerate(said, start=1):
        before, row[0] = row[0], place
        for at, other in enumerate(heard, start=1):
            before, row[at] = row[at], min(row[at] + 1, row[at - 1] + 1, before + (word != other))
    return row[-1]
