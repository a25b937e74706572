"""The ear on real sound, with the real model: synthetic speech (espeak-ng), human speech, noise, silence.

Human speech: LibriSpeech (CC BY 4.0) and AN4, from the folder beside the project; skipped where absent.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.grammar import Meaning
from assistant.grammar.judgement import Expectation
from assistant.hearing.endpointer import Pauses
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import RATE, read_sound
from assistant.hearing.utterance import Utterance
from tests.hearing.conftest import heard
from tests.hearing.small_grammar import small_grammar
from tests.hearing.synthetic import Samples, at_peak, in_room, quiet_room, said

pytestmark = pytest.mark.full


def told(utterances: list[Utterance]) -> list[tuple[str, Meaning | None, float, float, float, bool]]:
    """What must not depend on how the sound was cut."""
    return [(u.words, u.meaning, u.start, u.end, u.decided, u.amends) for u in utterances]


def values(utterances: list[Utterance]) -> list[tuple[str, str | None, str | None]]:
    return [(u.meaning.kind, u.meaning.value, u.meaning.unit) for u in utterances if u.meaning is not None]


def three_sentences() -> Samples:
    sentences = [
        said("drained four point two litres"),
        said("next step"),
        said("what a lovely day for a walk"),
    ]
    last = said("torque three five newton metres", "en-us+f3")
    return in_room(sentences[0], 1.9, sentences[1], 1.9, sentences[2], 1.9, last)


def test_sentences_in_one_stream_are_heard_in_order_each_once(small_ear: Recogniser) -> None:
    found = heard(small_ear, three_sentences())
    assert values(found) == [
        ("drained", "4.2", "litre"), ("next", None, None), ("torque", "35", "newton_metre"),
    ]  # fmt: skip
    refused = [u for u in found if u.meaning is None]
    assert [u.reason for u in refused] == ["unknown"]


@pytest.mark.parametrize("block", [1, 512, 4000, 10_000_000])
def test_the_result_does_not_depend_on_how_the_sound_is_cut(small_ear: Recogniser, block: int) -> None:
    sound = three_sentences()[: 7 * RATE] if block == 1 else three_sentences()
    expected = told(heard(small_ear, sound))
    assert expected
    assert told(heard(small_ear, sound, block)) == expected


def test_the_same_sound_gives_the_same_result_twice_and_by_another_ear(
    small_ear: Recogniser, cache: Path
) -> None:
    sound = in_room(said("drained four point two litres", "en-us"))
    first = heard(small_ear, sound)
    heard(small_ear, in_room(said("go back")))  # whatever was heard in between
    assert heard(small_ear, sound) == first


def test_times_are_those_of_the_stream(small_ear: Recogniser) -> None:
    speech = said("drained four point two litres")
    (utterance,) = heard(small_ear, in_room(speech, lead=1.0))
    assert utterance.start == pytest.approx(1.0, abs=0.1)
    assert utterance.end == pytest.approx(1.0 + len(speech) / RATE, abs=0.15)
    assert 0.0 < utterance.decided - (1.0 + len(speech) / RATE) < 0.4
    assert len(utterance.pcm) / 2 / RATE == pytest.approx(utterance.decided - utterance.start + 0.42, abs=0.1)


@pytest.mark.parametrize("words", ["three point two", "drained three point two"])
@pytest.mark.parametrize("pause", [0.1, 0.2, 0.3])
def test_a_second_decimal_is_not_cut_off(small_ear: Recogniser, words: str, pause: float) -> None:
    asked = Expectation(awaiting=("number", "drained"))
    found = heard(small_ear, in_room(said(words), pause, said("five")), expectation=asked)
    assert [value for _, value, _ in values(found)] == ["3.25"]


@pytest.mark.parametrize(
    ("first", "rest", "pause"),
    [("drained", "four point two litres", 1.0), ("torque", "three five newton metres", 0.9),
     ("drained four point", "two litres", 1.0), ("start timer", "nine minutes", 0.8)],
)  # fmt: skip
def test_thinking_inside_a_sentence_does_not_cut_it(
    small_ear: Recogniser, first: str, rest: str, pause: float
) -> None:
    found = heard(small_ear, in_room(said(first), pause, said(rest)))
    assert [u.words.replace("meters", "metres") for u in found] == [f"{first} {rest}"]
    assert len(values(found)) == 1


@pytest.mark.parametrize(
    ("first", "rest", "pause", "expected"),
    [
        ("drained five", "litres", 1.2, ("drained", "5", "litre")),
        ("drained five point five", "litres", 1.0, ("drained", "5.5", "litre")),
        ("drained five", "point two litres", 1.1, ("drained", "5.2", "litre")),
    ],
)
def test_a_late_tail_amends(
    small_ear: Recogniser, first: str, rest: str, pause: float, expected: tuple[str, str, str]
) -> None:
    found = heard(small_ear, in_room(said(first), pause, said(rest)))
    assert values(found)[-1] == expected
    assert found[-1].amends
    assert found[-1].start == found[0].start
    assert not found[0].amends


def test_too_late_a_tail_is_no_tail(small_ear: Recogniser) -> None:
    found = heard(small_ear, in_room(said("drained five"), 2.8, said("litres")))
    assert [u.amends for u in found] == [False, False]


def test_two_numbers_are_not_run_together(small_ear: Recogniser) -> None:
    found = heard(small_ear, in_room(said("drained five litres"), 0.9, said("four litres")))
    assert values(found) == [("drained", "5", "litre"), ("amount", "4", "litre")]


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.0, 3.0])
def test_slow_talkers_can_be_given_time(
    small_ear: Recogniser, model: Path, cache: Path, factor: float
) -> None:
    """A pause that is no cut for anybody, so many times as long."""
    from assistant.hearing.graph_cache import prepared_folder

    folder = prepared_folder(small_grammar().acceptor, model, cache)
    patient = Recogniser(folder, small_grammar(), pauses=Pauses(factor=factor), model=small_ear.model)
    asked = Expectation(awaiting=("number",))
    pause = 0.3 * factor
    found = heard(patient, in_room(said("three point two"), pause, said("five")), expectation=asked)
    assert [value for _, value, _ in values(found)] == ["3.25"]


@pytest.mark.parametrize("peak_db", [-1.0, -26.0, -40.0, -50.0])
def test_level_does_not_matter(small_ear: Recogniser, peak_db: float) -> None:
    speech = at_peak(said("drained four point two litres"), peak_db)
    found = heard(small_ear, in_room(speech, level_db=min(-60.0, peak_db - 30)))
    assert values(found) == [("drained", "4.2", "litre")]
    assert found[0].peak_db == pytest.approx(peak_db, abs=1.0)


@pytest.mark.parametrize(
    ("rate", "channels", "suffix", "subtype"),
    [
        (8_000, 1, "wav", "PCM_16"),
        (44_100, 2, "flac", "PCM_24"),
        (48_000, 1, "wav", "FLOAT"),
        (22_050, 1, "ogg", "VORBIS"),
    ],
)
def test_recordings_of_any_kind_are_heard_alike(
    small_ear: Recogniser, tmp_path: Path, rate: int, channels: int, suffix: str, subtype: str
) -> None:
    import soxr

    mono = soxr.resample(
        in_room(said("drained four point two litres")).astype(np.float32) / 32_768, RATE, rate
    )
    file = tmp_path / f"reading.{suffix}"
    soundfile.write(file, np.column_stack([mono] * channels), rate, subtype=subtype)
    assert values(heard(small_ear, read_sound(file))) == [("drained", "4.2", "litre")]


def white(seconds: float, level_db: float, seed: int = 3) -> Samples:
    wave = np.random.default_rng(seed).standard_normal(int(seconds * RATE))
    return np.clip(np.round(wave * 32_768 * 10 ** (level_db / 20)), -32_768, 32_767).astype(np.int16)


@pytest.mark.parametrize(
    "noise",
    [np.zeros(10 * RATE, np.int16), white(10, -20), white(10, -50), quiet_room(10, -25)],
    ids=["silence", "loud white noise", "faint white noise", "rumble"],
)
def test_silence_and_steady_noise_are_nothing(ear: Recogniser, noise: Samples) -> None:
    assert heard(ear, noise) == []


def test_babble_is_no_event(ear: Recogniser) -> None:
    talk = [
        "is there any more of the soup",
        "he said he would call them on friday",
        "the weather was fine all week",
    ]
    voices = ["en-us", "en+f2", "en-gb-scotland", "en-029", "en-us+m3", "en-gb-x-rp"]
    mixed = np.zeros(12 * RATE, np.int32)
    for number, voice in enumerate(voices):
        line = np.concatenate([said(talk[(number + k) % 3], voice) for k in range(6)])
        mixed += (
            np.roll(line[: len(mixed)], 0)[: len(mixed)]
            if len(line) >= len(mixed)
            else np.pad(line, (0, len(mixed) - len(line)))
        )
    assert values(heard(ear, at_peak(np.clip(mixed, -32_768, 32_767).astype(np.int16), -6))) == []


def test_talk_is_no_reading(ear: Recogniser, speech_folder: Path, lacking: Callable[[str], None]) -> None:
    files = sorted((speech_folder / "librispeech").rglob("*.flac"))[::13]
    if not files:
        lacking("the human speech beside the project (LibriSpeech)")
    events = [value for file in files for value in values(heard(ear, read_sound(file)))]
    assert events == []


DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
A_NUMBER = Expectation(awaiting=("number",))


def digits_heard(ear: Recogniser, file: Path) -> list[str | None]:
    """The numbers believed without a question."""
    found = heard(ear, read_sound(file), expectation=A_NUMBER)
    return [u.meaning.value for u in found if u.meaning is not None and not u.doubtful]


def test_digit_strings_of_human_speakers_are_right(
    ear: Recogniser, speech_folder: Path, lacking: Callable[[str], None]
) -> None:
    """Recordings of AN4 that hold two or three digits, as the bare answer to a question."""
    table = speech_folder / "an4" / "transcripts.tsv"
    if not table.exists():
        lacking("the human speech beside the project (AN4)")
    rows = [line.split("\t") for line in table.read_text("utf-8").splitlines()]
    shapes = [(name, words.split()) for name, _, words in rows]
    shapes = [(name, said) for name, said in shapes if len(said) in (2, 3) and {*said} <= {*DIGITS[1:]}]
    assert len(shapes) >= 5
    results = [(digits_heard(ear, speech_folder / "an4" / name), said) for name, said in shapes]
    right = sum(found == ["".join(str(DIGITS.index(word)) for word in said)] for found, said in results)
    assert right >= 0.8 * len(results)
    assert right == sum(bool(found) for found, _ in results)  # none wrong


def test_single_digits_of_a_crowd_are_mostly_right_and_rarely_wrong(
    ear: Recogniser, speech_folder: Path, lacking: Callable[[str], None]
) -> None:
    """Speech Commands (CC BY 4.0): recorded by anybody, anywhere; the words are cut tight."""
    folder = speech_folder / "speech_commands"
    if not folder.is_dir():
        lacking("the human speech beside the project (Speech Commands)")
    clips = [
        (file, digit)
        for digit, word in enumerate(DIGITS)
        for file in sorted((folder / word).glob("*.flac"))[:8]
    ]
    results = [(digits_heard(ear, file), str(digit)) for file, digit in clips]
    assert sum(found == [digit] for found, digit in results) >= 0.6 * len(clips)
    assert sum(bool(found) and found != [digit] for found, digit in results) <= 0.03 * len(clips)


def test_every_word_of_the_shipped_grammar_can_be_heard(ear: Recogniser, model: Path) -> None:
    from assistant.grammar.graph import missing_words, word_ids

    ids = word_ids((model / "graph" / "Gr.fst").read_bytes())
    assert missing_words(ear._grammar.words, ids) == []
    assert missing_words(["torx", "undertray"], ids) == ["torx", "undertray"]  # known to be absent


def test_only_its_own_thread_may_use_an_ear(small_ear: Recogniser) -> None:
    caught: list[BaseException] = []

    def intrude() -> None:
        try:
            small_ear.feed(bytes(1024))
        except RuntimeError as problem:
            caught.append(problem)

    other = threading.Thread(target=intrude)
    other.start()
    other.join()
    assert len(caught) == 1


def test_an_open_ear_costs_little_while_nobody_speaks(small_ear: Recogniser) -> None:
    """A twentieth of a core at most; processor time of this process, not the clock on the wall."""
    room = quiet_room(60).astype("<i2").tobytes()
    before = time.process_time()
    assert small_ear.feed(room) + small_ear.finish() == []
    assert time.process_time() - before < 0.05 * 60


def test_memory_does_not_grow_with_what_is_said(small_ear: Recogniser) -> None:
    """Resident memory after the first minute of commands, and after two more."""
    psutil = pytest.importorskip("psutil")
    sentences = [said("drained four point two litres"), said("next step"), said("start timer nine minutes")]
    minute = in_room(*[part for sentence in sentences * 7 for part in (sentence, 1.0)])
    heard(small_ear, minute)
    before = psutil.Process().memory_info().rss
    for _ in range(2):
        assert len(values(heard(small_ear, minute))) == 21
    assert psutil.Process().memory_info().rss - before < 5_000_000
