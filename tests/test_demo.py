"""The recorded job: real recognition, a real kill, the journal alone; and clips that are not their own."""

from __future__ import annotations

import csv
import hashlib
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from assistant.commands.recorded_job import Script, differences, facts_of, read_script, spoken_ms
from assistant.commands.understanding import from_line
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import fold
from assistant.journal.open import read_journal
from assistant.shelf.places import data_folder
from assistant.shelf.vehicle_file import load_vehicle
from assistant.timekeeping.clock import RecordedClock
from tests.bench import Bench, grammar

HEARD_AS = {"18-drip": "a drop every fourteen seconds", "14-colleague": ""}
"""What the ear makes of two clips: one is misheard, one is not for the assistant."""


@dataclass(frozen=True)
class Run:
    """One run of the demo."""

    code: int
    out: str
    err: str
    journal: Path

    @property
    def history(self) -> list[e.Event]:
        """The events of its journal."""
        with read_journal(self.journal) as journal:
            return journal.read(journal.jobs()[-1].id)


def _begin(folder: Path, journal: Path) -> subprocess.Popen[str]:
    command = [
        sys.executable,
        "-m",
        "assistant",
        "demo",
        "--recordings",
        str(folder),
        "--journal",
        str(journal),
    ]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")


def _end(process: subprocess.Popen[str], journal: Path) -> Run:
    out, err = process.communicate(timeout=240)
    return Run(process.returncode, out, err, journal)


def _swapped(folder: Path) -> Path:
    """Return a copy in which two clips have changed places and the manifest agrees with it."""
    shutil.copytree(data_folder("recordings"), folder)
    first, second = folder / "25-second-can.flac", folder / "26-another.flac"
    one, other = first.read_bytes(), second.read_bytes()
    first.write_bytes(other)
    second.write_bytes(one)
    manifest = folder / "manifest.csv"
    with manifest.open(newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["sha256"] = hashlib.sha256((folder / row["file"]).read_bytes()).hexdigest()
    with manifest.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return folder


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> list[Run]:
    """Run the demo twice, and once with two clips swapped, at the same time."""
    place = tmp_path_factory.mktemp("demo")
    folders = [data_folder("recordings"), data_folder("recordings"), _swapped(place / "swapped")]
    journals = [place / f"run-{number}.sqlite" for number in range(3)]
    started = [_begin(folder, journal) for folder, journal in zip(folders, journals, strict=True)]
    return [_end(process, journal) for process, journal in zip(started, journals, strict=True)]


@pytest.mark.full
def test_the_record_is_what_was_said(runs: list[Run]) -> None:
    script = read_script(data_folder("recordings"))
    for run in runs[:2]:
        assert (run.code, run.err) == (0, "")
        assert differences(script, run.history) == []
        assert fold(run.history).ended == "complete"
        assert "power cut" in run.out


@pytest.mark.full
def test_two_runs_give_the_same_record(runs: list[Run]) -> None:
    first, second = (_plain(run.history) for run in runs[:2])
    assert first == second


@pytest.mark.full
def test_swapped_clips_fail(runs: list[Run]) -> None:
    assert runs[2].code == 1
    assert "not what the recording says" in runs[2].err


@pytest.mark.full
def test_by_keyboard_the_same_job_gives_the_same_record(runs: list[Run]) -> None:
    script = read_script(data_folder("recordings"))
    assert facts_of(_by_keyboard(script), script.start_ms)[1:] != []
    typed = [fact for fact in facts_of(_by_keyboard(script), script.start_ms) if "event" not in fact]
    heard = [fact for fact in facts_of(runs[0].history, script.start_ms) if "event" not in fact]
    for one in (*typed, *heard):
        one.pop("due", None)  # a sentence is understood a little after it begins: sooner by keyboard
    assert typed == heard


def test_a_missing_clip_is_told_before_anything_runs(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    shutil.copytree(data_folder("recordings"), folder)
    (folder / "24-first-can.flac").unlink()
    run = _end(_begin(folder, tmp_path / "journal.sqlite"), tmp_path / "journal.sqlite")
    assert run.code == 2
    assert "24-first-can.flac" in run.err
    assert run.err.count("\n") == 1


def test_a_changed_clip_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    shutil.copytree(data_folder("recordings"), folder)
    shutil.copy(folder / "23-yes.flac", folder / "24-first-can.flac")
    run = _end(_begin(folder, tmp_path / "journal.sqlite"), tmp_path / "journal.sqlite")
    assert run.code == 2
    assert "not the one of the manifest" in run.err


def _plain(history: Sequence[e.Event]) -> list[e.Event]:
    """Return a record without what names this run: the job's own name."""
    return [event for event in history if not isinstance(event, e.JobStarted)]


def _by_keyboard(script: Script) -> list[e.Event]:
    """Type the recorded job, with the power cut, on the recording's clock."""
    clock = RecordedClock(Instant(script.start_ms, "keyboard-boot", 60_000))
    bench = Bench(sheet=script.vehicle, clock=clock)

    def say(sentences: Sequence[str]) -> bool:
        clock.advance(spoken_ms(sentences))
        return True

    bench.session.say = say
    for name, at, words in script.clips:
        bench.wait(max(0.0, at - (clock.now().utc_ms - script.start_ms) / 1000))
        line = HEARD_AS.get(name, words)
        if line:
            bench.session.hear(from_line(line, grammar()))
        if name == script.cut_after:
            bench.restart(boot="keyboard-boot-2", gone_s=60.0)
            bench.session.say = say
    return bench.history


def test_the_vehicle_of_the_recording_is_whole() -> None:
    script = read_script(data_folder("recordings"))
    assert load_vehicle(script.vehicle, None)["vehicle"]
    assert script.cut_after in [name for name, _, _ in script.clips]
