"""One file with everything, made in mid-job, verified, and put back without overwriting anything."""

from __future__ import annotations

import json
import random
import sqlite3
import threading
import zipfile
from pathlib import Path

import pytest

from assistant.__main__ import main
from assistant.errors import BadFile
from assistant.journal import ClipStore, open_journal, read_journal
from assistant.journal.archive import FORMAT, MANIFEST, read_archive
from tests.journal.facts import AT, reading, started

FLAC = b"fLaC" + bytes(range(200))
OWN = (
    "vehicles/my-van.toml",
    "profiles/j\u00f6rg.toml",
    "grammars/en-own.jsgf",
    "procedures/own.toml",
    "procedures/shared/piece.toml",
)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Records and settings in a folder of their own."""
    return _live_in(tmp_path / "home", monkeypatch)


def _live_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder.mkdir()
    monkeypatch.setenv("ASSISTANT_RECORDS", str(folder))
    monkeypatch.setenv("ASSISTANT_SETTINGS", str(folder / "settings.toml"))
    return folder


def fill(home: Path, jobs: int = 2) -> dict[str, list[object]]:
    """A journal with jobs, a clip of each, a sheet, a profile, own procedures and settings."""
    told: dict[str, list[object]] = {}
    with open_journal(home / "journal.sqlite", AT) as journal:
        for number in range(jobs):
            job = f"JOB{number}"
            events = [started(job), *(reading(place) for place in range(1, 6))]
            journal.append(job, events)
            ClipStore(home / "clips").keep(job, FLAC + job.encode())
            told[job] = list(events)
    for name in OWN:
        (home / name).parent.mkdir(parents=True, exist_ok=True)
        (home / name).write_text(f'vehicle = "{name}"\n', "utf-8")
    (home / "settings.toml").write_text('who = "Bay two"\n')
    return told


def test_there_and_back(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Into an empty home: the same events, sound, sheets, profiles, procedures and settings."""
    told = fill(home)
    assert main(["backup", str(tmp_path / "all.zip")]) == 0
    assert (tmp_path / "all.zip").stat().st_mode & 0o077 == 0
    there = _live_in(tmp_path / "other", monkeypatch)
    assert main(["restore", str(tmp_path / "all.zip"), "--check"]) == 0
    assert list(there.iterdir()) == []
    assert main(["restore", str(tmp_path / "all.zip")]) == 0

    with open_journal(there / "journal.sqlite", AT) as journal:
        assert {row.id: journal.read(row.id) for row in journal.jobs()} == told
        journal.append("JOB0", [reading(9)])
    for job in told:
        assert [file.read_bytes() for file in ClipStore(there / "clips").of(job)] == [FLAC + job.encode()]
    for name in ("settings.toml", *OWN):
        assert (there / name).read_bytes() == (home / name).read_bytes()
    assert not list(there.rglob(".*"))


def test_nothing_is_overwritten(home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither the file of an earlier backup, nor a journal, nor settings that differ."""
    told = fill(home)
    file = tmp_path / "all.zip"
    assert main(["backup", str(file)]) == 0
    before = file.read_bytes()
    assert main(["backup", str(file)]) == 2
    assert file.read_bytes() == before

    with open_journal(home / "journal.sqlite", AT) as journal:
        journal.append("JOB0", [reading(6)])
        assert main(["restore", str(file), "--set-aside"]) == 2
        assert "writing to this journal" in capsys.readouterr().err
    (home / "settings.toml").write_text('who = "Bay three"\n')
    assert main(["restore", str(file)]) == 2
    assert "--set-aside" in capsys.readouterr().err
    with read_journal(home / "journal.sqlite") as journal:
        assert len(journal.read("JOB0")) == 7

    assert main(["restore", str(file), "--set-aside"]) == 0
    assert "settings.toml" in capsys.readouterr().out
    assert (home / "settings.toml").read_text() == 'who = "Bay three"\n'
    with read_journal(home / "journal.sqlite") as journal:
        assert journal.read("JOB0") == told["JOB0"]
    (aside,) = home.glob("journal.bad-*.sqlite")
    with read_journal(aside) as journal:
        assert len(journal.read("JOB0")) == 7


def test_a_backup_in_mid_job_is_whole(home: Path, tmp_path: Path) -> None:
    """While events are appended as fast as they go: what was kept before it began is in, without a gap."""
    path, over, kept = home / "journal.sqlite", threading.Event(), [0]
    open_journal(path, AT).close()

    def append() -> None:
        with open_journal(path, AT) as journal:
            while not over.is_set():
                journal.append("J", [reading(kept[0] + 1)])
                kept[0] += 1

    worker = threading.Thread(target=append)
    worker.start()
    try:
        counts = []
        for number in range(4):
            while kept[0] < 20 * (number + 1):
                over.wait(0.001)
            before = kept[0]
            assert main(["backup", str(tmp_path / f"{number}.zip")]) == 0
            archive = read_archive(tmp_path / f"{number}.zip")
            archive.extract("journal.sqlite", tmp_path / f"{number}.sqlite")
            with read_journal(tmp_path / f"{number}.sqlite") as copy:
                events = copy.read("J")
            assert events == [reading(place) for place in range(1, len(events) + 1)]
            assert before <= len(events) <= kept[0] + 1
            counts.append(len(events))
    finally:
        over.set()
        worker.join()
    assert counts == sorted(counts)
    with read_journal(path) as journal:
        assert len(journal.read("J")) == kept[0]


def test_a_damaged_backup_is_refused_before_anything_is_touched(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Any byte flipped, any end missing: refused in one line, or, where the byte means nothing, whole."""
    told = fill(home)
    assert main(["backup", str(tmp_path / "all.zip")]) == 0
    good = (tmp_path / "all.zip").read_bytes()
    there = _live_in(tmp_path / "other", monkeypatch)
    chance, refused = random.Random(8), 0
    for number in range(60):
        bad = bytearray(good)
        if number % 3:
            bad[chance.randrange(len(bad))] ^= 1 << chance.randrange(8)
        else:
            del bad[chance.randrange(len(bad)) :]
        file = tmp_path / "bad.zip"
        file.write_bytes(bad)
        if main(["restore", str(file), "--check"]) == 2:
            refused += 1
            continue
        read_archive(file).extract("journal.sqlite", tmp_path / "copy.sqlite")
        with read_journal(tmp_path / "copy.sqlite") as journal:
            assert {row.id: journal.read(row.id) for row in journal.jobs()} == told
    assert refused >= 40
    assert list(there.iterdir()) == []


@pytest.mark.parametrize("name", ["../out", "/etc/x", "a/../../out", "C:\\x", "clips/J/..", "/"])
def test_a_name_that_leads_elsewhere_is_refused(name: str, tmp_path: Path) -> None:
    """The whole file is, not only that entry."""
    file = tmp_path / "evil.zip"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(name, b"x")
        entry = {"size": 1, "sha256": "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"}
        tree = {"format": FORMAT, "about": {}, "entries": {archive.namelist()[0]: entry}}
        archive.writestr(MANIFEST, json.dumps(tree))
    with pytest.raises(BadFile):
        read_archive(file)


@pytest.mark.parametrize(
    ("packed", "stated", "why"),
    [
        (zipfile.ZIP_STORED, 10, "larger than its manifest says"),
        (zipfile.ZIP_DEFLATED, 10, "unpack to far more"),
        (zipfile.ZIP_DEFLATED, 64 << 20, "unpack to far more"),
    ],
)
def test_a_bomb_is_not_unpacked(packed: int, stated: int, why: str, tmp_path: Path) -> None:
    """Zeros that call themselves ten bytes, or that own up to what a few bytes would come to."""
    file = tmp_path / "bomb.zip"
    with zipfile.ZipFile(file, "w", packed) as archive:
        with archive.open("journal.sqlite", "w", force_zip64=True) as held:
            for _ in range(64):
                held.write(bytes(1 << 20))
        tree = {"format": FORMAT, "about": {}, "entries": {"journal.sqlite": {"size": stated, "sha256": ""}}}
        archive.writestr(MANIFEST, json.dumps(tree))
    with pytest.raises(BadFile, match=why):
        read_archive(file)


def test_a_damaged_journal_is_not_backed_up_as_sound(home: Path, tmp_path: Path) -> None:
    """One changed letter in one row: the backup fails and says which event."""
    fill(home)
    raw = sqlite3.connect(home / "journal.sqlite")
    raw.execute("UPDATE journal_events SET body = replace(body, '3.5', '8.5') WHERE seq = 4 AND job = 'JOB1'")
    raw.commit()
    raw.close()

    assert main(["backup", str(tmp_path / "all.zip")]) == 2
    assert not (tmp_path / "all.zip").exists()
