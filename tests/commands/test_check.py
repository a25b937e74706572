"""`assistant check`: each fault of a file of one's own is found with its line and its cure."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.commands import check_file as checking
from assistant.commands import language
from assistant.commands.language import with_own
from assistant.grammar import automaton
from assistant.grammar.meaning import Meaning
from assistant.shelf.places import procedures_folder
from tests.bench import grammar

BAD = Path(__file__).parent.parent / "data" / "bad"
TOY = Path(__file__).parent.parent / "doors" / "toy.jsgf"
HEAD = "#JSGF V1.0 UTF-8 en;\n\ngrammar mine;\n\n"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give the mechanic an empty home and compile the English grammar once for all tests."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path / "home"))
    monkeypatch.setattr(checking, "with_own", lambda *_: grammar())
    return tmp_path / "home"


@pytest.mark.parametrize("name", sorted(path.stem for path in procedures_folder().glob("*.toml")))
@pytest.mark.full
def test_the_shipped_services_are_sound(name: str) -> None:
    """No text of ours answers for the mechanic, holds a figure, or waits for what cannot be said."""
    assert checking.check_file(name) == []


@pytest.mark.parametrize("path", sorted(BAD.glob("*.toml")), ids=lambda path: path.stem)
def test_a_bad_file_is_told_line_by_line(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each line that ends with `# bad: ...` has the finding that is written there, and no other has one."""
    wanted = [
        (number, line.partition("# bad: ")[2])
        for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1)
        if "# bad: " in line
    ]

    assert main(["check", str(path), "--json"]) == 2

    table = json.loads(capsys.readouterr().out)
    found = [(one["line"], one["what"]) for one in table["files"][0]["findings"]]
    assert table["sound"] is table["files"][0]["sound"] is False
    assert wanted
    for number, words in wanted:
        assert any(line == number and words in what for line, what in found), (number, words, found)
    assert {line for line, _ in found} == {number for number, _ in wanted}


def test_a_bad_file_fails_itself_and_the_next_is_checked(capsys: pytest.CaptureFixture[str]) -> None:
    """One that is sound, one that is bad, one that is not there: a verdict for each."""
    sound = str(procedures_folder() / "vehicles" / "example.toml")

    assert main(["check", sound]) == 0
    assert main(["check", str(BAD / "vehicle-quart.toml"), "nowhere.toml", sound]) == 2

    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{sound}: sound"
    assert f"{BAD / 'vehicle-quart.toml'}, line 9: capacity: a bare quart says not which one" in lines[1]
    assert lines[2:4] == [f"{BAD / 'vehicle-quart.toml'}: 1 to mend", lines[3]]
    assert lines[4:] == ["nowhere.toml: 1 to mend", f"{sound}: sound"]


def test_a_shared_piece_is_checked_by_the_services_that_use_it(home: Path) -> None:
    """What is wrong in a piece of one's own is found in it, once, and a piece nobody uses is told."""
    shared = home / "procedures" / "shared"
    shared.mkdir(parents=True)
    ours = (procedures_folder() / "shared" / "stand-flat.toml").read_text("utf-8")
    (shared / "stand-flat.toml").write_text(ours.replace("Drive gently for", "Drive five litres for"))
    service = (procedures_folder() / "manual-gearbox.toml").read_text("utf-8")
    (home / "procedures" / "mine.toml").write_text(service.replace("manual-gearbox", "mine"), "utf-8")
    (shared / "lonely.toml").write_text("format = 2\n[takes]\n")

    found = checking.check_file(str(shared / "stand-flat.toml"))
    assert {(one.line, one.what) for one in found} == {
        (9, "stand-flat: full has the figure 'five litres'"),
        (9, "step stand-flat: full holds 'five litres', which would be acted on if it came back"),
    }
    assert [one.what for one in checking.check_file(str(shared / "lonely.toml"))] == [
        "no service uses this piece"
    ]


# ---------------------------------------------------------------- grammars


@pytest.fixture
def toy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, home: Path) -> Path:
    """Let a language of a few sentences be the shipped one; return the folder of own grammars."""
    shipped = tmp_path / "grammars"
    shipped.mkdir()
    (shipped / "toy.jsgf").write_text(TOY.read_text("utf-8"), encoding="utf-8")
    monkeypatch.setattr(language, "data_folder", lambda _: shipped)
    (home / "grammars").mkdir(parents=True)
    return home / "grammars"


GRAMMARS = [
    ("two meanings", "public <mine> = timer one minute {kind=done};", "'timer one minute' has two meanings"),
    ("a ring", "public <mine> = again <mine> {kind=done};", "<mine> is recursive"),
    ("never used", "<mine> = well {kind=done};", "<mine> is never used"),
    ("not written", "public <mine> = <nothing> {kind=done};", "<nothing> is not written anywhere"),
    ("no kind", "public <mine> = go {kind=go};", "'go' is no kind"),
    ("no number", "public <mine> = go {kind=drained};", "drained needs a number"),
    ("a bracket", "public <mine> = (go {kind=done};", "expected ')'"),
    ("a word the ear lacks", "public <mine> = snozzle {kind=done};", "does not know the word 'snozzle'"),
    ("too deep", f"public <mine> = {'(' * 3000}go{')' * 3000} {{kind=done}};", "nested too deeply"),
    (
        "too many sentences",
        "".join(f"<a{n}> = <a{n + 1}> [x] <a{n + 1}>;\n" for n in range(18))
        + "<a18> = a|b;\npublic <mine> = <a0> {kind=done};",
        "too many sentences",
    ),
]
"""What is wrong, the rule, what is said to it."""


@pytest.mark.parametrize(("rule", "what"), [one[1:] for one in GRAMMARS], ids=[one[0] for one in GRAMMARS])
def test_a_bad_grammar_is_told_and_left_out(
    toy: Path, monkeypatch: pytest.MonkeyPatch, rule: str, what: str
) -> None:
    """`check` names line and cure; a job begins with our sentences and those of the other files."""
    bad, good = toy / "toy-bad.jsgf", toy / "toy-good.jsgf"
    bad.write_text(HEAD + rule, encoding="utf-8")
    good.write_text(HEAD + "public <good> = all fine {kind=done};", encoding="utf-8")
    known = lambda words: sorted({"snozzle"} & set(words))  # noqa: E731
    monkeypatch.setattr(checking, "ear_lacks", lambda _: known)
    monkeypatch.setattr(automaton, "MOST_WORK", 5_000)

    (found,) = checking.check_file(str(bad))
    assert what in found.what
    assert found.cure
    assert found.line is None or found.line >= 5

    told: list[str] = []
    heard = with_own("toy", told.append, lacking=known)
    assert heard.parse("all fine") == Meaning("done")
    assert heard.parse("yes") == Meaning("yes")
    assert len(told) == 1
    assert what in told[0]
    assert "toy-bad.jsgf" in told[0]


def test_own_sentences_add_and_a_rule_of_the_same_name_replaces_ours(toy: Path) -> None:
    """The rest of the language stays as it is."""
    (toy / "toy-mine.jsgf").write_text(
        HEAD + "<answer> = aye {kind=yes} | nay {kind=no};\npublic <mine> = fine {kind=done};", "utf-8"
    )
    told: list[str] = []

    heard = with_own("toy", told.append)

    assert told == []
    assert checking.check_file(str(toy / "toy-mine.jsgf")) == []
    assert heard.parse("aye") == Meaning("yes")
    assert heard.parse("fine") == Meaning("done")
    assert not isinstance(heard.parse("yes"), Meaning)
    assert isinstance(heard.parse("drained two litres"), Meaning)


def test_a_grammar_is_named_so_that_it_goes_beside_ours(toy: Path) -> None:
    """A file called like a language would replace all of it."""
    (toy / "toy.jsgf").write_text(HEAD + "public <mine> = aye {kind=yes};", encoding="utf-8")

    (found,) = checking.check_file(str(toy / "toy.jsgf"))

    assert "would take the place of a whole language" in found.what


@pytest.mark.full
def test_the_words_of_the_model_are_looked_up(model: Path) -> None:
    """The list in the model's own file: common words are in it, an invented one is not."""
    assert language.ear_lacks(model)(["drained", "snozzle", "litres"]) == ["snozzle"]
    assert language.ear_lacks(Path("nowhere"))(["snozzle"]) == ()
