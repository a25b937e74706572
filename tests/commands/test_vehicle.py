"""A vehicle sheet made by questions, as a mechanic would: typed here; the same questions are asked aloud."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.commands.ears import Over
from assistant.commands.sheet_keeping import keeps_figures
from assistant.commands.understanding import from_line
from assistant.commands.vehicle import asked
from assistant.dialogue.reply import Heard
from assistant.dialogue.sheet_asking import Asking, answer
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.job import events as e
from assistant.job.sheet import sheet_from_data
from assistant.job.state import State
from assistant.shelf.places import procedures_folder
from assistant.shelf.vehicle_file import load_units
from assistant.units import Measure
from tests.bench import Bench, grammar


class Lines:
    """An ear that brings lines, typed or spoken, then ends."""

    def __init__(self, *lines: str, spoken: bool = False) -> None:
        self.items = [
            Heard(grammar().parse(line), line) if spoken else from_line(line, grammar()) for line in lines
        ]

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next one."""
        return self.items.pop(0) if self.items else Over()

    def watch(self, state: Callable[[], State]) -> None:
        """Nothing changes."""


def made(folder: Path, ear: Lines) -> tuple[Path | None, list[str]]:
    """Return the file that the questions made, and what was said."""
    said: list[str] = []

    def say(sentences: Sequence[str]) -> bool:
        said.extend(sentences)
        return True

    return asked(ear, say, folder), said


TYPED = (
    "Quarry Lane truck", "manual gearbox", "2.4 l", "2.3", "1.7", "2.4", "1 qt", "american", "skip",
    "unknown",
    "42 nm", "35 foot pounds", "850 kg/m3", "20", "celsius", "step back", "21", "4 mm",
    "plate reads alpha four seven two", "honey", "gear oil GL-4", "a seventeen millimetre key",
    "18 x 24 copper", "skip", "yes", "deep case", "3.1 l", "2.9", "skip", "1 l", "done", "no",
    "yes", "rear differential", "done", "no", "no",
)  # fmt: skip


def test_a_vehicle_is_typed(tmp_path: Path) -> None:
    """Units, figures with the unit used before, a bare quart asked, one put right, a build, a second unit."""
    path, said = made(tmp_path, Lines(*TYPED))

    assert path == tmp_path / "quarry-lane-truck.toml"
    gearbox, rear = load_units(path)
    sheet = sheet_from_data(gearbox)
    assert dict(sheet.figures) == {
        "capacity": Measure("2.4", "litre"), "drain-expected": Measure("2.3", "litre"),
        "drain-least": Measure("1.7", "litre"), "drain-most": Measure("2.4", "litre"),
        "pan-holds": Measure("1", "us_quart"), "drain-plug-torque": Measure("42", "newton_metre"),
        "fill-plug-torque": Measure("35", "pound_foot"), "workshop": Measure("21", "celsius"),
        "fluid-density": Measure("850", "kilogram_per_cubic_metre"), "level-drop": Measure("4", "millimetre"),
    }  # fmt: skip
    assert sheet.texts["plate"] == "A472"
    assert sheet.fluid_colours == ("honey",)
    variants = gearbox["variants"]
    assert isinstance(variants, dict)
    assert variants["deep case"]["figures"] == {
        "capacity": ["3.1", "litre"],
        "drain-expected": ["2.9", "litre"],
    }
    assert (rear["unit"], rear["figures"]) == ("rear differential", {})
    assert "By which system of measures?" in said
    assert "Kept, four two newton metres, the torque at the drain." in said, "read back"
    assert said.count("That does not go with the rest of the sheet.") == 1, "most below expected"


def test_a_vehicle_is_told_by_voice(tmp_path: Path) -> None:
    """Spelled code, unit by number, figures, what is unsure asked anew; nothing that needs a keyboard."""
    ear = Lines(
        "plate reads quebec seven", "number five", "two point four litres", "two point three", "not known",
        "skip it", "eight litres", "not known", "one litre", "four two newton metres", "done", "no", "no",
        spoken=True,
    )  # fmt: skip
    path, said = made(tmp_path, ear)

    assert path == tmp_path / "q7.toml"
    (unit,) = load_units(path)
    assert (unit["vehicle"], unit["unit"]) == ("Q7", "manual gearbox")
    assert set(sheet_from_data(unit).figures) == {
        "capacity", "drain-expected", "pan-holds", "container", "drain-plug-torque",
    }  # fmt: skip
    assert "On the keyboard." not in said


@pytest.mark.parametrize(
    ("heard", "says"),
    [
        (Heard(Meaning("torque", "13", "newton_metre"), twin="30"), "digit by digit"),
        (Heard(Meaning("amount", "2", "litre"), sure=False), "once more"),
        (Heard(NoMatch("unknown", "what"), "what"), "nothing I asked"),
        (Heard(Meaning("torque", "20", "newton_metre")), "cannot be the whole capacity"),
    ],
)
def test_what_is_doubtful_is_not_written(heard: Heard, says: str, tmp_path: Path) -> None:
    """It is asked anew, and the file holds the names alone."""
    ear = Lines("a van", "engine")
    ear.items.append(heard)
    path, said = made(tmp_path, ear)

    assert path is not None
    assert sheet_from_data(load_units(path)[0]).figures == {}
    assert says in " ".join(said)


def test_a_range_is_not_the_one_torque_that_was_asked_for() -> None:
    """What the wrench reaches is two figures; neither belongs to the plug."""
    asking = Asking(("engine",), {}, at="items", unit="engine", todo=("drain-plug-torque",))
    heard = Heard(grammar().parse("wrench from two zero to one zero zero newton metres"))

    assert answer(asking, heard).puts == ()


def test_every_answer_is_on_disk_before_the_next_question(tmp_path: Path) -> None:
    """The questions end in the middle, as by a power cut: what was read back is there."""
    path, said = made(tmp_path, Lines("a van", "engine", "5.6 l", "4.3"))
    assert path is not None
    assert "Kept, four point three litres, the amount to expect." in said
    assert sheet_from_data(load_units(path)[0]).figure("drain-expected") == Measure("4.3", "litre")
    assert made(tmp_path, Lines("a van"))[0] is None, "a name alone makes no file"
    again, _ = made(tmp_path, Lines("a van", "engine"))
    assert again == tmp_path / "a-van-2.toml", "nothing is overwritten"


def test_a_sheet_that_cannot_be_written_is_not_read_back_as_kept(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "vehicles").write_text("")
    path, said = made(tmp_path / "vehicles", Lines("a van", "engine", "5.6 l"))
    assert path is None
    assert not any("Kept, five" in line for line in said)
    assert said.count("Not saved, write it down.") == 1


def test_figures_of_a_job_go_into_its_sheet(tmp_path: Path) -> None:
    """Asked once at the end, written with date and name; the journal alone gives the same state."""
    path = tmp_path / "bare.toml"
    path.write_text('format = 1\n[vehicle]\nname = "a van"\n[[unit]]\nname = "automatic transmission"\n')
    bench = Bench(sheet=path)
    keeps_figures(bench.session, path)
    bench.hear("initials mike kilo", "capacity nine point four litres", "in stock six litres")
    bench.hear("finish the job")
    assert bench.hear("yes") == ["sheet-offer"]
    assert bench.sentences[0] == "You gave me one figure the sheet lacks.", "the stock is of today"
    assert bench.hear("yes") == ["finished"]
    assert bench.sentences[-1] == "One figure is in the sheet now."

    sheet = sheet_from_data(load_units(path)[0])
    assert sheet.figures == {"capacity": Measure("9.4", "litre")}
    assert sheet.origins == {"capacity": "said on 2026-09-21 by MK"}
    wanted = next(one for one in bench.history if isinstance(one, e.FiguresWanted))
    assert wanted.figures == (("", "capacity"),)
    again = Bench(sheet=path)
    again.hear("finish the job")
    assert again.hear("yes") == ["finished"], "nothing was given, nothing is asked"


def test_an_example_is_never_written(tmp_path: Path) -> None:
    """It belongs to the program; the figures stay in the record, and that is said."""
    path = procedures_folder() / "vehicles" / "example.toml"
    before = path.read_bytes()
    bench = Bench(sheet=path)
    keeps_figures(bench.session, path)
    bench.hear("service every six zero thousand kilometres", "finish the job", "yes", "yes")
    assert bench.sentences[-2:] == ["The sheet cannot be written.", "The figures stay in the record."]
    assert path.read_bytes() == before


def test_show_and_copy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """By command: shown as understood, copied under another name, listed."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))
    assert main(["vehicle", "copy", "example", "Dock Road lorry"]) == 0
    assert main(["vehicle", "copy", "example", "Dock Road lorry"]) == 2
    assert main(["vehicle"]) == 0
    assert main(["vehicle", "show", "dock-road-lorry"]) == 0
    out = capsys.readouterr().out
    assert "dock-road-lorry: Dock Road lorry; automatic transmission, rear differential" in out
    assert "drain-plug-torque      29 N m" in out
    assert main(["vehicle", "show", "nowhere"]) == 2
