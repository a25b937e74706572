"""Every service to its end by voice: `python -m tests.benchmark services`.

The conversations that run a service to its end by keyboard (`tests/dialogues`) are spoken by a synthetic
voice, heard by the real ear with what the job awaits just then, and answered by the real conversation.
What was not taken is said again, slower, then in other words of the same meaning, then as a refusal
advises: the number and its unit alone. What is asked back is answered; what was taken wrong is counted,
taken back and said again. A line that cannot be brought in by voice at all is a dead end: it is counted and
typed, so that the rest is measured, too. Synthetic voices in quiet: they say nothing of people.
"""

from __future__ import annotations

import argparse
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from assistant.commands.understanding import expectation_of, from_utterance, typed_words
from assistant.grammar.meaning import Meaning
from assistant.hearing.recogniser import Recogniser
from assistant.phrasing.en.numbers import measure_words, number_words
from assistant.shelf.places import data_folder
from assistant.units import Measure
from tests.bench import Bench, begun_by, grammar
from tests.benchmark.outcome import commit, kept, write
from tests.benchmark.voices import spoken

DIALOGUES = Path(__file__).resolve().parent.parent / "dialogues"
FIRST = "whole-job"
"""The conversation of the first service."""
VOICES = ("slt", "kal16", "awb", "rms")
TRIES = ((0, 1.0), (0, 0.9), (1, 1.0), (2, 1.0), (-1, 1.0), (-2, 0.9))
"""Which wording of those that mean the same, and how fast."""
SAID = {"done": "that is done"}
"""What is said where less is typed: one short word alone is not enough for every voice."""
_NUMERAL = re.compile(r"\d+(?:\.\d+)?")
QUIET = np.zeros(8_000)
SEED = 7


@dataclass
class Told:
    """What became of one service."""

    service: str
    voice: str
    lines: int = 0
    taken: int = 0
    """Lines taken at once, as they were meant."""
    asked: int = 0
    """Lines answered by a question that a line typed would not have raised: right?"""
    again: list[str] = field(default_factory=list)
    """Lines said again at least once."""
    wrong: list[str] = field(default_factory=list)
    """Taken at once, and not what was meant."""
    advised: list[str] = field(default_factory=list)
    """Lines that came in by number and unit alone, as the refusal says; which can it was is lost."""
    dead_ends: list[str] = field(default_factory=list)
    ended: str = ""


@cache
def services() -> tuple[str, ...]:
    """Return the conversations that run a service to its end, by name."""
    return (FIRST, *sorted(path.stem for path in DIALOGUES.glob("service-*.toml") if _ends(path)))


def _ends(path: Path) -> bool:
    return any("JobFinished" in str(turn.get("events")) for turn in _script(path)["turn"])


def _script(path: Path) -> Mapping[str, Any]:
    return tomllib.loads(path.read_text("utf-8"))


def lines_of(name: str) -> tuple[str, ...]:
    """Return what is said in a conversation, as typed."""
    turns = _script(DIALOGUES / f"{name}.toml")["turn"]
    return tuple(turn["heard"] for turn in turns if "heard" in turn)


def drive(ear: Recogniser, name: str, voice: str) -> Told:
    """Drive a service to its end by a voice; return what became of it."""
    script = _script(DIALOGUES / f"{name}.toml")
    bench = begun_by(script)
    told = Told(bench.service, voice)
    for turn, following in zip(script["turn"], [*script["turn"][1:], {}], strict=True):
        if "wait" in turn:
            bench.wait(turn["wait"])
        elif "restart" in turn:
            bench.restart(boot=turn["restart"])
        else:
            told.lines += 1
            _bring_in(ear, bench, turn["heard"], told)
            if following.get("heard") not in ("yes", "no"):
                _settle(ear, bench, told)
            if "step" in turn and bench.step != turn["step"]:
                told.dead_ends.append(f"{turn['heard']}: at {bench.step}, not at {turn['step']}")
    told.ended = bench.session.state.ended
    return told


def _settle(ear: Recogniser, bench: Bench, told: Told) -> None:
    """Answer a question that stands open only because the ear was not sure."""
    question = bench.session.state.question
    if question is not None and question.name == "confirm":
        _bring_in(ear, bench, "yes", told)


@cache
def _twin() -> tuple[tuple[str, Meaning], ...]:
    """Return the sentences that are known to be understood, with what they mean."""
    path = data_folder("grammars") / "en.sentences.toml"
    groups = tomllib.loads(path.read_text("utf-8"))["heard"]
    sentences = [one for group in groups for one in group["say"]]
    meanings = [(one, grammar().parse(one)) for one in sentences]
    return tuple((one, meaning) for one, meaning in meanings if isinstance(meaning, Meaning))


@cache
def same_meaning(meant: Meaning, words: str) -> tuple[str, ...]:
    """Return other sentences of the same meaning, the number put in, the longest first."""
    found: set[str] = set()
    for sentence, meaning in _twin():
        if (meaning.kind, meaning.unit, meaning.slots) != (meant.kind, meant.unit, meant.slots):
            continue
        for way in ("digits", "plain") if meaning.value and meant.value else ():
            theirs = number_words(meaning.value or "", "digits" if way == "digits" else "plain")
            sentence = sentence.replace(theirs, number_words(meant.value or "", "digits"))
        found.add(sentence)
    others = {one for one in found if grammar().parse(one) == meant} - {words, SAID["done"]}
    return tuple(sorted(others, key=lambda one: (-len(one), one)))


def _bring_in(ear: Recogniser, bench: Bench, line: str, told: Told) -> None:
    """Say a line until it is taken as it was meant."""
    line = SAID.get(line, line)
    words = typed_words(_NUMERAL.sub(lambda found: number_words(found[0], "digits"), line))
    meant = grammar().parse(words)
    assert isinstance(meant, Meaning), words
    plain = replace(meant, slots=tuple(one for one in meant.slots if one[0] != "mark"))
    wordings = (words, *same_meaning(meant, words), *same_meaning(plain, words))
    for number, (wording, speed) in enumerate(TRIES):
        before = bench.session.state
        got = list(_heard(ear, bench, told.voice, wordings[wording % len(wordings)], speed))
        if got in ([meant], [plain]):  # which mark it is, the step knows
            told.taken += number == 0
            question = bench.session.state.question
            unsure = question is not None and question.name == "confirm" and before.question is None
            told.asked += unsure
            return
        if number == 0:
            told.again.append(words)
        if got:
            told.wrong.append(
                f"{words}: {', '.join(f'{one.kind} {one.value or dict(one.slots)}' for one in got)}"
            )
            bench.hear("disregard")
    if (
        meant.value is not None
        and meant.unit
        and _as_advised(ear, bench, Measure(meant.value, meant.unit), told)
    ):
        told.advised.append(words)
        return
    told.dead_ends.append(f"{words}: never taken")
    bench.hear(line)


def _as_advised(ear: Recogniser, bench: Bench, meant: Measure, told: Told) -> bool:
    """Say number and unit alone, as the refusal advises, and digit by digit; say whether that was taken."""
    for digits in (False, True):
        words = measure_words(meant, digits)
        for speed in (1.0, 0.9):
            got = list(_heard(ear, bench, told.voice, words, speed))
            if [(one.value, one.unit) for one in got] == [(meant.value, meant.unit)]:  # whatever its kind
                return True
            if got:
                told.wrong.append(f"{words}: {', '.join(f'{one.kind} {one.value}' for one in got)}")
                bench.hear("disregard")
    return False


def _heard(ear: Recogniser, bench: Bench, voice: str, words: str, speed: float) -> Iterator[Meaning]:
    """Speak into the running job; yield each meaning that was taken."""
    ear.expectation = expectation_of(bench.session.state)
    wave = spoken(voice, words, speed)
    sound = np.concatenate([QUIET, 0.5 * wave / np.max(np.abs(wave)), QUIET, QUIET])
    for utterance in (*ear.feed((sound * 32767).astype("<i2").tobytes()), *ear.finish()):
        heard = from_utterance(utterance, grammar(), bench.session.state, lambda _: None)
        answered = bench.hear_so(heard)
        if isinstance(heard.meaning, Meaning) and answered:
            yield heard.meaning
        elif isinstance(heard.meaning, Meaning):
            bench.hear("ear open")  # it took what was said again and again for talk, and sleeps


def main(argv: list[str]) -> int:
    """Drive every service, or some, and write what was measured; 1 where one has a dead end."""
    from assistant.commands.fetch import model_or_fetch
    from assistant.hearing.graph_cache import prepared_folder
    from assistant.shelf.places import cache_folder

    parser = argparse.ArgumentParser(prog="services")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", nargs="*", default=services(), choices=services(), metavar="NAME")
    arguments = parser.parse_args(argv)
    folder = prepared_folder(grammar().acceptor, model_or_fetch(None, cache_folder()), cache_folder())
    ear = Recogniser(folder, grammar())
    before = _before() if len(arguments.only) < len(services()) else {}
    for name in arguments.only:
        told = drive(
            ear, name, str(np.random.default_rng([arguments.seed, services().index(name)]).choice(VOICES))
        )
        print(told, flush=True)
        before[told.service] = {**asdict(told), "commit": commit()}
    found = list(before.values())
    figures = {
        "services": len(found),
        "to their end": sum(bool(one["ended"]) for one in found),
        "lines": sum(one["lines"] for one in found),
        "taken at once": sum(one["taken"] for one in found),
        "asked": sum(one["asked"] for one in found),
        "said again": sum(len(one["again"]) for one in found),
        "silently wrong": sum(len(one["wrong"]) for one in found),
        "as advised": sum(len(one.get("advised", [])) for one in found),
        "dead ends": sum(len(one["dead_ends"]) for one in found),
        "each": found,
    }
    write("services", argv, arguments.seed, figures["lines"], figures)
    return int(any(one["dead_ends"] or not one["ended"] for one in found))


def _before() -> dict[str, dict[str, Any]]:
    """Return what an earlier run measured, of which only some services are driven again."""
    result = kept("services")
    return {one["service"]: one for one in (result["figures"]["each"] if result is not None else ())}
