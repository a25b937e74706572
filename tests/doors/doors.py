"""Every door through which something comes in from outside, with what must hold whatever comes.

An attempt lets one thing in. It may be taken or refused by one of the program's own errors, in one plain
line; anything else that is raised, and a second of computing, is a fault.
"""

from __future__ import annotations

import atexit
import http.client
import io
import json
import math
import shutil
import socket
import tempfile
from contextlib import closing, suppress
from decimal import Decimal
from functools import cache
from pathlib import Path

import numpy as np
import soundfile
from hypothesis import strategies as st

from assistant.commands.language import grammar_of
from assistant.commands.understanding import from_line
from assistant.display.page.server import Door as PageDoor
from assistant.display.page.server import Page
from assistant.duplex import wire
from assistant.errors import AssistantError
from assistant.grammar.meaning import Meaning, NoMatch
from assistant.hearing import blocks
from assistant.hearing.sound import RATE, read_sound
from assistant.job.events import JobStarted
from assistant.job.state import begin
from assistant.journal import open_journal, read_journal
from assistant.journal.archive import read_archive, write_archive
from assistant.journal.codec import decode, encode, event_classes
from assistant.journal.export import from_lines
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import SHARED, load_procedure
from assistant.shelf.profile_file import read_profile
from assistant.shelf.settings import Settings, read_settings
from assistant.shelf.vehicle_file import load_units
from assistant.speaking import frames
from assistant.speaking.sound import Sound
from tests.bench import grammar
from tests.doors.bad_input import SNIPPETS, files
from tests.doors.bombs import archives, grammars, tables
from tests.doors.trying import LONGEST_S, Door
from tests.journal.facts import AT, reading, started

GOLDEN = Path(__file__).parent.parent / "journal" / "golden"
PIECE = procedures_folder() / SHARED / "lower-and-run.toml"
BUILDS = Path(__file__).parent.parent / "data" / "vehicle_builds.toml"
SETTINGS = (
    b'voice_rate = 150\nlanguage = "en"\npause_factor = 1.1\nclips = "all"\nclip_days = 3\nwho = "Bay two"\n'
    b'server = "postgresql://shop/all"\njournal = "x.sqlite"\nroute = "loudspeaker"\nmicrophone = "USB"\n'
)
PROFILE = b"gain_db = 6.5\npause_factor = 1.25\nsure = 0.97\n"


def _put(content: bytes, folder: Path, name: str) -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def _settings(content: bytes, folder: Path) -> None:
    found = read_settings(_put(content, folder, "settings.toml"))
    assert 80 <= found.voice_rate <= 400
    assert 1 <= found.pause_factor <= 3
    assert found.clips in ("off", "readings", "all")
    assert 1 <= found.clip_days <= 3650
    assert all(isinstance(text, str) for text in Settings.as_texts(found).values())


def _profile(content: bytes, folder: Path) -> None:
    found = read_profile(_put(content, folder, "somebody.toml"))
    assert (0 <= found.gain_db <= 24, 1 <= found.pause_factor <= 3, 0 <= found.sure < 1) == (True,) * 3


def _vehicle(content: bytes, folder: Path) -> None:
    for sheet in load_units(_put(content, folder, "van.toml")):
        assert set(sheet) >= {"vehicle", "unit"}
        assert _without_floats(sheet)


def _procedure(content: bytes, folder: Path) -> None:
    found = load_procedure(_put(content, folder, "service.toml"))
    event = JobStarted(at=AT, job="J", procedure=found, sheet={}, settings={}, versions={})
    assert decode(*encode(event)) == event
    assert begin(event).procedure.steps


def _piece(content: bytes, folder: Path) -> None:
    (folder / SHARED).mkdir()
    _put(content, folder / SHARED, PIECE.name)
    _procedure(_service(), folder)


def _grammar(content: bytes, folder: Path) -> None:
    found = grammar_of("toy", _put(content, folder, "toy.jsgf").parent)
    for choose in (lambda _: 0, lambda many: many - 1):
        assert isinstance(found.parse(found.sample(choose)), Meaning | NoMatch)
    assert isinstance(found.parse("drained twenty three litres"), Meaning | NoMatch)


def _without_floats(value: object) -> bool:
    if isinstance(value, dict):
        return all(map(_without_floats, value.values()))
    if isinstance(value, list | tuple):
        return all(map(_without_floats, value))
    return not isinstance(value, float)


def _journal(content: bytes, folder: Path) -> None:
    path = _put(content, folder, "journal.sqlite")
    (folder / "journal.sqlite.lock").touch()
    try:
        with read_journal(path) as reader:
            for row in reader.jobs():
                reader.read(row.id)
    except AssistantError:
        pass
    assert path.read_bytes() == content, "reading changed a file"
    with open_journal(path, AT) as journal:
        journal.append("DOOR", [started("DOOR"), reading(1)])
        assert journal.read("DOOR")[-2:] == [started("DOOR"), reading(1)]
        if any(notice.what == "set-aside" for notice in journal.notices):
            (aside,) = folder.glob("journal.bad-*.sqlite")
            assert aside.read_bytes() == content, "a bad file was changed"


def _export(content: bytes, folder: Path) -> None:
    for row, event in from_lines(content.decode("ascii", "replace").splitlines(), "export"):
        assert type(event).__name__ in event_classes()
        assert row.seq == int(row.seq)


def _event(content: bytes, folder: Path) -> None:
    name, _, body = content.partition(b" ")
    event = decode(name.decode("utf-8", "replace"), 1, body.decode("utf-8", "replace"))
    assert decode(*encode(event)) == event


def _sound(content: bytes, folder: Path) -> None:
    samples = read_sound(_put(content, folder, "clip.wav"))
    assert samples.dtype == np.int16
    assert samples.ndim == 1
    assert len(samples)


def _backup(content: bytes, folder: Path) -> None:
    archive = read_archive(_put(content, folder, "all.zip"))
    inside = folder / "inside"
    inside.mkdir()
    for number, name in enumerate(archive.entries):
        archive.extract(name, inside / str(number))
        assert (inside / str(number)).stat().st_size == archive.entries[name].size
    assert sorted(path.name for path in folder.iterdir()) == ["all.zip", "inside"]
    assert sorted(path.name for path in inside.iterdir()) == sorted(map(str, range(len(archive.entries))))


def _keyboard(content: bytes, folder: Path) -> None:
    try:
        heard = from_line(content.decode("utf-8", "replace"), grammar())
    except AssistantError as error:
        raise AssertionError("a typed line ended the job") from error
    assert isinstance(heard.meaning, Meaning | NoMatch)
    assert len(heard.note) <= 2000
    if isinstance(heard.meaning, Meaning) and heard.meaning.value is not None:
        assert math.isfinite(Decimal(heard.meaning.value))


def _page(content: bytes, folder: Path) -> None:
    port, touched = _served()
    before = len(touched)
    with closing(socket.create_connection(("127.0.0.1", port), LONGEST_S)) as line:
        line.settimeout(LONGEST_S)
        with suppress(ConnectionError):
            line.sendall(content)
            line.shutdown(socket.SHUT_WR)
            head = line.recv(2000)
            assert not head.startswith(b"HTTP/1.1 5"), head
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=LONGEST_S)) as good:
        good.request("GET", "/page.css")
        assert good.getresponse().status == 200
    assert all(isinstance(from_line(line, grammar()).meaning, Meaning) for line in touched[before:])


@cache
def _served() -> tuple[int, list[str]]:
    """Serve a page for all attempts; return its port, and the sentences that were touched on it."""
    touched: list[str] = []
    page = Page(PageDoor(), lambda: 0, touched.append)
    page.start()
    atexit.register(page.close)
    return page.port, touched


def _voice_frames(content: bytes, folder: Path) -> None:
    stream = io.BytesIO(content)
    while (message := frames.read(stream)) is not None:
        assert frames.read(io.BytesIO(frames.encoded(message))) == message


def _ear_blocks(content: bytes, folder: Path) -> None:
    stream = io.BytesIO(content)
    while (message := blocks.read(stream)) is not None:
        assert isinstance(message, blocks.Block | blocks.Trouble)
    stream = io.BytesIO(content)
    while wire.read(stream) is not None:
        pass


@cache
def _good_sounds() -> tuple[bytes, ...]:
    found = []
    tone = np.sin(np.arange(RATE // 5) / 9) * 0.3
    forms = (("WAV", "PCM_16", 1), ("WAV", "FLOAT", 2), ("FLAC", "PCM_16", 1), ("OGG", "VORBIS", 1))
    for sort, subtype, channels in forms:
        buffer = io.BytesIO()
        soundfile.write(buffer, np.tile(tone[:, None], (1, channels)), RATE, format=sort, subtype=subtype)
        found.append(buffer.getvalue())
    return tuple(found)


@cache
def _good_backup() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(GOLDEN / "schema-1.sqlite", Path(folder) / "journal.sqlite")
        files = [
            ("journal.sqlite", Path(folder) / "journal.sqlite"),
            ("settings.toml", _put(SETTINGS, Path(folder), "s")),
        ]
        return write_archive(Path(folder) / "all.zip", files, {}).path.read_bytes()


def _golden_lines() -> list[bytes]:
    return (GOLDEN / "schema-1.jsonl").read_bytes().splitlines()


def _export_file() -> bytes:
    return b"\n".join(_golden_lines()[:6])


def _events() -> tuple[bytes, ...]:
    trees = [json.loads(line) for line in _golden_lines()]
    return tuple(tree["type"].encode() + b" " + json.dumps(tree["event"]).encode() for tree in trees[:12])


def _lines() -> st.SearchStrategy[bytes]:
    grammar()
    words = [word.encode() for word in (
        "drained", "four", "point", "six", "litres", "fifty", "five", "degrees", "celsius", "timer",
        "minutes", "correction", "note", "note:", "yes", "4.6", "-3,5", "l", "°C", "\u0664", "\u00bd", "1e9",
    )]  # fmt: skip
    one = st.sampled_from([*words, *SNIPPETS])
    short = st.lists(one, max_size=30).map(b" ".join)
    long = st.tuples(st.lists(one, min_size=1, max_size=4).map(b" ".join), st.integers(1, 10_000_000)).map(
        lambda pair: (pair[0] * (1 + pair[1] // len(pair[0])))[: pair[1]] if pair[0] else b""
    )
    return st.one_of(short, short, short, st.binary(max_size=200), long)


def _frames() -> tuple[bytes, ...]:
    messages = (
        frames.Ready("engine"), frames.Speak(1, "First can, three litres."), frames.Failed(2, "why"),
        frames.Spoken(3, Sound(bytes(200), 22_050)),
    )  # fmt: skip
    return (*map(frames.encoded, messages), b"".join(map(frames.encoded, messages)))


def _blocks() -> tuple[bytes, ...]:
    stream = io.BytesIO()
    messages: tuple[wire.Told | wire.Order, ...] = (
        blocks.Block(bytes(320), 3), blocks.Trouble("no device"), blocks.Block(b""),
        wire.Aired(1.0, 0.01, -20.0), wire.Progress(1, 0.5, 1.0, 1.1, False, False),
        wire.Play(1, Sound(bytes(200), 22_050)), wire.Hold(True),
    )  # fmt: skip
    for message in messages:
        wire.write(stream, message)
    return (stream.getvalue(),)


def _vehicles() -> tuple[bytes, ...]:
    shipped = (procedures_folder() / "vehicles").glob("*.toml")
    return tuple(path.read_bytes() for path in (BUILDS, *shipped))


def _toy() -> bytes:
    return (Path(__file__).parent / "toy.jsgf").read_bytes()


def _requests() -> tuple[bytes, ...]:
    port, _ = _served()
    host = f"Host: 127.0.0.1:{port}\r\n".encode()
    asked = [b"GET %s HTTP/1.1\r\n%s\r\n" % (path, host) for path in (b"/", b"/page.css", b"/history?job=J")]
    own = host + b"Origin: http://127.0.0.1:%d\r\nContent-Type: application/json\r\n" % port
    for path, body in ((b"/word", b'{"word": "next", "place": "p"}'), (b"/pair", b"code=123456")):
        asked.append(b"POST %s HTTP/1.1\r\n%sContent-Length: %d\r\n\r\n%s" % (path, own, len(body), body))
    return tuple(asked)


def _toml(*good: bytes) -> st.SearchStrategy[bytes]:
    return st.one_of(files(*good), files(*good), tables(*good))


def _grammars() -> st.SearchStrategy[bytes]:
    return st.one_of(*[files(_toy())] * 8, grammars(_toy()))  # those take a hundred times as long


def _backups() -> st.SearchStrategy[bytes]:
    return st.one_of(files(_good_backup()), archives(_database()))


def _service() -> bytes:
    return (procedures_folder() / "automatic-drain-refill.toml").read_bytes()


def _database() -> bytes:
    return (GOLDEN / "schema-1.sqlite").read_bytes()


DOORS = (
    Door("settings", "allowed values, or one line with the cure", lambda: _toml(SETTINGS), _settings),
    Door("profile", "figures within their limits, or one line", lambda: _toml(PROFILE), _profile),
    Door("vehicle", "sheets without floats, or one line", lambda: _toml(*_vehicles()), _vehicle),
    Door("procedure", "a service that can begin, or one line", lambda: _toml(_service()), _procedure),
    Door("piece", "a service with it that can begin, or one line", lambda: _toml(PIECE.read_bytes()), _piece),
    Door("grammar", "sentences with a meaning or none, or one line", _grammars, _grammar),
    Door("journal", "opened, or set aside unchanged; keeps events", lambda: files(_database()), _journal),
    Door("export", "events of the catalogue, or one line", lambda: files(_export_file()), _export),
    Door("event", "an event that encodes to itself, or a refusal", lambda: files(*_events()), _event),
    Door("sound", "samples, or one line", lambda: files(*_good_sounds()), _sound),
    Door("backup", "whole and inside its folder, or one line", _backups, _backup),
    Door("keyboard", "a meaning or a no-match, whatever the length", _lines, _keyboard),
    Door("voice-frames", "a message, the end, or a refusal", lambda: files(*_frames()), _voice_frames),
    Door("ear-blocks", "a message or the end", lambda: files(*_blocks()), _ear_blocks),
    Door("page", "an answer that is no fault, then good ones", lambda: files(*_requests()), _page),
)
"""All of them."""
