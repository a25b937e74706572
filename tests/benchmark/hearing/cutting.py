"""Where the words of a human recording begin and end: word times of the stock model, kept in a file."""

from __future__ import annotations

import itertools
import json
from functools import cache
from typing import Any

import numpy as np
import soundfile

from assistant.hearing.model import find_model
from assistant.shelf.places import cache_folder
from tests.benchmark.hearing.clips import SPEECH
from tests.benchmark.hearing.speakers import RATE, WORK
from tests.benchmark.noises import Wave

_FILE = WORK / "word-times.json"
_NEAR = int(0.05 * RATE)
_DIGITS = "zero oh one two three four five six seven eight nine"


@cache
def _kept() -> dict[str, Any]:
    return dict(json.loads(_FILE.read_text("utf-8"))) if _FILE.is_file() else {}


@cache
def _model() -> Any:
    import vosk

    vosk.SetLogLevel(-1)
    return vosk.Model(str(find_model(None, cache_folder())))


def word_times(file: str, said: tuple[str, ...]) -> tuple[tuple[float, float], ...] | None:
    """Return (start, end) of each word in seconds; None where the recogniser does not find the words said.

    Between two words the cut lies at the quietest place near where the recogniser puts it.
    """
    kept = _kept()
    if file not in kept:
        kept[file] = _found(file, said)
        WORK.mkdir(parents=True, exist_ok=True)
        part = _FILE.with_suffix(".part")
        part.write_text(json.dumps(kept), "utf-8")
        part.replace(_FILE)
    times = kept[file]
    return None if times is None else tuple((float(a), float(b)) for a, b in times)


def _found(file: str, said: tuple[str, ...]) -> list[tuple[float, float]] | None:
    import vosk

    wave = np.asarray(soundfile.read(str(SPEECH / file), dtype="float64")[0])
    decoder = vosk.KaldiRecognizer(_model(), RATE, json.dumps([*_DIGITS.split(), "[unk]"]))
    decoder.SetWords(True)
    pcm = (0.5 * wave / max(np.abs(wave).max(), 1e-9) * 32_767).astype("<i2").tobytes()
    words: list[Any] = []
    for at in range(0, len(pcm), 8000):
        if decoder.AcceptWaveform(pcm[at : at + 8000]):
            words += json.loads(decoder.Result()).get("result", [])
    words += json.loads(decoder.FinalResult()).get("result", [])
    if tuple(word["word"] for word in words) != said:
        return None
    cuts = [max(0.0, words[0]["start"] - 0.05)]
    cuts += [_quietest(wave, (a["end"] + b["start"]) / 2) for a, b in itertools.pairwise(words)]
    cuts.append(min(len(wave) / RATE, words[-1]["end"] + 0.05))
    return list(itertools.pairwise(cuts))


def _quietest(wave: Wave, near: float) -> float:
    """Return the quietest 10 ms within 50 ms of a moment."""
    step, middle = RATE // 100, round(near * RATE)
    places = range(max(0, middle - _NEAR), min(len(wave) - step, middle + _NEAR), step // 2)
    best = min(places, key=lambda at: float(np.sum(wave[at : at + step] ** 2)), default=middle)
    return (best + step // 2) / RATE
