"""The recognisers that hear the same sound: ours, vosk as it comes, pocketsphinx 5."""

from __future__ import annotations

import json
import math
import random
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from assistant.grammar.graph import UNKNOWN
from assistant.hearing.endpointer import FRAME, PRE_ROLL
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import find_model
from assistant.hearing.recogniser import LEAD, Recogniser, open_model
from assistant.hearing.segment import Segment
from assistant.hearing.sound import RATE, Samples
from assistant.hearing.utterance import Utterance
from assistant.shelf.places import cache_folder
from tests.benchmark.hearing.awaited import awaited
from tests.benchmark.hearing.commands import english, twin_file
from tests.benchmark.hearing.speakers import WORK

BLOCK = FRAME
"""Samples fed at once to every contestant: 32 ms."""


@dataclass
class Row:
    """What a contestant made of one clip, before any decision: plain values, kept as a line of JSON."""

    utterances: list[dict[str, Any]] = field(default_factory=list)
    """Each: start, decided (s), amends, talk, alternatives [[words, score]], conditions; of ours also
    computing: processor time (s) spent on the block of sound it was decided on, other decodings included."""
    seconds: float = 0.0
    cpu: float = 0.0
    whole: dict[str, Any] | None = None
    """The same for all of the sound decoded at once, without any early decision."""


class Ours:
    """The ear of this project."""

    name = "ours"

    def __init__(self) -> None:
        grammar = english()
        folder = prepared_folder(grammar.acceptor, find_model(None, cache_folder()), cache_folder())
        self._model = open_model(folder)
        self._ear = Recogniser(folder, grammar, model=self._model)

    def hear(self, samples: Samples, kind: str, whole: bool = False) -> Row:
        """Hear one clip, or a stretch of talk, as a stream of its own."""
        ear, pcm = self._ear, samples.astype("<i2").tobytes()
        ear.expectation = awaited(kind)
        before = time.process_time()
        found: list[tuple[Utterance, float]] = []
        for at in range(0, len(pcm), 2 * BLOCK):
            began = time.process_time()
            found += [(one, time.process_time() - began) for one in ear.feed(pcm[at : at + 2 * BLOCK])]
        began = time.process_time()
        found += [(one, time.process_time() - began) for one in ear.finish()]
        row = Row([_told(one, computing) for one, computing in found], len(samples) / RATE)
        row.cpu = time.process_time() - before
        if whole and len(found) == 1:
            row.whole = self._whole(samples, found[0][0])
        return row

    def _whole(self, samples: Samples, utterance: Utterance) -> dict[str, Any] | None:
        start = max(0, round(utterance.start * RATE) - PRE_ROLL) // FRAME * FRAME
        lead = np.zeros(LEAD, dtype=np.int16)
        segment = Segment(self._model, lead, [samples[start : start + FRAME]], utterance.noise_db)
        for at in range(start + FRAME, len(samples) - FRAME, FRAME):
            segment.add(samples[at : at + FRAME])
        alternatives = segment.result()
        sound = asdict(utterance.conditions)
        return {"alternatives": [[one.words, one.score] for one in alternatives], "conditions": sound}


def _told(utterance: Utterance, computing: float) -> dict[str, Any]:
    talk = utterance.reason == "unknown" and not utterance.share and utterance.candidate is None
    return {
        "start": utterance.start,
        "decided": utterance.decided,
        "amends": utterance.amends,
        "talk": talk and utterance.decided - utterance.start > 3.9,
        "alternatives": [[one.words, one.score] for one in utterance.alternatives],
        "conditions": asdict(utterance.conditions),
        "computing": round(computing, 4),
    }


@cache
def phrases(count: int = 3000) -> list[str]:
    """Return the sentences of the twin file and drawn ones, as a list of phrases for a stock recogniser."""
    chance = random.Random(11)
    drawn = {english().sample(chance.randrange) for _ in range(count)}
    return [*sorted({*twin_file()["heard"], *twin_file()["trap"], *drawn}), UNKNOWN]


class Stock:
    """vosk with a list of phrases, its likeliest words, its own endpoint rules, the model as it comes."""

    name = "vosk phrases"

    def __init__(self) -> None:
        self._model = open_model(find_model(None, cache_folder()))

    def hear(self, samples: Samples, kind: str, whole: bool = False) -> Row:
        """Hear one clip."""
        import vosk

        pcm, found = samples.astype("<i2").tobytes(), []
        decoder = vosk.KaldiRecognizer(self._model, RATE, json.dumps(phrases()))
        before = time.process_time()
        for at in range(0, len(pcm), 2 * BLOCK):
            if decoder.AcceptWaveform(pcm[at : at + 2 * BLOCK]):
                found.append((json.loads(decoder.Result())["text"], at // 2 + BLOCK))
        found.append((json.loads(decoder.FinalResult())["text"], len(samples)))
        return _plain(found, samples, time.process_time() - before)


class Sphinx:
    """pocketsphinx 5 with the same sentences and its own endpointer.

    Its JSGF compiler takes over a minute for the grammar file and the search over the result does not keep
    up with sound, so it gets the minimal automaton of the same sentences, in its own format.
    """

    name = "pocketsphinx"

    def __init__(self) -> None:
        import pocketsphinx

        graph, words = WORK / "sentences.fsg", WORK / "words.dict"
        WORK.mkdir(parents=True, exist_ok=True)
        graph.write_text(_fsg(), "utf-8")
        words.write_text(_dictionary(Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict"))), "utf-8")
        self._decoder = pocketsphinx.Decoder(
            samprate=RATE, lm=None, fsg=str(graph), dict=str(words), loglevel="FATAL"
        )

    def hear(self, samples: Samples, kind: str, whole: bool = False) -> Row:
        """Hear one clip."""
        import pocketsphinx

        endpointer = pocketsphinx.Endpointer()
        size = endpointer.frame_bytes
        hiss = np.random.default_rng(5).integers(-2, 3, len(samples))
        pcm = np.clip(samples.astype(np.int32) + hiss, -32_768, 32_767).astype("<i2").tobytes()
        found: list[tuple[str, int]] = []
        before, running = time.process_time(), False
        for at in range(0, len(pcm), size):
            block = pcm[at : at + size]
            speech = endpointer.process(block) if len(block) == size else endpointer.end_stream(block)
            if speech is not None:
                if not running:
                    self._decoder.start_utt()
                    running = True
                if speech:
                    self._decoder.process_raw(speech)
            if running and not endpointer.in_speech:
                found.append((self._closed(), (at + size) // 2))
                running = False
        if running:
            found.append((self._closed(), len(samples)))
        return _plain(found, samples, time.process_time() - before)

    def _closed(self) -> str:
        self._decoder.end_utt()
        best = self._decoder.hyp()
        return "" if best is None else str(best.hypstr)


def _fsg() -> str:
    acceptor = english().acceptor
    end = len(acceptor.arcs)
    lines = ["FSG_BEGIN sentences", f"N {end + 1}", f"S {acceptor.start}", f"F {end}"]
    for state in range(end):
        arcs = acceptor.following(state)
        lines += [f"T {state} {arc.target} {max(1e-6, math.exp(-arc.cost)):.6g} {arc.word}" for arc in arcs]
    lines += [f"T {state} {end} {max(1e-6, math.exp(-cost)):.6g}" for state, cost in acceptor.finals.items()]
    return "\n".join([*lines, "FSG_END", ""])


_SAID = {
    "litre": "L IY T ER", "litres": "L IY T ER Z", "ml": "EH M EH L", "mls": "EH M EH L Z",
    "nought": "N AO T",
    "secs": "S EH K S", "torqued": "T AO R K T",
}  # fmt: skip
"""Words its dictionary lacks, in its own alphabet (from memory of that alphabet)."""


def _dictionary(stock: Path) -> str:
    words = english().words
    lines = [line for line in stock.read_text("utf-8").splitlines() if line.split()[0].split("(")[0] in words]
    have = {line.split()[0] for line in lines}
    lines += [f"{word} {sounds}" for word, sounds in _SAID.items() if word in words and word not in have]
    lacking = words - have - set(_SAID)
    if lacking:
        raise ValueError(f"no pronunciation for {', '.join(sorted(lacking))}")
    return "\n".join(lines) + "\n"


def _plain(found: Sequence[tuple[str, int]], samples: Samples, cpu: float) -> Row:
    """Return likeliest words alone as a row; silence is no utterance."""
    told = [
        {
            "start": 0.0,
            "decided": end / RATE,
            "amends": False,
            "talk": False,
            "alternatives": [[words, 0.0]],
            "conditions": None,
        }
        for words, end in found
        if words
    ]
    return Row(told, len(samples) / RATE, cpu)


CONTESTANTS: dict[str, type[Ours] | type[Stock] | type[Sphinx]] = {
    each.name: each for each in (Ours, Stock, Sphinx)
}
