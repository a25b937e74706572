"""Sound clips: durable, told apart by their content, never in a job's way, forgotten on request."""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path

import pytest

from assistant.journal import Clip, ClipStore

WAV = b"RIFF" + bytes(range(200))
FLAC = b"fLaC" + bytes(range(100))


def test_a_clip_is_kept_under_the_hash_of_its_bytes(tmp_path: Path) -> None:
    """The name is SHA-256, so a record can prove its sound; twice the same sound is one file."""
    clips = ClipStore(tmp_path / "clips")
    first, again, other = clips.keep("J", WAV), clips.keep("J", WAV), clips.keep("J", FLAC)

    assert first == again == Clip(hashlib.sha256(WAV).hexdigest())
    assert other.name != first.name
    found = clips.find("J", first.name or "")
    assert found is not None
    assert (found.suffix, found.read_bytes()) == (".wav", WAV)
    assert len(list((tmp_path / "clips" / "J").iterdir())) == 2


@pytest.mark.parametrize("job", ["../out", "", "a/b", ".hidden", "x" * 65, "a\0b", "C:\\x"])
def test_a_name_that_leads_elsewhere_is_not_used(job: str, tmp_path: Path) -> None:
    """No file outside the folder is written, found or removed."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "precious").write_text("stays")
    clips = ClipStore(tmp_path / "clips")

    assert clips.keep(job, WAV).name is None
    assert clips.find(job, "0" * 64) is None
    assert clips.forget(job) == 0
    assert [file.name for file in tmp_path.rglob("*") if file.is_file()] == ["precious"]


def test_what_is_no_sound_is_not_kept(tmp_path: Path) -> None:
    """Only the two formats the program reads back."""
    assert ClipStore(tmp_path).keep("J", b"MZ").reason == "neither WAV nor FLAC"


def test_a_place_that_cannot_be_written_is_a_reason(tmp_path: Path) -> None:
    """The job goes on; the event will say that there is no clip."""
    (tmp_path / "clips").write_text("in the way")
    clip = ClipStore(tmp_path / "clips").keep("J", WAV)

    assert clip.name is None
    assert clip.reason


def test_a_changed_clip_is_not_found(tmp_path: Path) -> None:
    """A file whose bytes are no longer those of its name is no evidence."""
    clips = ClipStore(tmp_path)
    name = clips.keep("J", WAV).name or ""
    (tmp_path / "J" / f"{name}.wav").write_bytes(WAV[:-1])

    assert clips.find("J", name) is None


def test_forgetting_takes_all_sound_of_one_job(tmp_path: Path) -> None:
    """Also the rest of a clip that was being written when power went; other jobs keep theirs."""
    clips = ClipStore(tmp_path)
    mine, theirs = clips.keep("J", WAV).name or "", clips.keep("K", WAV).name or ""
    clips.keep("J", FLAC)
    (tmp_path / "J" / ".half.part").write_bytes(b"RI")

    assert clips.forget("J") == 2
    assert clips.find("J", mine) is None
    assert clips.find("K", theirs) is not None
    assert not (tmp_path / "J").exists()
    assert clips.forget("J") == 0


@pytest.mark.skipif(sys.platform != "linux", reason="names of open files are looked up in /proc")
def test_a_clip_is_synced_before_its_name_is_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """First the bytes, then the name in the folder."""
    synced: list[str] = []
    sync = os.fsync

    def watch(handle: int) -> None:
        synced.append(Path(os.readlink(f"/proc/self/fd/{handle}")).suffix)
        sync(handle)

    (tmp_path / "J").mkdir()
    monkeypatch.setattr(os, "fsync", watch)
    ClipStore(tmp_path).keep("J", WAV)

    assert synced == [".part", ""]
