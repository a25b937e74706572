"""Procedures and pieces that are small and ask for much, or are not as they must be: refused in a moment."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import BadFile
from assistant.job.procedure import procedure_from_data
from assistant.shelf.procedure_check import findings
from assistant.shelf.procedure_file import load_procedure, procedure_path, read_procedure
from assistant.shelf.procedure_places import Places
from assistant.shelf.procedure_schema import MOST_FINDINGS
from assistant.shelf.procedure_words import Known


def test_of_a_file_full_of_faults_some_are_told_and_looked_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is looked up in the text, which of thousands would take minutes."""
    looked: list[tuple[str, ...]] = []
    real = Places.find

    def counted(self: Places, *needles: str) -> tuple[str, int | None]:
        looked.append(needles)
        return real(self, *needles)

    monkeypatch.setattr(Places, "find", counted)
    file = tmp_path / "full.toml"
    file.write_text("".join(f"[t{number}]\n" for number in range(6000)), encoding="utf-8")

    with pytest.raises(BadFile, match=r"line 1: procedure: 't0' is not known; at least 49 more faults"):
        load_procedure(file)
    assert len(looked) == MOST_FINDINGS == 50


@pytest.mark.parametrize("key", ["bands", "gates", "cautions", "signals", "labels"])
@pytest.mark.parametrize("value", ["[]", "'x'", "[[1]]"])
def test_what_should_be_a_table_of_a_service_with_pieces_is_refused(
    key: str, value: str, tmp_path: Path
) -> None:
    """Pieces add to it, so that it is looked at before."""
    file = tmp_path / "service.toml"
    file.write_text(f'format = 2\n{key} = {value}\n[[step]]\nuse = "make-safe"\n', encoding="utf-8")

    with pytest.raises(BadFile, match=f"{key} is no table") as caught:
        load_procedure(file)
    assert caught.value.line == 2


def test_pieces_that_would_fill_the_memory_are_refused(tmp_path: Path) -> None:
    """A small file can ask for gigabytes: a long piece over and over, or long texts in many places."""
    (tmp_path / "shared").mkdir()
    long, many = tmp_path / "shared" / "long.toml", tmp_path / "shared" / "many.toml"
    long.write_text("format = 2\n" + "# a long one\n" * 10_000, encoding="utf-8")
    step = '[[step]]\nid = "x"\nsay = "${text} ${text} ${text}"\n'
    many.write_text('format = 2\n[takes]\ntext = ""\n' + step * 3000, encoding="utf-8")
    service, text = tmp_path / "service.toml", "go.\n" * 600

    service.write_text("format = 2\n" + '[[step]]\nuse = "long"\n' * 1000, encoding="utf-8")
    with pytest.raises(BadFile, match="use of 'long': the pieces have over 600,000 signs in all"):
        load_procedure(service)

    service.write_text(f"format = 2\n[[step]]\nuse = 'many'\nwith.text = '''\n{text}'''\n", encoding="utf-8")
    with pytest.raises(BadFile, match="'text' has over 2,000 signs"):
        load_procedure(service)

    service.write_text(f"format = 2\n[[step]]\nuse = 'many'\nwith.text = '{'g' * 100}'\n", encoding="utf-8")
    with pytest.raises(BadFile, match="use of 'many': the pieces have over 600,000 signs in all"):
        load_procedure(service)


def test_what_every_step_may_say_is_looked_through_once() -> None:
    """Sixty long exits of three hundred steps would be millions of runs of words to be looked up."""
    looked: list[str] = []

    def mean(run: str) -> bool:
        looked.append(run)
        return False

    data, places = read_procedure(procedure_path("automatic-drain-refill"))
    assert findings(data, places, Known(mean=mean)) == []

    said = procedure_from_data(data).exits[0].say.lower().replace(".", "").replace(",", "").split()
    assert looked.count(" ".join(said[:5])) == 1
