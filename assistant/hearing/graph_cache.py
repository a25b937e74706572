"""The recogniser's own folder: the model's files linked, with our grammar as its word graph.

Made once for each grammar, model and setting, kept in the user's cache under a hash of the three,
checked every time it is opened and made again when anything in it is not as it was written.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

from filelock import FileLock

from assistant.errors import MissingPart
from assistant.grammar.acceptor import Acceptor
from assistant.grammar.graph import UnknownLoop, graph_bytes, word_ids, words_txt

_FORMAT = 2
"""Raised when the way a folder is written changes, so that older folders are not used."""
_LINKED = (
    "am/final.mdl",
    "graph/HCLr.fst",
    "graph/disambig_tid.int",
    "graph/phones/word_boundary.int",
    "ivector/final.dubm",
    "ivector/final.ie",
    "ivector/final.mat",
    "ivector/global_cmvn.stats",
    "ivector/online_cmvn.conf",
    "ivector/splice.conf",
)
_MODEL_CONF, _SOUND_CONF = "conf/model.conf", "conf/mfcc.conf"
_GRAPH, _WORDS, _CONTENTS = "graph/Gr.fst", "graph/words.txt", "contents.json"
_KEPT = 6
_PART = ".part-"


@dataclass(frozen=True, slots=True)
class DecoderSettings:
    """What differs from the settings the model comes with."""

    lattice_beam: float = 8.0
    """Stock 2.0 leaves one alternative and a confidence of 1.0; from 8 on a real list of alternatives."""
    frames_per_chunk: int = 9
    """Feature frames of 10 ms decoded at once: stock 24 makes the last word 65-90 ms later."""
    trailing_silence: float = 2.0
    """Seconds; the recogniser's own endpoint rules, only a backstop behind the endpointer."""
    lattice_bytes: int = 1_000_000
    """Memory the recogniser may take to look through its alternatives, stock 50 MB; beyond it looks at
    fewer. No command needs so much; in talk in noise the stock bound made a minute of sound cost 31 s."""
    dither: float = 0.0
    """The stock front end adds random noise of one step of a sample, so that no two runs agree. We add
    the same noise to every utterance ourselves, see `segment`."""
    unknown: UnknownLoop = field(default_factory=UnknownLoop)

    def sound_conf(self, stock: str) -> str:
        """Return the text of mfcc.conf: the model's own options with ours in their place."""
        return _text({**_options(stock), "--dither": f"{self.dither}"})

    def model_conf(self, stock: str) -> str:
        """Return the text of model.conf: the model's own options with ours in their place."""
        options = _options(stock)
        options["--lattice-beam"] = f"{self.lattice_beam}"
        options["--max-mem"] = f"{self.lattice_bytes}"
        options["--frames-per-chunk"] = f"{self.frames_per_chunk}"
        for rule in (2, 3, 4):
            options[f"--endpoint.rule{rule}.min-trailing-silence"] = f"{self.trailing_silence}"
        return _text(options)


def _options(conf: str) -> dict[str, str]:
    return dict(line.split("=", 1) for line in conf.split() if "=" in line)


def _text(options: Mapping[str, str]) -> str:
    return "".join(f"{name}={value}\n" for name, value in options.items())


def prepared_folder(
    acceptor: Acceptor,
    model: Path,
    cache: Path,
    settings: DecoderSettings | None = None,
    building: contextlib.AbstractContextManager[None] | None = None,
) -> Path:
    """Return the folder the recogniser opens, made now if it is not in the cache or is damaged.

    `model` is a complete model folder, `cache` the user's cache folder; `building` is entered while it
    is made. Raises `WrongInput` naming every word the model lacks, `MissingPart` when the folder cannot be
    written.
    """
    chosen = settings or DecoderSettings()
    home = cache.absolute() / "graphs"
    folder = home / _name(acceptor, model, chosen)
    if is_sound(folder):
        return folder
    try:
        home.mkdir(parents=True, exist_ok=True)
        with FileLock(home / ".lock"):
            if not is_sound(folder):
                with building or contextlib.nullcontext():
                    _build(folder, acceptor, model, chosen)
                _prune(home, folder)
    except OSError as problem:
        raise MissingPart(
            f"The compiled grammar cannot be kept in {home} ({problem.strerror or problem}); "
            "make room there, or name another cache folder."
        ) from problem
    return folder


def is_sound(folder: Path) -> bool:
    """Return whether every file of a prepared folder is as it was written.

    Sizes are compared for the linked files, checksums for those we wrote ourselves.
    """
    try:
        contents = json.loads((folder / _CONTENTS).read_text("utf-8"))
        sizes_hold = all((folder / name).stat().st_size == size for name, size in contents["sizes"].items())
        return sizes_hold and all(
            hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
            for name, digest in contents["written"].items()
        )
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return False


def _name(acceptor: Acceptor, model: Path, settings: DecoderSettings) -> str:
    told = hashlib.sha256(f"{_FORMAT} {json.dumps(asdict(settings), sort_keys=True)}\n".encode())
    for name in (*_LINKED, _MODEL_CONF, _SOUND_CONF, _GRAPH):
        told.update(f"{name} {(model / name).stat().st_size}\n".encode())
    told.update((model / _MODEL_CONF).read_bytes() + (model / _SOUND_CONF).read_bytes())
    told.update(f"{acceptor.start} {sorted(acceptor.finals.items())}\n".encode())
    for arcs in acceptor.arcs:
        told.update(repr([(arc.word, arc.cost, arc.target) for arc in arcs]).encode())
    for state, tails in acceptor.tails.items():
        told.update(repr((state, [(tail.cost, tail.target) for tail in tails])).encode())
    return told.hexdigest()[:24]


def _build(folder: Path, acceptor: Acceptor, model: Path, settings: DecoderSettings) -> None:
    for left in folder.parent.glob(f"{_PART}*"):  # of a killed build: the lock is held
        shutil.rmtree(left, ignore_errors=True)
    ids = word_ids((model / _GRAPH).read_bytes())
    written = {
        _GRAPH: graph_bytes(acceptor, ids, settings.unknown),
        _WORDS: words_txt(acceptor.words, ids),
        _MODEL_CONF: settings.model_conf((model / _MODEL_CONF).read_text("utf-8")).encode("utf-8"),
        _SOUND_CONF: settings.sound_conf((model / _SOUND_CONF).read_text("utf-8")).encode("utf-8"),
    }
    work = Path(tempfile.mkdtemp(prefix=_PART, dir=folder.parent))
    try:
        for name in _LINKED:
            _link(model / name, work / name)
        for name, data in written.items():
            _write(work / name, data)
        _write(work / _CONTENTS, _contents(work, written))
        if folder.exists():
            shutil.rmtree(folder)
        os.replace(work, folder)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _contents(work: Path, written: Mapping[str, bytes]) -> bytes:
    table = {
        "sizes": {name: (work / name).stat().st_size for name in (*_LINKED, *written)},
        "written": {name: hashlib.sha256(data).hexdigest() for name, data in written.items()},
    }
    return json.dumps(table, indent=1).encode("utf-8")


def _link(source: Path, target: Path) -> None:
    """Hard link where possible (it outlives the model folder), else a copy."""
    target.parent.mkdir(parents=True, exist_ok=True)
    real = source.resolve()
    try:
        os.link(real, target)
    except OSError:
        shutil.copyfile(real, target)


def _write(file: Path, data: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("wb") as sink:
        sink.write(data)
        sink.flush()
        os.fsync(sink.fileno())


def _prune(home: Path, used: Path) -> None:
    """Keep the few folders made last; a recogniser that has one open holds it in memory."""
    others = [entry for entry in home.iterdir() if entry.is_dir() and entry != used]
    others.sort(key=lambda entry: entry.stat().st_mtime, reverse=True)
    for entry in others[_KEPT - 1 :]:
        with contextlib.suppress(OSError):
            shutil.rmtree(entry)
