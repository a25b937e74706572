"""Folders: what is shipped is found, what is the user's can be moved, nothing crashes without a home."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.errors import MissingPart, WrongInput
from assistant.shelf import places

SHOW = "from assistant.shelf.places import all_places\nprint(sorted(all_places()))"


def test_a_checkout_gives_its_top_level_folder() -> None:
    """Without packaged data the grammars are those beside the package."""
    assert places.data_folder("grammars") == places.PACKAGE.parent / "grammars"


def test_packaged_data_goes_before_the_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An installed program uses what is inside it even if a folder of that name lies beside it."""
    (tmp_path / "assistant" / "_data" / "grammars").mkdir(parents=True)
    (tmp_path / "grammars").mkdir()
    monkeypatch.setattr(places, "PACKAGE", tmp_path / "assistant")

    assert places.data_folder("grammars") == tmp_path / "assistant" / "_data" / "grammars"


def test_missing_data_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither folder: one sentence with the place and the cure; the list of places still comes."""
    monkeypatch.setattr(places, "PACKAGE", tmp_path / "assistant")

    with pytest.raises(MissingPart, match="install the program again"):
        places.data_folder("recordings")
    assert places.all_places()["recordings"] == tmp_path / "assistant" / "_data" / "recordings"


def test_an_unknown_name_is_refused() -> None:
    """A path trick in a data name never leaves the shipped folders."""
    with pytest.raises(WrongInput, match="no shipped data"):
        places.data_folder("../..")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("variable", "place"),
    [("ASSISTANT_CACHE", "cache"), ("ASSISTANT_RECORDS", "records"), ("ASSISTANT_SETTINGS", "settings")],
)
def test_each_user_place_can_be_moved(
    variable: str, place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An environment variable moves the place; an empty one counts as not set."""
    monkeypatch.setenv(variable, str(tmp_path / "elsewhere"))
    assert places.all_places()[place] == tmp_path / "elsewhere"

    monkeypatch.setenv(variable, " ")
    assert places.all_places()[place] != tmp_path / "elsewhere"
    assert places.all_places()[place].is_absolute()


def test_the_journal_and_the_clips_follow_the_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One variable moves all that must not be lost."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))

    assert places.journal_file().parent == places.clips_folder().parent == tmp_path


@pytest.mark.parametrize("home", ["", "/nonexistent/home", None])
def test_a_home_that_is_no_use_does_not_stop_the_program(home: str | None, tmp_path: Path) -> None:
    """Import and listing work with HOME empty, absent from the disk or unset, and create nothing."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("XDG_", "HOME"))}
    if home is not None:
        kept["HOME"] = home
    kept["PYTHONPATH"] = str(places.PACKAGE.parent)

    done = subprocess.run(
        [sys.executable, "-c", SHOW], env=kept, cwd=tmp_path, capture_output=True, text=True
    )

    assert (done.returncode, done.stderr) == (0, "")
    assert "journal" in done.stdout
    assert list(tmp_path.iterdir()) == []
