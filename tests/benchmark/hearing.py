"""How well the ear hears the sentences of the card: taken, asked, silently wrong, and how soon.

    python -m tests.benchmark.hearing [--count 120] [--seed 1] [--noise engine] [--snr 10] [--json FILE]

Voices: espeak-ng with variants, as in the tests; none of the recorded job's. Numbers are drawn anew for
each sentence, digit by digit or with one decimal, never -teen or -ty (those are asked about in a job).
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from assistant.commands.language import grammar_of
from assistant.grammar import Grammar, Meaning, phrases
from assistant.grammar.judgement import Expectation
from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.model import find_model
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, Samples, within_scale
from assistant.shelf.places import cache_folder, data_folder
from tests.benchmark.noises import active_rms, clanks, compressor, engine
from tests.hearing.synthetic import at_peak, in_room, said

VOICES = (
    "en", "en-us", "en-gb-scotland", "en-gb-x-rp", "en+f2", "en-us+f3", "en-us+m3", "en+f4", "en-029",
    "en-gb-x-gbclan+m2",
)  # fmt: skip
NOISES = {"engine": engine, "compressor": compressor, "impact": clanks}
DIGITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
LEAD = 0.6
_DIGIT_WORD = re.compile(r"\b(" + "|".join(DIGITS) + r")\b")


@dataclass
class Tally:
    """What became of the sentences of one sort."""

    outcomes: Counter[str] = field(default_factory=Counter)
    delays: list[float] = field(default_factory=list)

    def row(self, name: str) -> dict[str, object]:
        """Return shares in percent, and the delay after the last word in seconds."""
        count = sum(self.outcomes.values())
        shares = {
            key: round(100 * self.outcomes[key] / max(count, 1), 1) for key in ("taken", "asked", "wrong")
        }
        late = sorted(self.delays)
        delay = {"p50": late[len(late) // 2], "p95": late[int(len(late) * 0.95)]} if late else {}
        bound = round(100 * at_most(self.outcomes["wrong"]) / max(count, 1), 1)
        return {
            "sort": name,
            "n": count,
            **shares,
            "wrong_below": bound,
            **{k: round(v, 3) for k, v in delay.items()},
        }


def at_most(seen: int) -> float:
    """Return the upper 95 % bound of what was expected where `seen` were counted (Poisson; 0 gives 3.0)."""
    low, high = 0.0, 10.0 + 3.0 * seen
    for _ in range(50):
        middle = (low + high) / 2
        fewer = sum(math.exp(-middle) * middle**k / math.factorial(k) for k in range(seen + 1))
        low, high = (middle, high) if fewer > 0.05 else (low, middle)
    return high


def sentences(grammar: Grammar, count: int, chance: random.Random) -> list[tuple[str, str]]:
    """Return (sort, sentence) drawn from the card, digits replaced by others."""
    card = [sentence for several in phrases(grammar).values() for sentence in several]
    drawn: list[tuple[str, str]] = []
    while len(drawn) < count:
        sentence = _DIGIT_WORD.sub(lambda _: chance.choice(DIGITS), chance.choice(card))
        meaning = grammar.parse(sentence)
        if isinstance(meaning, Meaning):
            one_word = len(sentence.split()) == 1
            drawn.append(("reading" if meaning.value else "one word" if one_word else "command", sentence))
    return drawn


def stream(speech: Samples, noise: str | None, snr_db: float, seed: int) -> Samples:
    """Return the speech in a quiet room, or in noise at `snr_db` against its active parts."""
    speech = at_peak(speech, -14.0)
    quiet = in_room(speech, lead=LEAD)
    if noise is None:
        return quiet
    wave = NOISES[noise](len(quiet), RATE, np.random.default_rng(seed))
    wave = wave / np.sqrt(np.mean(wave**2)) * active_rms(speech.astype(np.float64)) / 10 ** (snr_db / 20)
    return within_scale((quiet + wave).astype(np.float32))


def run(count: int, seed: int, noise: str | None, snr_db: float) -> dict[str, object]:
    """Hear `count` sentences and return the table."""
    grammar = grammar_of("en", data_folder("grammars"))
    folder = prepared_folder(grammar.acceptor, find_model(None, cache_folder()), cache_folder())
    ear = Recogniser(folder, grammar)
    chance = random.Random(seed)
    tallies: dict[str, Tally] = {}
    wrongs: list[dict[str, object]] = []
    seconds, before = 0.0, time.process_time()
    for number, (sort, sentence) in enumerate(sentences(grammar, count, chance)):
        wanted = grammar.parse(sentence)
        assert isinstance(wanted, Meaning)
        voice = chance.choice(VOICES)
        speech = said(sentence, voice, chance.choice((130, 150, 170)), chance.choice((30, 50, 70)))
        sound = stream(speech, noise, snr_db, number)
        seconds += len(sound) / RATE
        ear.expectation = Expectation(awaiting=(wanted.kind,))
        sure = [
            u for u in ear.feed(sound.astype("<i2").tobytes()) + ear.finish() if u.meaning and not u.doubtful
        ]
        tally = tallies.setdefault(sort, Tally())
        outcome = "asked" if not sure else "taken" if sure[-1].meaning == wanted else "wrong"
        tally.outcomes[outcome] += 1
        if outcome == "taken":
            tally.delays.append(sure[-1].decided - LEAD - len(speech) / RATE)
        elif outcome == "wrong":
            heard = sure[-1]
            wrongs.append(
                {"said": sentence, "heard": heard.words, "share": round(heard.share, 3), "voice": voice}
            )
    return {
        "noise": noise or "quiet", "snr_db": snr_db if noise else None, "seed": seed,
        "rows": [tally.row(sort) for sort, tally in sorted(tallies.items())],
        "wrong": wrongs,
        "core_share": round((time.process_time() - before) / seconds, 3),
    }  # fmt: skip


def main() -> int:
    """Run it from the command line."""
    parser = argparse.ArgumentParser(description="How well the ear hears.")
    parser.add_argument("--count", type=int, default=120)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--noise", choices=sorted(NOISES))
    parser.add_argument("--snr", type=float, default=10.0)
    parser.add_argument("--json", type=Path)
    arguments = parser.parse_args()
    table = run(arguments.count, arguments.seed, arguments.noise, arguments.snr)
    for line in (*table["rows"], *table["wrong"]):  # type: ignore[misc]
        sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.write(f"{table['noise']}, {table['core_share']} of a core\n")
    if arguments.json:
        arguments.json.write_text(json.dumps(table, indent=1) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
