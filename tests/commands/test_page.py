"""The page beside a running job and beside a journal: what is written is shown, what is touched is heard."""

from __future__ import annotations

import argparse
import os
import queue
import re
import socket
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from assistant.commands.ears import Over
from assistant.commands.page import say_code
from assistant.commands.page_beside import FLOOR_DB, METER_S, Meter, ShownOutbox, TouchedEar, page_beside
from assistant.commands.page_watch import ASK_S, SETTLE_S, Watch, door_of, kept_secret
from assistant.commands.understanding import from_line
from assistant.dialogue.reply import Heard
from assistant.display.page.feed import Feed
from assistant.errors import BadFile, NotSaved, WrongInput
from assistant.journal.lock import lock_file, writer_alive
from assistant.journal.memory import MemoryJournal
from assistant.journal.open import open_journal
from assistant.journal.outbox import DurableFirst
from assistant.phrasing.en.numbers import number_words
from tests.bench import START, Bench, grammar
from tests.straight_job import bench_at


class Kept:
    """Stands where the page would be: keeps each picture instead of serving it."""

    touchable = True

    def __init__(self) -> None:
        self.pictures: list[dict[str, Any]] = []

    def give(self, make: Callable[[], dict[str, Any] | None]) -> None:
        """Make a picture and keep it."""
        made = make()
        assert made is not None
        self.pictures.append(made)

    @property
    def now(self) -> dict[str, Any]:
        """The newest."""
        return self.pictures[-1]


def feed_of(bench: Bench) -> tuple[Kept, Feed]:
    """A feed that ends in kept pictures."""
    kept = Kept()
    return kept, Feed(kept, bench.clock.now, live=True)  # type: ignore[arg-type]


def test_what_is_written_is_shown_also_when_a_job_is_taken_up() -> None:
    """The first events of a resumed job bring its whole history."""
    bench = bench_at("pour")
    kept, feed = feed_of(bench)
    bench.session.outbox = ShownOutbox(bench.session.outbox, feed)
    bench.hear("poured 3 litres")

    assert (kept.now["out"]["number"], kept.now["in"]["number"]) == ("4.2", "3")
    assert kept.now["step"]["id"] == "pour"
    assert bench.session.state == _folded(bench)


def _folded(bench: Bench) -> Any:
    from assistant.job.state import fold

    return fold(bench.history)


def test_what_is_not_saved_is_shown_as_such() -> None:
    """And no longer, once it is."""

    class Full(MemoryJournal):
        full = False

        def append(self, job: str, events: Any) -> None:
            if self.full:
                raise NotSaved("no space left")
            super().append(job, events)

    journal = Full()
    bench = Bench(journal=journal)
    kept, feed = feed_of(bench)
    bench.session.outbox = ShownOutbox(DurableFirst(journal), feed)
    journal.full = True
    bench.hear("plate reads quebec four tango eight")
    assert kept.now["unsaved"]
    assert kept.now["heard"][0]["words"] == "plate reads quebec four tango eight"
    journal.full = False
    bench.hear("all laid out")
    assert not kept.now["unsaved"]


class Lines:
    """An ear that brings what it is given."""

    def __init__(self, *items: Heard | Over | None) -> None:
        self.items = list(items)

    def next(self, timeout_s: float | None, state: Any) -> Heard | Over | None:
        """Return the next item at once."""
        return self.items.pop(0) if self.items else None

    def watch(self, state: Any) -> None:
        """Nothing is awaited."""


def test_what_is_touched_comes_first_and_what_is_said_as_ever() -> None:
    """Each shown with what it was taken for; the end of the ear stays its end."""
    bench = bench_at("pour")
    kept, feed = feed_of(bench)
    feed.begin(bench.history)
    touched: queue.Queue[str] = queue.Queue()
    said = from_line("how much out", grammar())
    ear = TouchedEar(Lines(said, Over()), touched, lambda line: from_line(line, grammar()), feed)
    touched.put("next step")

    first = ear.next(None, None)
    assert isinstance(first, Heard)
    assert first == from_line("next step", grammar())
    assert kept.now["heard"][0]["words"] == "next step"
    assert ear.next(5.0, None) == said
    assert kept.now["heard"][0]["text"] == "how much out"
    assert isinstance(ear.next(None, None), Over)
    assert isinstance(ear.next(None, None), Over)


def test_the_ear_waits_no_longer_than_it_may() -> None:
    """A timer that is due is not held up."""
    _, feed = feed_of(Bench())
    ear = TouchedEar(Lines(), queue.Queue(), lambda line: from_line(line, grammar()), feed)

    assert ear.next(0.0, None) is None


def test_the_level_is_told_twice_a_second_at_its_loudest() -> None:
    """Full scale square wave is 0 dBFS; half of it is 6 dB less (20 log10 of 2)."""
    shown: list[tuple[float, float]] = []
    clock = [0.0]
    meter = Meter(lambda level, noise: shown.append((level, noise)), lambda: clock[0])
    block = (16384).to_bytes(2, "little", signed=True) * 1600
    meter(block, -50.0)
    clock[0] = METER_S
    meter(bytes(3200), -51.0)

    [(level, noise)] = shown
    assert level == pytest.approx(-6.02, abs=0.01)
    assert noise == -51.0
    clock[0] = 2 * METER_S
    meter(bytes(3200), -51.0)
    assert shown[-1][0] <= FLOOR_DB


def test_a_journal_is_followed_while_another_writes_it(tmp_path: Path) -> None:
    """Each event once, the newest job, and nothing read where nothing changed."""
    place = tmp_path / "journal.sqlite"
    clock = [0.0]
    kept = Kept()
    watch = Watch(str(place), Feed(kept, lambda: START), lambda: clock[0])  # type: ignore[arg-type]
    watch.look()
    assert kept.pictures == []
    with open_journal(place, START) as journal:
        bench = Bench(journal=journal)
        clock[0] += ASK_S
        watch.look()
        assert kept.now["step"]["number"] == 1
        bench.hear("plate reads quebec four tango eight")
        clock[0] += SETTLE_S / 2
        watch.look()
        assert kept.now["step"]["number"] == 2
        shown = len(kept.pictures)
        for _ in range(5):
            clock[0] += SETTLE_S
            watch.look()
        assert len(kept.pictures) == shown
        another = Bench(journal=journal)
        another.hear("plate reads quebec four tango eight", after_s=3600)
        clock[0] += ASK_S
        watch.look()
        assert kept.now["job"] == another.session.state.job
    watch.close()


def test_what_is_written_within_one_tick_of_the_file_time_is_shown_by_a_late_look(tmp_path: Path) -> None:
    """Written just after a look, the file looking the same; a busy computer looks again only much later."""

    class Coarse(Watch):
        def _stamp(self) -> object:
            return "always the same"

    place, clock, kept = tmp_path / "journal.sqlite", [0.0], Kept()
    with open_journal(place, START) as journal:
        bench = Bench(journal=journal)
        watch = Coarse(str(place), Feed(kept, lambda: START), lambda: clock[0])
        watch.look()
        bench.hear("plate reads quebec four tango eight")
        clock[0] += 10 * SETTLE_S
        watch.look()
        assert kept.now["step"]["number"] == 2
        watch.close()


def test_a_page_says_when_the_program_that_writes_has_ended(tmp_path: Path) -> None:
    """It looks once a second for the process that wrote last; a job that is over needs no writer."""
    where, now = tmp_path / "journal.sqlite", 100.0
    with open_journal(where, START) as journal:
        bench = Bench(journal=journal)
        kept = Kept()
        watch = Watch(str(where), Feed(kept, bench.clock.now), lambda: now)  # type: ignore[arg-type]
        watch.look()
        assert kept.now["written"]
        with subprocess.Popen([sys.executable, "-c", ""]) as gone:
            gone.wait()
        lock_file(where).write_text(f"{gone.pid}\n", "ascii")
        watch.look()
        assert kept.now["written"]
        now += ASK_S
        watch.look()
        assert not kept.now["written"]
        bench.hear("emergency")
        watch.look()
        assert (kept.now["quiet"], kept.now["written"]) == ("stop", False)
        lock_file(where).write_text(f"{os.getpid()}\n", "ascii")
        now += ASK_S
        watch.look()
        assert kept.now["written"]
        watch.close()


@pytest.mark.parametrize("text", ["", "x", "-1", "0", "99999999999999999999"])
def test_a_lock_that_names_nobody_is_taken_for_a_writer(tmp_path: Path, text: str) -> None:
    """What cannot be told is no reason to say that the page is old."""
    lock_file(tmp_path / "journal").write_text(text, "ascii")

    assert writer_alive(tmp_path / "journal")
    assert writer_alive(tmp_path / "none")


def test_a_door_to_others_has_a_code_and_a_secret_that_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On this computer there is neither; the file is for its owner alone."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))
    door = door_of(_arguments(host="0.0.0.0"), 0)
    again = door_of(_arguments(host="0.0.0.0"), 0)

    assert re.fullmatch(r"\d{6}", door.code or "")
    assert door.secret == again.secret == kept_secret()
    assert door.code != again.code
    if os.name == "posix":
        assert (tmp_path / "page.secret").stat().st_mode & 0o777 == 0o600
    near = door_of(_arguments(), 8000)
    assert (near.host, near.code, near.secret) == ("127.0.0.1", None, b"")
    with pytest.raises(WrongInput, match="70000"):
        door_of(_arguments(), 70000)


def _arguments(**given: Any) -> Any:
    return argparse.Namespace(**given)


def test_on_a_network_the_code_is_shown_and_spoken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same six digits; beside a job the page takes touches as an ear."""
    monkeypatch.setenv("ASSISTANT_RECORDS", str(tmp_path))
    bench, said = Bench(), list[str]()
    store = argparse.Namespace(outbox=bench.session.outbox)
    asked = _arguments(page=0, host="0.0.0.0")
    ear = Lines()

    def say(sentences: Sequence[str]) -> bool:
        said.extend(sentences)
        return True

    with page_beside(asked, store, ear, ear, say, grammar(), bench.clock.now) as (touched, spoken):  # type: ignore[arg-type]
        shown = re.search(r"pairing code: ([\d ]+)", capsys.readouterr().err)
        assert shown is not None
        digits = [number_words(one) for one in shown[1].split()]
        assert said == [f"The pairing code is {' '.join(digits)}."]
        assert isinstance(touched, TouchedEar)
        assert isinstance(store.outbox, ShownOutbox)
        assert spoken(["hello"])
    assert said[-1] == "hello"


def test_a_page_alone_says_its_code_too(capsys: pytest.CaptureFixture[str]) -> None:
    """Digit by digit, by whatever voice there is."""
    say_code("print", "482915")

    assert "The pairing code is four eight two nine one five." in capsys.readouterr().out


def test_a_page_that_cannot_be_served_is_told_and_the_job_goes_on(capsys: pytest.CaptureFixture[str]) -> None:
    """A taken port."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        bench = Bench()
        store, ear = argparse.Namespace(outbox=bench.session.outbox), Lines()
        asked = _arguments(page=taken.getsockname()[1])
        with page_beside(asked, store, ear, ear, bench.session.say, grammar(), bench.clock.now) as (same, _):  # type: ignore[arg-type]
            assert same is ear
    assert "no page" in capsys.readouterr().err


def test_a_store_that_cannot_be_read_stops_no_job() -> None:
    """The page then shows nothing; what was said is kept all the same."""

    class Unread(MemoryJournal):
        def kept(self, job: str) -> list[Any]:
            raise BadFile("journal", "gone")

    bench = Bench(journal=Unread())
    kept, feed = feed_of(bench)
    bench.session.outbox = ShownOutbox(DurableFirst(bench.journal), feed)
    bench.hear("plate reads quebec four tango eight")

    assert bench.step == "lay-out"
    assert kept.pictures == []
