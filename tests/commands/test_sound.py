"""Which sound is kept, for how long, how it is forgotten and handed out; no reading waits for it."""

from __future__ import annotations

import io
import json
import os
import threading
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.__main__ import main
from assistant.commands import house
from assistant.commands.first_start import ask_once, ask_who
from assistant.commands.understanding import as_flac, from_line, from_utterance
from assistant.dialogue.reply import Heard
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.job.events import HandedOver, JobStarted, NoteTaken
from assistant.job.state import State
from assistant.journal import ClipStore, new_job_id, open_journal
from assistant.journal.clip_writer import ClipWriter
from assistant.shelf.settings import Clips, Settings, read_settings
from tests.bench import grammar
from tests.journal.facts import AT, reading, started

PCM = (np.sin(np.arange(2 * RATE) / 20) * 9000).astype("<i2").tobytes()
FLAC = as_flac(PCM)
DAY_MS = 86_400_000


def utterance(meaning: Meaning | None) -> Utterance:
    """Two seconds of sound with a meaning, or with none."""
    return Utterance("words", 0.0, 2.0, 2.2, -12.0, -60.0, meaning=meaning, pcm=PCM)


READING, COMMAND = utterance(Meaning("drained", "4", "litre")), utterance(Meaning("next"))
BAND, REFUSED = utterance(Meaning("temperature-band", slots={"band": "warm"})), utterance(None)


@pytest.mark.parametrize(
    ("level", "kept"), [("off", ()), ("readings", (READING, BAND)), ("all", (READING, BAND, COMMAND))]
)
def test_the_setting_says_whose_sound_is_kept(
    level: Clips, kept: tuple[Utterance, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Off keeps none; readings those; all whatever was understood; what was refused is never kept."""
    monkeypatch.setattr(house, "ClipWriter", lambda clips, _: ClipWriter(clips, 60))  # the disk may be busy
    store = house.open_store(str(tmp_path / "journal.sqlite"), AT, Settings(clips=level))
    try:
        for one in (READING, BAND, COMMAND, REFUSED):
            clip = from_utterance(
                one, grammar(), None, lambda sound: store.keep("J", sound), store.level == "all"
            ).clip
            assert (clip is not None) == (one in kept)
            if clip is not None:
                found = ClipStore(tmp_path / "clips").find("J", clip)
                assert found is not None
                assert soundfile.read(io.BytesIO(found.read_bytes()), dtype="int16")[0].tobytes() == PCM
        assert store.keep("", FLAC) is None
    finally:
        store.close()
    assert len(ClipStore(tmp_path / "clips").of("J")) == bool(kept)


def test_sound_is_kept_for_the_days_set(tmp_path: Path) -> None:
    """What is older goes at the start, halves of a power cut, too; the rest and other files stay."""
    clips = ClipStore(tmp_path / "clips")
    ages = {"OLD": 31, "NEW": 29}
    for job, days in ages.items():
        name = clips.keep(job, FLAC).name
        place = clips.find(job, name or "")
        assert place is not None
        then = (AT.utc_ms - days * DAY_MS) / 1000
        os.utime(place, (then, then))
        half = place.with_name(".half.part")
        half.write_bytes(b"fL")
        os.utime(half, (then, then))
    strange = tmp_path / "clips" / "readme.txt"
    strange.write_text("mine")
    os.utime(strange, (1, 1))
    house.open_store(str(tmp_path / "journal.sqlite"), AT, Settings()).close()

    assert (len(clips.of("OLD")), len(clips.of("NEW"))) == (0, 1)
    assert not (tmp_path / "clips" / "OLD").exists()
    assert strange.exists()


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """The sweep removes files in its own folders only."""
    outside = tmp_path / "outside"
    outside.mkdir()
    precious = outside / ("0" * 64 + ".flac")
    precious.write_bytes(FLAC)
    os.utime(precious, (1, 1))
    (tmp_path / "clips").mkdir()
    (tmp_path / "clips" / "LINK").symlink_to(outside)

    assert ClipStore(tmp_path / "clips").sweep(AT.utc_ms) == 0
    assert precious.exists()


@pytest.mark.full
@pytest.mark.parametrize("where", ["mkdir", "fsync", "replace"])
def test_a_disk_that_hangs_delays_no_reading(
    where: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings in a row say "no clip" within 200 ms (the median: a busy machine may hold up one), wherever
    in the writing of a clip the disk does not answer until it is let; what comes late goes again, whole.
    """
    disk, free, real = ClipStore(tmp_path), threading.Event(), getattr(os, where)

    def hanging(*arguments: object, **more: object) -> object:
        free.wait(10)
        return real(*arguments, **more)

    writer = ClipWriter(disk)
    monkeypatch.setattr(os, where, hanging)
    times = []
    for number in range(5):
        begun = time.perf_counter()
        as_flac(PCM)
        clip = writer.keep("J", FLAC + bytes([number]))
        times.append(time.perf_counter() - begun)
        assert clip.name is None
        assert "slow" in clip.reason
    assert sorted(times)[2] < 0.2
    free.set()
    assert writer.close()
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == []


def test_a_sound_disk_gives_the_clip(tmp_path: Path) -> None:
    """Sixty seconds of sound, encoded and kept; a late one of the same bytes does not take it away."""
    writer = ClipWriter(ClipStore(tmp_path), longest_s=10)
    name = writer.keep("J", as_flac(PCM * 30)).name
    assert writer.close()

    assert [file.stem for file in ClipStore(tmp_path).of("J")] == [name]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Records and settings of an invented workshop, in a folder of their own."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))
    monkeypatch.setenv("ASSISTANT_SETTINGS", str(tmp_path / "settings.toml"))
    return tmp_path


def one_job(home: Path, *who: str) -> str:
    """A job of several persons, one after the other: each a reading, a clip and a note."""
    job = new_job_id(AT)
    clips = ClipStore(home / "clips")
    first = started(job)
    assert isinstance(first, JobStarted)
    with open_journal(home / "journal.sqlite", AT) as journal:
        for place, name in enumerate(who):
            begun = (
                HandedOver(at=AT, who=name)
                if place
                else JobStarted(
                    at=AT, job=job, procedure=first.procedure, sheet={}, settings={}, versions={}, who=name
                )
            )
            clip = clips.keep(job, FLAC + name.encode()).name
            journal.append(job, [begun, reading(place + 1), NoteTaken(at=AT, clip=clip)])
    return job


def test_the_sound_of_a_job_is_forgotten_and_its_record_stays(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Only on the plain word; the hash in the record stays, and leads to nothing."""
    job, other = one_job(home, "Ada"), one_job(home, "Bo")
    assert main(["forget", job]) == 2
    assert "add --sound" in capsys.readouterr().err
    assert len(ClipStore(home / "clips").of(job)) == 1

    assert main(["forget", job, "--sound"]) == 0
    assert "1 sound files" in capsys.readouterr().out
    assert ClipStore(home / "clips").of(job) == []
    assert len(ClipStore(home / "clips").of(other)) == 1
    with open_journal(home / "journal.sqlite", AT) as journal:
        note = journal.read(job)[-1]
    assert isinstance(note, NoteTaken)
    assert note.clip is not None


def test_a_person_is_given_what_is_kept_of_them(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Their stretch of a shared job and all of their own, with the sound; nothing of anybody else."""
    shared, own = one_job(home, "Ada", "Bo"), one_job(home, "bo")
    assert main(["export", "--who", " BO ", "--to", str(home / "bo.zip")]) == 0
    assert "6 events of  BO , 2 sound files" in capsys.readouterr().err
    with zipfile.ZipFile(home / "bo.zip") as archive:
        names = archive.namelist()
        lines = archive.read(f"{shared}/events.jsonl").decode().splitlines()
    assert [json.loads(line)["type"] for line in lines] == ["HandedOver", "ReadingHeard", "NoteTaken"]
    assert "Ada" not in "".join(lines)
    assert len([name for name in names if name.startswith(own)]) == 2

    assert main(["export", "--who", "bo", "--to", str(home / "bo.zip")]) == 1
    assert main(["export", "--who", "Cy"]) == 2
    capsys.readouterr()
    assert main(["export"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 9


class Answers:
    """An ear that brings what is given, then silence."""

    def __init__(self, *kinds: str) -> None:
        self.items = [Heard(Meaning(kind) if kind else NoMatch("unknown")) for kind in kinds]

    def next(self, timeout_s: float | None, state: State | None) -> Heard | None:
        """Return the next answer."""
        assert timeout_s is not None, "a question must not wait for ever"
        return self.items.pop(0) if self.items else None

    def watch(self, state: Callable[[], State]) -> None:
        """Nothing changes."""


@pytest.mark.parametrize(
    ("answers", "level", "written"),
    [
        (("yes",), "readings", True), (("no",), "off", True), (("", "no"), "off", True),
        ((), "readings", False), (("next", "no"), "readings", False), (("", "", "", "no"), "readings", False),
    ],
)  # fmt: skip
def test_the_first_start_asks_once(
    answers: tuple[str, ...], level: str, written: bool, tmp_path: Path
) -> None:
    """In plain words; the answer holds for this job and, written down, for all later ones."""
    place, said = tmp_path / "settings.toml", list[str]()
    store = house.open_store(str(tmp_path / "journal.sqlite"), AT)
    say = lambda sentences: said.extend(sentences) or True  # noqa: E731 - a voice
    settled, ear = ask_once(Settings(), store, Answers(*answers), say, place)
    store.close()

    assert (settled.clips, store.level) == (level, level)
    assert "thirty days" in " ".join(said)
    assert place.exists() == written
    if answers[:1] == ("next",):  # no answer, so it is for the job
        first = ear.next(None, None)
        assert isinstance(first, Heard)
        assert isinstance(first.meaning, Meaning)
        assert first.meaning.kind == "next"
    if written:
        assert read_settings(place).clips == level
        said.clear()
        assert ask_once(read_settings(place), store, Answers("yes"), say, place)[0].clips == level
        assert said == []


@pytest.mark.parametrize(
    ("answers", "who", "written"),
    [
        (("initials mike kilo",), "MK", True), (("Ada Example",), "Ada Example", True),
        (("skip it",), "", True), (("no",), "", True), ((), "", False), (("next step",), "", False),
    ],
)  # fmt: skip
def test_who_works_is_asked_once(answers: tuple[str, ...], who: str, written: bool, tmp_path: Path) -> None:
    """Initials by the spelling alphabet or a typed name; a sentence for the job goes to the job."""
    place, said = tmp_path / "settings.toml", list[str]()
    say = lambda sentences: said.extend(sentences) or True  # noqa: E731 - a voice
    ear = Answers()
    ear.items = [from_line(line, grammar()) for line in answers]
    settled, after = ask_who(Settings(), ear, say, place)

    assert settled.who == who
    assert said[0] == "Who is at work?"
    assert place.exists() == written
    if written:
        said.clear()
        assert ask_who(read_settings(place), Answers("yes"), say, place)[0].who == who
        assert said == []
    elif answers:
        first = after.next(None, None)
        assert isinstance(first, Heard)
        assert first.words == "next step"


def test_a_pipe_is_not_asked(tmp_path: Path) -> None:
    """Its lines belong to the job."""
    store = house.open_store(str(tmp_path / "journal.sqlite"), AT)
    ear = Answers("no")
    ask_once(Settings(), store, ear, lambda _: True, tmp_path / "settings.toml", lambda _: False)
    store.close()

    assert len(ear.items) == 1
