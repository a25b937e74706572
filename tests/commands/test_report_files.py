"""`assistant report` into files: each is there, whole, and names the job."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.journal.open import open_journal
from tests.bench import START, Bench


@pytest.fixture
def journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A journal with one job of two steps."""
    monkeypatch.setenv("ASSISTANT_SETTINGS", str(tmp_path / "none.toml"))
    place = tmp_path / "journal.sqlite"
    with open_journal(place, START) as store:
        Bench(journal=store).hear("plate reads quebec four tango eight")
    return place


def test_the_csv_and_the_schema_need_no_extra_part(
    journal: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table in a file, the schema on the screen."""
    assert main(["report", "--journal", str(journal), "--csv", str(tmp_path / "a.csv")]) == 0
    assert "Quarry Road pickup" in (tmp_path / "a.csv").read_text("utf-8-sig")
    capsys.readouterr()
    assert main(["report", "--schema"]) == 0
    assert json.loads(capsys.readouterr().out)["$schema"].endswith("2020-12/schema")


def test_a_paper_nobody_has_and_a_place_nobody_can_write_are_told(
    journal: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line each, and nothing is written."""
    asked = ["report", "--journal", str(journal)]
    assert main([*asked, "--csv", str(tmp_path / "no" / "a.csv")]) == 1
    assert main([*asked, "--html", str(tmp_path / "a.html"), "--paper", "foolscap"]) == 2
    assert "a4 or letter" in capsys.readouterr().err
    assert not (tmp_path / "a.html").exists()


@pytest.mark.full
def test_html_and_pdf_are_written(journal: Path, tmp_path: Path) -> None:
    """Both at once, from the same content."""
    pytest.importorskip("matplotlib", reason="the plots need matplotlib (extra report)")
    pytest.importorskip("fpdf", reason="a PDF needs fpdf2 (extra report)")
    page, pdf = tmp_path / "a.html", tmp_path / "a.pdf"
    asked = ["report", "--journal", str(journal), "--paper", "letter"]

    assert main([*asked, "--html", str(page), "--pdf", str(pdf)]) == 0
    assert page.read_text("utf-8").rstrip().endswith("</html>")
    assert pdf.read_bytes().startswith(b"%PDF-")
