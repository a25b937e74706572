"""What holds for the whole project: imports run inward, small modules, documented names, no stray paths."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from assistant.commands import COMMANDS

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "assistant"
CORE = ("phrasing", "dialogue", "job", "reckoning", "grammar", "units")
MOST_LINES, MOST_LINES_OF_A_FUNCTION = 400, 60
IMPURE = frozenset(
    {
        "time", "threading", "multiprocessing", "asyncio", "random", "secrets", "uuid", "ulid", "subprocess",
        "socket", "pathlib", "os", "io", "sqlite3", "tempfile", "shutil", "vosk", "sounddevice", "soundfile",
        "pyttsx3", "sqlalchemy", "numpy",
    }
)  # fmt: skip
"""What the core never imports: clocks, files, threads, chance, devices, stores."""
IMPURE_CALLS = frozenset({"open", "input", "print", "now", "utcnow", "today"})
VAGUE = re.compile(r"(^|_)(utils?|helpers?|common|misc)(_|$)")
MACHINE_PATH = re.compile(r"(?<![\w.])/(work|root|tmp|home/\w+)/")


@cache
def tree(path: Path) -> ast.Module:
    """The syntax of a module."""
    return ast.parse(path.read_text("utf-8"), str(path))


def modules(*folders: Path) -> list[Path]:
    """Every module of these folders, of the package where none is named."""
    return sorted(path for folder in folders or (PACKAGE,) for path in folder.rglob("*.py"))


def told(path: Path, line: int, what: str) -> str:
    """One finding, as an editor takes it."""
    return f"{path.relative_to(ROOT)}:{line}: {what}"


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """Line and top-level name of every absolute import."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, one.name.split(".")[0]) for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.lineno, node.module.split(".")[0]


def test_the_core_reads_no_clock_opens_no_file_and_draws_no_chance() -> None:
    """Neither by import nor by a built-in; the import contracts say the same of what it imports."""
    found = []
    for path in modules(*(PACKAGE / room for room in CORE)):
        found += [told(path, line, name) for line, name in imported(path) if name in IMPURE]
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Call):
                called = node.func
                name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
                if name in IMPURE_CALLS:
                    found.append(told(path, node.lineno, f"{name}()"))
    assert not found, "\n".join(found)


def test_modules_are_small() -> None:
    """A module that grows is two things."""
    sizes = {path: len(path.read_text("utf-8").splitlines()) for path in modules(PACKAGE, ROOT / "tests")}
    found = [told(path, size, "lines") for path, size in sizes.items() if size > MOST_LINES]
    assert not found, "\n".join(found)


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def test_functions_are_short() -> None:
    """One can be read without scrolling."""
    found = []
    for path in modules(PACKAGE, ROOT / "tests"):
        for one in functions(path):
            length = (one.end_lineno or one.lineno) - one.lineno + 1
            if length > MOST_LINES_OF_A_FUNCTION:
                found.append(told(path, one.lineno, f"{one.name} has {length} lines"))
    assert not found, "\n".join(found)


def public(path: Path) -> Iterator[ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef]:
    """The module, its public classes and functions, and the public methods of its public classes."""
    module = tree(path)
    yield module
    for node in module.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield node
            yield from (
                inner
                for inner in node.body
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_")
            )
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith("_"):
            yield node


def test_every_public_name_says_what_it_promises() -> None:
    """Modules, classes, functions, methods."""
    found = [
        told(path, getattr(node, "lineno", 1), getattr(node, "name", "module"))
        for path in modules()
        for node in public(path)
        if not ast.get_docstring(node)
    ]
    assert not found, "\n".join(found)


def test_no_room_is_named_after_a_habit() -> None:
    """What belongs together has a name of its own."""
    places = [path for folder in (PACKAGE, ROOT / "tests") for path in folder.rglob("*")]
    found = [str(path.relative_to(ROOT)) for path in places if VAGUE.search(path.stem.lower())]
    assert not found, "\n".join(found)


def shipped() -> list[Path]:
    """Every text of the project that is not a test."""
    texts = [path for path in ROOT.iterdir() if path.is_file() and path.suffix in (".md", ".toml", "")]
    for folder in ("assistant", "grammars", "recordings", ".ci"):
        texts += [path for path in (ROOT / folder).rglob("*") if path.is_file()]
    texts = [
        path for path in texts if path.suffix not in (".flac", ".pyc", ".log") and path.name != "LICENSE"
    ]
    return sorted(path for path in texts if "__pycache__" not in path.parts)


def test_no_path_of_a_machine_is_written_down() -> None:
    """Neither where it was built nor where somebody lives."""
    found = [
        told(path, number, line.strip())
        for path in shipped()
        for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1)
        if MACHINE_PATH.search(line)
    ]
    assert not found, "\n".join(found)


def names(requirements: list[str]) -> set[str]:
    """The distributions of a list of requirements."""
    return {re.split(r"[\[<>=;~! ]", one)[0].lower().replace("_", "-") for one in requirements}


NAMED = {"piper": "piper-tts", "hibari": "hibari-tts"}
"""Packages of an extra that need not be installed, whose import has another name."""
OPTIONAL = ("postgres.py", "plots.py", "pdf.py", "natural.py")
"""Modules that a part of the program may do without: they import what an extra brings."""


def test_every_part_that_is_imported_is_required() -> None:
    """The program's own in the dependencies, the tests' in the extra of the tests."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    needed = names(project["dependencies"])
    extras = {one for extra in project["optional-dependencies"].values() for one in names(extra)}
    homes = packages_distributions()
    found = []
    for path in modules(PACKAGE, ROOT / "tests"):
        optional = path.is_relative_to(ROOT / "tests") or path.name in OPTIONAL
        here = needed | (extras if optional else set())
        for line, name in imported(path):
            if name in sys.stdlib_module_names or name in ("assistant", "tests"):
                continue
            installed = homes.get(name, [NAMED.get(name, name)])
            if not {one.lower().replace("_", "-") for one in installed} & here:
                found.append(told(path, line, name))
    assert not found, "\n".join(found)


README = (ROOT / "README.md").read_text("utf-8")
FRESH = "python3 -m venv .venv && "
INSTALL_AND_SHOW = FRESH + ".venv/bin/pip install . && .venv/bin/assistant demo"
INSTALL_AND_TEST = FRESH + ".venv/bin/pip install '.[test]' && .venv/bin/pytest --full -n 2 --dist loadfile"


def test_the_two_commands_of_the_readme_stand_there_whole() -> None:
    """Each on a line of its own, to be copied; the first installs no part of the tests."""
    lines = [line.strip() for line in README.splitlines()]
    assert INSTALL_AND_SHOW in lines
    assert INSTALL_AND_TEST in lines
    assert 'assistant = "assistant.__main__:main"' in (ROOT / "pyproject.toml").read_text("utf-8")


def test_ci_runs_the_test_command_of_the_readme() -> None:
    """Taken from it, not copied."""
    assert "README.md" in (ROOT / ".ci" / "run").read_text("utf-8")


def offered() -> list[str]:
    """The commands of the program, as its help lists them."""
    help_text = subprocess.run(
        [sys.executable, "-m", "assistant", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    return re.findall(r"^    (\w+) ", help_text, re.MULTILINE)


def test_every_command_is_in_the_readme_and_no_other() -> None:
    """What --help offers is what the table lists."""
    rows = set(re.findall(r"^\| `assistant (\w+)", README, re.MULTILINE))

    assert len(COMMANDS) <= len(offered())
    assert set(offered()) == rows


def test_every_room_is_in_the_table_of_the_developers() -> None:
    """With nothing in it that is not there."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    rooms = {
        path.name
        for path in PACKAGE.iterdir()
        if path.is_dir() and (any(path.glob("*.py")) or any(path.glob("*.toml")))
    }
    rows = set(re.findall(r"^\| `assistant/(\w+)/`", text, re.MULTILINE))

    assert rows == rooms
    for named in re.findall(r"`((?:assistant|grammars|tests|recordings|\.ci)/[\w./-]+)`", text + README):
        if "NAME" not in named and "my-" not in named:
            assert (ROOT / named).exists(), named


def run(*command: str) -> str:
    """What a tool says, empty when it finds nothing."""
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return "" if done.returncode == 0 else done.stdout + done.stderr


def test_ruff_finds_nothing() -> None:
    """By the rules of pyproject.toml."""
    complaint = run("ruff", "check", "--quiet", ".")
    assert not complaint, complaint


def test_everything_is_formatted() -> None:
    """By ruff."""
    complaint = run("ruff", "format", "--check", "--quiet", ".")
    assert not complaint, complaint


@pytest.mark.full
def test_types_hold() -> None:
    """Strictly, in the whole package."""
    complaint = run("mypy", "-p", "assistant")
    assert not complaint, complaint


def test_imports_run_inward() -> None:
    """The contracts of pyproject.toml are kept."""
    tool = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([tool], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
