"""What the services say is written once: a sentence of some length stands in one place of all their files.

Words of command ("tag the wheel", "switch off at once") are short, and sound the same wherever they are said.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.commands import check_file as checking
from assistant.errors import BadFile
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import load_procedure, procedure_path
from tests.bench import grammar

SPOKEN = ("say", "full", "ask")
TABLES = ("gates", "cautions", "takes", "phrases")
COMMAND = 4
"""Words of the longest sentence that may stand in several places."""
FILES = sorted((*procedures_folder().glob("*.toml"), *(procedures_folder() / "shared").glob("*.toml")))


def spoken(value: object, inside: bool = False) -> Iterator[str]:
    """Yield every text that is spoken, as it is written."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from spoken(one, inside or key in (*SPOKEN, *TABLES, "with"))
    elif isinstance(value, list):
        for one in value:
            yield from spoken(one, inside)
    elif inside and isinstance(value, str):
        yield value


def sentences() -> Counter[str]:
    """Return every sentence of all files as they are written, with how often it stands there."""
    texts = [text for file in FILES for text in spoken(tomllib.loads(file.read_text("utf-8")))]
    return Counter(part for text in texts for part in re.split(r"(?<=[.?!])\s+", text.strip()))


def test_no_sentence_stands_twice() -> None:
    """As they are written, before a piece or a phrase is put in its place."""
    found = sentences()
    assert len(found) > 600
    assert [one for one, often in found.items() if often > 1 and len(one.split()) > COMMAND] == []


def test_every_phrase_is_said_in_several_places() -> None:
    """One that is said once belongs where it is said."""
    written = "\n".join(file.read_text("utf-8") for file in FILES)
    phrases = tomllib.loads((procedures_folder() / "shared" / "phrases.toml").read_text("utf-8"))["phrases"]
    assert len(phrases) > 50
    assert [name for name in phrases if written.count("${" + name + "}") < 2] == []


def _own(folder: Path, say: str) -> Path:
    shipped = procedure_path("coolant").read_text("utf-8").replace('name = "coolant"', 'name = "own-coolant"')
    path = folder / "own-coolant.toml"
    path.write_text(shipped.replace("Now the mixture.", say), "utf-8")
    return path


def test_a_mechanics_own_file_may_use_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence is in its place; a name nobody wrote is told with its line."""
    monkeypatch.setattr(checking, "with_own", lambda *_: grammar())
    good = _own(tmp_path, "Now the mixture. ${local-rules}")
    steps = {str(one["id"]): one for one in load_procedure(str(good))["step"]}  # type: ignore[attr-defined]
    assert steps["mix"]["say"] == "Now the mixture. Local rules say who collects it."

    changes = tmp_path / "coolant-changes.toml"
    step = '[[step]]\nid = "mix"\nsay = "${local-rules}"'
    changes.write_text(f'format = 2\nchanges = "coolant"\nname = "changed-coolant"\n{step}\n', "utf-8")
    steps = {str(one["id"]): one for one in load_procedure(str(changes))["step"]}  # type: ignore[attr-defined]
    assert steps["mix"]["say"] == "Local rules say who collects it."

    bad = _own(tmp_path, "Now the mixture. ${local-ruels}")
    with pytest.raises(BadFile, match="local-ruels"):
        load_procedure(str(bad))
    line = bad.read_text("utf-8").splitlines().index('say = "Now the mixture. ${local-ruels}"') + 1
    assert line in [one.line for one in checking.check_file(str(bad))]
