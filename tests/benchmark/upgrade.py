"""Journals of earlier versions, opened by this one: `python -m tests.benchmark upgrade`.

The wheel of each version is built from its commit and put into an environment of its own. Its program does
a whole job and half of another by keyboard, and tells the facts of both. Then this version opens the journal:
it must tell the same facts, leave what was written as it is, and bring the half job to its end. With `--keep`
the journal and its facts are kept as golden files, for the tests.
"""

from __future__ import annotations

import argparse
import gzip
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from assistant.app import resumed_session
from assistant.commands.understanding import from_line
from assistant.journal import DurableFirst, open_journal, read_journal
from assistant.timekeeping.clock import RecordedClock
from tests.bench import SHEET, START, grammar
from tests.benchmark.kill import ANSWERS, ROOT, environment
from tests.benchmark.outcome import write
from tests.journal import old_facts

COMMITS: Mapping[str, str] = {
    "1": "0d6e978",
    "2": "b7c10ba",
    "3": "4625f9e",
    "4": "eeb5f4b",
    "5": "1a0505b",
}
"""The last commit before each change of the events: each is a version that may have written journals."""
GOLDEN = Path(__file__).parent.parent / "journal" / "versions"
HALF = 40
"""Lines of the job that is broken off."""
LINES = (
    "import json; from tests.straight_job import SAID;"
    "print(json.dumps({step: [one for one in some if isinstance(one, str)] for step, some in SAID.items()}))"
)
"""Prints what is said at each step of that version's service."""
Said = Mapping[str, list[str]]


def golden(version: str) -> Path:
    """Return the file that keeps the journal of a version, packed; its facts lie beside it."""
    return GOLDEN / f"{version}.sqlite.gz"


def run(*command: str | Path, cwd: Path, env: Mapping[str, str] | None = None, said: str = "") -> str:
    """Run a command, `said` to it line by line, and return what it prints; its complaint is raised."""
    words = [str(part) for part in command]
    done = subprocess.run(
        words, cwd=cwd, env=env, input=said, capture_output=True, text=True, check=False, timeout=300
    )
    if done.returncode not in (0, 3):
        raise RuntimeError(
            f"{words[:4]} ended with {done.returncode}: {done.stdout[-500:]}{done.stderr[-1500:]}"
        )
    return done.stdout


@contextmanager
def checked_out(commit: str, folder: Path) -> Iterator[Path]:
    """Give the sources of a commit in a folder of their own."""
    place = folder / "source"
    run("git", "worktree", "add", "--detach", "--quiet", place, commit, cwd=ROOT)
    try:
        yield place
    finally:
        run("git", "worktree", "remove", "--force", place, cwd=ROOT)


def installed(source: Path, folder: Path) -> Path:
    """Build the wheel of the sources, install it in a new environment, and return that one's Python."""
    build = (sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, source)
    run(*build, cwd=folder)
    venv = folder / "venv"
    run(sys.executable, "-m", "venv", "--without-pip", venv, cwd=folder)
    python = venv / "bin" / "python"
    wheel = next(folder.glob("*.whl"))
    run(
        sys.executable,
        "-m",
        "pip",
        "--python",
        python,
        "install",
        "--no-deps",
        "--no-index",
        wheel,
        cwd=folder,
    )
    library = run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip()
    parts = [path for path in sys.path if path.endswith("site-packages")]
    (Path(library) / "borrowed.pth").write_text("\n".join(parts), "utf-8")
    return python


def written(commit: str, folder: Path) -> tuple[Path, dict[str, Any], Said]:
    """Let a version do its jobs; return its journal, its facts as it tells them, and what is said when."""
    journal, home = folder / "journal.sqlite", {**environment(folder), "PYTHONPATH": ""}
    with checked_out(commit, folder) as source:
        python = installed(source, folder)
        said = json.loads(run(python, "-c", LINES, cwd=source, env={**home, "PYTHONPATH": str(source)}))
        lines = [line for some in said.values() for line in some]
        ends = ("--journal", journal, "--ear", "keyboard", "--voice", "print")
        start = ("start", "automatic-drain-refill", "--vehicle", source / "tests/data" / SHEET.name, *ends)
        for some in (lines, lines[:HALF]):
            run(python, "-m", "assistant", *start, cwd=folder, env=home, said="\n".join(some) + "\n")
    told = run(python, "-c", Path(old_facts.__file__).read_text("utf-8"), journal, cwd=folder, env=home)
    return journal, json.loads(told), said


def finish(journal: Path, job: str, said: Said) -> str:
    """Take a job up in this version and bring it to its end; return how it ended, or where it stands."""
    with open_journal(journal, START) as store:
        history = store.read(job)
        clock = RecordedClock(history[-1].at.later(30_000))
        session = resumed_session(
            history=history, outbox=DurableFirst(store), clock=clock, say=lambda _: True
        )
        session.reopen()
        for step in list(said)[list(said).index(session.state.step_id) :]:
            for line in said[step] if step == session.state.step_id else ():
                question = session.state.question
                for words in (
                    *([ANSWERS[question.name]] if question and question.name in ANSWERS else ()),
                    line,
                ):
                    clock.advance(4_000)
                    session.pass_time()
                    session.hear(from_line(words, grammar()))
        assert store.read(job)[: len(history)] == history
        return session.state.ended or f"at {session.state.step_id}"


def tried(version: str, keep: bool) -> dict[str, Any]:
    """Write by the old version, open by this one; return what came of it."""
    with tempfile.TemporaryDirectory(prefix="upgrade") as name:
        folder = Path(name)
        journal, then, said = written(COMMITS[version], folder)
        if keep:
            GOLDEN.mkdir(exist_ok=True)
            golden(version).write_bytes(gzip.compress(journal.read_bytes(), mtime=0))
            text = json.dumps(then, indent=1, sort_keys=True)
            (GOLDEN / f"{version}.json").write_text(text + "\n", "utf-8")
        now = json.loads(json.dumps(old_facts.told(journal)))
        ended = [finish(journal, job, said) for job, one in then.items() if not one["ended"]]
        with read_journal(journal) as store:
            counts = {job: len(store.read(job)) for job in then}
        return {
            "commit": COMMITS[version],
            "jobs": len(then),
            "events": sum(counts.values()),
            "facts that differ": old_facts.differing(then, now),
            "half jobs brought to their end": ended,
        }


def main(argv: list[str]) -> int:
    """Try every version and write the result; 1 where a fact differs or a job cannot be finished."""
    parser = argparse.ArgumentParser(prog="upgrade", description=__doc__)
    parser.add_argument("--keep", action="store_true", help="keep golden files of versions without one")
    parser.add_argument("--only", nargs="*", choices=sorted(COMMITS))
    given = parser.parse_args(argv)
    figures: dict[str, dict[str, Any]] = {}
    for version in given.only or COMMITS:
        figures[version] = tried(version, given.keep and not golden(version).exists())
        print(version, figures[version], flush=True)
    write("upgrade", argv, None, len(figures), figures)
    ends = {end for one in figures.values() for end in one["half jobs brought to their end"]}
    return int(ends != {"complete"} or any(one["facts that differ"] for one in figures.values()))
