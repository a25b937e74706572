"""The model on disk: whole or refused; a fetch that goes wrong leaves nothing behind.

The stand-in artifact is used for the ways a download fails; the real one is fetched by the full tier.
"""

from __future__ import annotations

import errno
import hashlib
import io
import threading
import zipfile
from pathlib import Path

import pytest

from assistant.errors import MissingPart, WrongInput
from assistant.hearing.model import MODEL_FILES, default_folder, fetch_model, find_model, missing_from


def artifact(without: str = "", extra: str = "") -> bytes:
    """An archive with every file of the model, each holding a few bytes."""
    sink = io.BytesIO()
    with zipfile.ZipFile(sink, "w") as archive:
        archive.writestr("AndroidManifest.xml", "<manifest/>")
        archive.writestr("assets/model-en-us/am/", "")
        for name in MODEL_FILES:
            if name != without:
                archive.writestr(f"assets/model-en-us/{name}", name)
        if extra:
            archive.writestr(extra, "out of its place")
    return sink.getvalue()


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Told:
    """Remembers the progress it was told."""

    def __init__(self) -> None:
        self.steps: list[tuple[int, int]] = []

    def __call__(self, done: int, total: int) -> None:
        self.steps.append((done, total))


class Delivery:
    """A download that delivers these bytes, possibly failing after some of them."""

    def __init__(self, data: bytes, failure: BaseException | None = None, after: int = 0) -> None:
        self.data, self.failure, self.after, self.calls = data, failure, after, 0

    def __call__(self, work: Path, progress: object) -> Path:
        self.calls += 1
        file = work / "artifact.aar"
        file.write_bytes(self.data[: self.after] if self.failure else self.data)
        assert callable(progress)
        progress(file.stat().st_size, len(self.data))
        if self.failure:
            raise self.failure
        return file


def left_in(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir() if not entry.name.endswith(".lock"))


def test_a_good_download_is_put_in_place_whole(tmp_path: Path) -> None:
    data, told = artifact(), Told()
    to = tmp_path / "deep" / "model"
    assert fetch_model(to, told, download=Delivery(data), sha256=digest(data)) == to
    assert missing_from(to) is None
    assert find_model(to, tmp_path) == to
    assert left_in(to.parent) == ["model"]
    assert told.steps == [(len(data), len(data))]


def test_a_complete_model_is_not_fetched_again(tmp_path: Path) -> None:
    data = artifact()
    delivery = Delivery(data)
    for _ in range(2):
        fetch_model(tmp_path / "model", Told(), download=delivery, sha256=digest(data))
    assert delivery.calls == 1


@pytest.mark.parametrize(
    "failure",
    [
        ConnectionError("no connection"),
        KeyboardInterrupt(),
        TimeoutError("timed out"),
        OSError(errno.ENOSPC, "No space left on device"),
        RuntimeError("artifact not found"),
    ],
    ids=lambda failure: type(failure).__name__,
)
def test_a_broken_download_says_what_to_put_where_and_leaves_nothing(
    tmp_path: Path, failure: BaseException
) -> None:
    data, to = artifact(), tmp_path / "model"
    with pytest.raises(MissingPart) as told:
        fetch_model(to, Told(), download=Delivery(data, failure, after=900), sha256=digest(data))
    text = str(told.value)
    assert str(to) in text
    assert "assistant fetch" in text
    assert "\n" not in text
    assert text.count(". ") == 0
    assert left_in(tmp_path) == []
    fetch_model(to, Told(), download=Delivery(data), sha256=digest(data))  # and then it goes through
    assert missing_from(to) is None


@pytest.mark.parametrize("data", [artifact()[:-200], artifact() + b"x", b""], ids=["short", "long", "empty"])
def test_a_wrong_checksum_is_refused(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(MissingPart, match="checksum"):
        fetch_model(tmp_path / "model", Told(), download=Delivery(data), sha256=digest(artifact()))
    assert left_in(tmp_path) == []


def test_an_archive_that_lacks_a_file_is_refused_by_its_name(tmp_path: Path) -> None:
    data = artifact(without="ivector/final.ie")
    with pytest.raises(MissingPart, match=r"ivector/final\.ie is missing"):
        fetch_model(tmp_path / "model", Told(), download=Delivery(data), sha256=digest(data))
    assert left_in(tmp_path) == []


@pytest.mark.parametrize(
    "name", ["assets/model-en-us/../../escaped", "assets/model-en-us/am/../../../escaped"]
)
def test_no_name_in_the_archive_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    data = artifact(extra=name)
    with pytest.raises(MissingPart, match="not allowed"):
        fetch_model(tmp_path / "inner" / "model", Told(), download=Delivery(data), sha256=digest(data))
    assert not list(tmp_path.rglob("escaped"))


def test_a_damaged_model_is_replaced_and_foreign_files_are_not(tmp_path: Path) -> None:
    data, to = artifact(), tmp_path / "model"
    fetch_model(to, Told(), download=Delivery(data), sha256=digest(data))
    (to / "graph" / "HCLr.fst").unlink()
    fetch_model(to, Told(), download=Delivery(data), sha256=digest(data))
    assert missing_from(to) is None
    mine = tmp_path / "photos"
    mine.mkdir()
    (mine / "gearbox.jpg").write_bytes(b"picture")
    with pytest.raises(WrongInput, match="holds other files"):
        fetch_model(mine, Told(), download=Delivery(data), sha256=digest(data))
    assert left_in(mine) == ["gearbox.jpg"]


def test_what_a_killed_fetch_left_is_swept_away(tmp_path: Path) -> None:
    data = artifact()
    (tmp_path / ".model.part-dead" / "repository").mkdir(parents=True)
    fetch_model(tmp_path / "model", Told(), download=Delivery(data), sha256=digest(data))
    assert left_in(tmp_path) == ["model"]


def test_two_at_once_fetch_once(tmp_path: Path) -> None:
    data = artifact()
    delivery = Delivery(data)
    workers = [
        threading.Thread(
            target=fetch_model,
            args=(tmp_path / "model", Told()),
            kwargs={"download": delivery, "sha256": digest(data)},
        )
        for _ in range(4)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert delivery.calls == 1
    assert missing_from(tmp_path / "model") is None


def test_find_model_says_which_file_is_missing(tmp_path: Path) -> None:
    data, place = artifact(), default_folder(tmp_path)
    with pytest.raises(MissingPart, match="assistant fetch") as told:
        find_model(None, tmp_path)
    assert str(place) in str(told.value)
    fetch_model(place, Told(), download=Delivery(data), sha256=digest(data))
    assert find_model(None, tmp_path) == place
    (place / "graph" / "Gr.fst").write_bytes(b"")
    with pytest.raises(MissingPart, match=r"graph/Gr\.fst is empty"):
        find_model(None, tmp_path)


def test_a_copy_of_our_model_is_checked_by_size(tmp_path: Path) -> None:
    data, place = artifact(), tmp_path / "model"
    fetch_model(place, Told(), download=Delivery(data), sha256=digest(data))
    (place / "uuid").write_text("8299698e-4447-4ce1-be96-cccda9168067")
    assert "instead of" in (missing_from(place) or "")


@pytest.mark.parametrize("name", ["модель с пробелом", "a model"])
def test_a_wrapped_model_in_an_awkward_folder_is_found(tmp_path: Path, name: str) -> None:
    data, place = artifact(), tmp_path / name / "assets" / "model-en-us"
    fetch_model(place, Told(), download=Delivery(data), sha256=digest(data))
    assert find_model(tmp_path / name, tmp_path) == place


def test_a_folder_without_a_model(tmp_path: Path) -> None:
    with pytest.raises(MissingPart, match="am, conf, graph and ivector"):
        find_model(tmp_path, tmp_path)
