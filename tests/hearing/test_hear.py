"""Recognition of recordings as plain tables, and the command that prints them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from assistant.errors import BadFile, WrongInput
from assistant.grammar import Grammar, Meaning
from assistant.grammar.judgement import ANYTHING
from assistant.hearing.hear import as_table, expected, hear_files
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from tests.hearing.small_grammar import small_grammar
from tests.hearing.synthetic import Samples, in_room, said

KEYS = ["file", "words", "meaning", "confidence", "start", "end", "decided", "amends"]


def utterance(words: str, **more: object) -> Utterance:
    found = small_grammar().parse(words)
    meaning = found if isinstance(found, Meaning) else None
    whole = {"meaning": meaning, "candidate": meaning, "share": 0.98765, **more}
    return Utterance(words, 1.0, 2.0, 2.1, -9.0, -60.0, **whole)  # type: ignore[arg-type]


def test_a_table_is_plain_values_in_one_spelling() -> None:
    table = as_table("a.wav", utterance("torque three five newton meters"), small_grammar())
    assert list(table) == KEYS
    assert table["words"] == "torque three five newton metres"
    assert table["meaning"] == {"kind": "torque", "value": "35", "unit": "newton_metre"}
    assert table["confidence"] == 0.9877
    assert json.loads(json.dumps(table)) == table


def test_what_is_refused_has_no_meaning_and_a_reason() -> None:
    table = as_table("a.wav", utterance("[unk] [unk]", reason="unknown"), small_grammar())
    assert (table["words"], table["meaning"], table["reason"]) == ("", None, "unknown")


def test_a_doubtful_reading_is_not_given_as_understood() -> None:
    table = as_table("a.wav", utterance("drained five litres", doubtful=True), small_grammar())
    assert (table["meaning"], table["reason"]) == (None, "doubtful")
    assert table["candidate"]["value"] == "5"


@pytest.mark.parametrize(
    ("awaiting", "kinds"),
    [
        ("torque", {"torque", "number"}),
        ("YES", {"yes"}),
        ("can_left", {"can-left", "number"}),
        ("magnet", {"magnet"}),
    ],
)
def test_what_is_awaited(awaiting: str, kinds: set[str]) -> None:
    assert set(expected(awaiting).awaiting) == kinds


def test_any_reading_may_be_awaited_or_nothing() -> None:
    assert {"drained", "torque", "temperature", "number"} <= set(expected("reading").awaiting)
    assert expected(None) == ANYTHING
    with pytest.raises(WrongInput, match="torque"):
        expected("tork")


def written(folder: Path, name: str, samples: Samples) -> Path:
    soundfile.write(folder / name, samples, RATE)
    return folder / name


def test_a_file_that_cannot_be_read_stops_all_before_anything_is_heard(tmp_path: Path) -> None:
    good = written(tmp_path, "good.wav", in_room(said("next step")))
    with pytest.raises(BadFile, match=r"absent\.wav"):
        hear_files([good, tmp_path / "absent.wav"], small_grammar(), tmp_path, tmp_path)


@pytest.mark.full
def test_several_files_share_one_ear(model: Path, cache: Path, english: Grammar, tmp_path: Path) -> None:
    files = [
        written(tmp_path, "one.wav", in_room(said("first can four litres"), 1.8, said("step back"))),
        written(tmp_path, "two.flac", in_room(said("torque newton metres three five", "en-us+f3"))),
        written(tmp_path, "none.wav", in_room(lead=1.0)),
    ]
    tables = list(hear_files(files, english, model, cache))
    assert [(Path(t["file"]).name, t["meaning"] and t["meaning"]["kind"]) for t in tables] == [
        ("one.wav", "amount"),
        ("one.wav", "back"),
        ("two.flac", "torque"),
    ]
    assert tables[0]["meaning"]["slots"] == {"can": "1", "form": "part"}
    assert tables[2]["start"] < 1.0  # each file has its own clock
    assert all(t["start"] < t["end"] < t["decided"] for t in tables)


@pytest.mark.full
def test_a_bare_number_is_an_answer_only(model: Path, cache: Path, english: Grammar, tmp_path: Path) -> None:
    file = written(tmp_path, "number.wav", in_room(said("three five", "en-us")))
    (alone,) = hear_files([file], english, model, cache)
    (answer,) = hear_files([file], english, model, cache, awaiting="torque")
    assert (alone["words"], alone["meaning"], alone["reason"]) == ("three five", None, "not-now")
    assert answer["meaning"] == {"kind": "number", "value": "35", "unit": None}


@pytest.mark.full
def test_the_command_prints_a_json_line_for_each_utterance(model: Path, tmp_path: Path) -> None:
    file = written(
        tmp_path, "one.wav", in_room(said("drained four point two litres"), 1.5, said("next step"))
    )
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "hear", str(file), "--json", "--model", str(model)],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    lines = [json.loads(line) for line in ran.stdout.splitlines()]
    assert [line["words"] for line in lines] == ["drained four point two litres", "next step"]
    assert lines[0]["meaning"] == {
        "kind": "drained", "value": "4.2", "unit": "litre", "slots": {"form": "bare"},
    }  # fmt: skip
    assert ran.stderr == ""


@pytest.mark.full
@pytest.mark.parametrize("arguments", [["absent.wav"], ["pyproject.toml"], []])
def test_the_command_refuses_what_is_no_recording_in_one_line(arguments: list[str], tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "hear", *arguments],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert len(ran.stderr.strip().splitlines()) == 1
