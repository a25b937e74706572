"""The wheel alone: built from the sources, put into a new environment, used from an empty folder."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from assistant import __version__

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.full


def run(*command: str | Path, cwd: Path, env: dict[str, str] | None = None) -> str:
    """Run a command and return what it prints; fail with its complaint."""
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built as anybody would, with the builder of this environment."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT, cwd=folder)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The `assistant` of a new environment that holds the wheel and borrows its parts from this one."""
    venv = tmp_path_factory.mktemp("fresh") / "venv"
    run(sys.executable, "-m", "venv", "--without-pip", venv, cwd=venv.parent)
    python = venv / "bin" / "python"
    purelib = run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=venv).strip()
    place = Path(purelib)
    run(
        sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index", wheel, cwd=venv
    )
    parts = [path for path in sys.path if path.endswith("site-packages")]
    (place / "borrowed.pth").write_text("\n".join(parts), "utf-8")
    return venv / "bin" / "assistant"


@pytest.fixture
def empty(tmp_path: Path) -> tuple[Path, dict[str, str]]:
    """An empty folder, and an environment whose home is empty, too."""
    (tmp_path / "home").mkdir()
    (tmp_path / "here").mkdir()
    kept = {name: value for name, value in os.environ.items() if name in ("PATH", "LANG", "LC_ALL")}
    return tmp_path / "here", {**kept, "HOME": str(tmp_path / "home")}


def test_the_data_are_inside(wheel: Path) -> None:
    """Grammar with its twin, procedures, an example sheet, the recorded job, the licence."""
    names = set(zipfile.ZipFile(wheel).namelist())

    for path in (*ROOT.glob("grammars/*"), *(ROOT / "recordings").iterdir()):
        assert f"assistant/_data/{path.relative_to(ROOT).as_posix()}" in names
    for path in (ROOT / "assistant").rglob("*.toml"):
        assert path.relative_to(ROOT).as_posix() in names
    assert any(name.endswith("/LICENSE") for name in names)
    assert not any(name.startswith(("tests/", ".ci/")) for name in names)


def test_it_runs_from_an_empty_folder_with_an_empty_home(
    installed: Path, empty: tuple[Path, dict[str, str]]
) -> None:
    """Its version, its folders, its card; every shipped folder is inside the environment."""
    here, env = empty

    assert run(installed, "--version", cwd=here, env=env) == f"assistant {__version__}\n"
    places = dict(line.split(maxsplit=1) for line in run(installed, "where", cwd=here, env=env).splitlines())
    for name in ("grammars", "recordings", "procedures"):
        assert Path(places[name]).is_relative_to(installed.parents[1])
        assert Path(places[name]).is_dir()
    for name in ("cache", "records", "journal", "settings"):
        assert Path(places[name]).is_relative_to(env["HOME"])
    assert "emergency" in run(installed, "card", cwd=here, env=env)
    assert list(here.iterdir()) == []


def test_a_job_by_keyboard_runs_from_the_wheel(installed: Path, empty: tuple[Path, dict[str, str]]) -> None:
    """With the shipped procedure and sheet, kept in the journal of the empty home."""
    here, env = empty
    places = dict(line.split(maxsplit=1) for line in run(installed, "where", cwd=here, env=env).splitlines())
    sheet = Path(places["procedures"]) / "vehicles" / "example.toml"
    done = subprocess.run(
        [installed, "start", "automatic-drain-refill", "--vehicle", sheet, "--unit", "automatic transmission",
         "--ear", "keyboard", "--voice", "print"],
        cwd=here, env=env, input="where are we\n", capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr
    assert "Step one." in done.stdout
    assert "RECORD OF A JOB" in run(installed, "report", cwd=here, env=env)
