"""The recogniser's own folder: made once, checked on opening, made again when damaged."""

from __future__ import annotations

import multiprocessing
import os
import shutil
from pathlib import Path

import pytest

from assistant.errors import MissingPart, WrongInput
from assistant.grammar import compile_grammar
from assistant.hearing.graph_cache import DecoderSettings, is_sound, prepared_folder
from assistant.hearing.recogniser import Recogniser
from tests.hearing.conftest import heard
from tests.hearing.small_grammar import TEXT, small_grammar
from tests.hearing.synthetic import in_room, said

STOCK = "--min-active=200\n--lattice-beam=2.0\n--endpoint.rule2.min-trailing-silence=0.5\n"


def test_settings_replace_the_stock_ones() -> None:
    lines = DecoderSettings().model_conf(STOCK).splitlines()
    assert lines == [
        "--min-active=200",
        "--lattice-beam=8.0",
        "--endpoint.rule2.min-trailing-silence=2.0",
        "--max-mem=1000000",
        "--frames-per-chunk=9",
        "--endpoint.rule3.min-trailing-silence=2.0",
        "--endpoint.rule4.min-trailing-silence=2.0",
    ]
    assert DecoderSettings().sound_conf("--low-freq=20\n--dither=1.0\n") == "--low-freq=20\n--dither=0.0\n"


def test_a_folder_that_is_not_there_is_not_sound(tmp_path: Path) -> None:
    assert not is_sound(tmp_path / "nothing")
    assert not is_sound(tmp_path)


full = pytest.mark.full


@full
def test_made_once_and_then_used(model: Path, tmp_path: Path) -> None:
    acceptor = small_grammar().acceptor
    folder = prepared_folder(acceptor, model, tmp_path)
    assert is_sound(folder)
    before = (folder / "graph" / "Gr.fst").stat().st_mtime_ns
    assert prepared_folder(acceptor, model, tmp_path) == folder
    assert (folder / "graph" / "Gr.fst").stat().st_mtime_ns == before
    assert (folder / "graph" / "Gr.fst").stat().st_size < 500_000


@full
def test_another_grammar_or_setting_is_another_folder(model: Path, tmp_path: Path) -> None:
    acceptor = small_grammar().acceptor
    other = compile_grammar([("small.jsgf", TEXT.replace("(stand by)", "(hold on)"))]).acceptor
    folders = {
        prepared_folder(acceptor, model, tmp_path),
        prepared_folder(other, model, tmp_path),
        prepared_folder(acceptor, model, tmp_path, DecoderSettings(lattice_beam=6.0)),
    }
    assert len(folders) == 3


def truncate(file: Path) -> None:
    data = file.read_bytes()
    file.unlink()  # it may be a link to the model's own file
    file.write_bytes(data[: len(data) // 2])


@full
@pytest.mark.parametrize(
    "name", ["graph/Gr.fst", "graph/words.txt", "conf/model.conf", "graph/HCLr.fst", "contents.json"]
)
@pytest.mark.parametrize("harm", [truncate, Path.unlink], ids=["truncated", "missing"])
def test_a_damaged_folder_is_made_again(model: Path, tmp_path: Path, name: str, harm: object) -> None:
    acceptor = small_grammar().acceptor
    folder = prepared_folder(acceptor, model, tmp_path)
    assert callable(harm)
    harm(folder / name)
    assert not is_sound(folder)
    assert prepared_folder(acceptor, model, tmp_path) == folder
    assert is_sound(folder)


@full
def test_one_changed_byte_of_the_graph_is_noticed(model: Path, tmp_path: Path) -> None:
    folder = prepared_folder(small_grammar().acceptor, model, tmp_path)
    file = folder / "graph" / "Gr.fst"
    data = bytearray(file.read_bytes())
    data[-10] ^= 1
    file.write_bytes(data)
    assert not is_sound(folder)


@full
def test_a_word_the_model_lacks_is_named(model: Path, tmp_path: Path) -> None:
    lacking = compile_grammar([("small.jsgf", TEXT.replace("(stand by)", "(torx undertray)"))])
    with pytest.raises(WrongInput, match="torx, undertray"):
        prepared_folder(lacking.acceptor, model, tmp_path)
    assert [entry.name for entry in (tmp_path / "graphs").iterdir()] == [".lock"]


def make(model: Path, cache: Path) -> None:
    prepared_folder(small_grammar().acceptor, model, cache)


@full
def test_two_processes_do_not_fight_and_a_killed_one_leaves_nothing(model: Path, tmp_path: Path) -> None:
    (tmp_path / "graphs" / ".part-dead" / "graph").mkdir(parents=True)
    start = multiprocessing.get_context("spawn")
    makers = [start.Process(target=make, args=(model, tmp_path)) for _ in range(2)]
    for maker in makers:
        maker.start()
    for maker in makers:
        maker.join(60)
    assert [maker.exitcode for maker in makers] == [0, 0]
    names = [entry.name for entry in (tmp_path / "graphs").iterdir() if entry.name != ".lock"]
    assert len(names) == 1
    assert is_sound(tmp_path / "graphs" / names[0])


@full
def test_it_works_after_the_model_folder_is_gone(model: Path, tmp_path: Path) -> None:
    copy = tmp_path / "модель"
    shutil.copytree(model, copy)
    folder = prepared_folder(small_grammar().acceptor, copy, tmp_path / "cache")
    shutil.rmtree(copy)
    assert is_sound(folder)
    found = heard(Recogniser(folder, small_grammar()), in_room(said("next step")))
    assert [u.meaning.kind for u in found if u.meaning] == ["next"]


@full
def test_a_recogniser_that_cannot_open_its_folder_says_so(tmp_path: Path) -> None:
    with pytest.raises(MissingPart, match="cannot open"):
        Recogniser(tmp_path / "nothing", small_grammar())


@full
@pytest.mark.skipif(os.name != "posix", reason="file modes")
def test_a_cache_that_cannot_be_written_is_named(model: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(MissingPart, match="cannot be kept"):
        prepared_folder(small_grammar().acceptor, model, tmp_path / "file")
