"""Tells on stderr how far a longer piece of work has come: a bar on a terminal, else a line now and then."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO, TypeVar

if TYPE_CHECKING:
    from rich.console import Console

Item = TypeVar("Item")
Step = Callable[[int, int], None]
"""Takes how much is done of how much."""
_within = threading.Lock()
EVERY_S = 3.0
"""Between two lines where the output is no terminal; work that is over sooner tells nothing there."""


def percent(done: int, total: int) -> str:
    """Return how much is done, in percent."""
    return f"{100 * done // max(total, 1)} %"


def megabytes(done: int, total: int) -> str:
    """Return how many bytes are done, in megabytes."""
    return f"{done / 1e6:.1f} of {total / 1e6:.1f} MB"


@contextmanager
def working(
    what: str,
    told: Callable[[int, int], str] = percent,
    *,
    out: TextIO | None = None,
    now: Callable[[], float] = time.monotonic,
) -> Iterator[Step]:
    """Show that `what` is being done until the block ends; give what is told how far it has come.

    Until it is told anything, a bar moves without saying how far. `told` puts both figures into words.
    Work within other work is not shown by itself.
    """
    if not _within.acquire(blocking=False):
        yield lambda done, total: None
        return
    try:
        from rich.console import Console  # half a tenth of a second, which not every command has to pay

        console = Console(file=out, stderr=out is None)
        with _bar(what, told, console) if console.is_terminal else _lines(what, told, out, now) as step:
            yield step
    finally:
        _within.release()


@contextmanager
def _bar(what: str, told: Callable[[int, int], str], console: Console) -> Iterator[Step]:
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.fields[told]}", markup=False),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console, transient=True) as shown:
        task = shown.add_task(what, total=None, told="")
        yield lambda done, total: shown.update(task, completed=done, total=total, told=told(done, total))


@contextmanager
def _lines(
    what: str, told: Callable[[int, int], str], out: TextIO | None, now: Callable[[], float]
) -> Iterator[Step]:
    last = now()

    def step(done: int, total: int) -> None:
        nonlocal last
        if now() - last >= EVERY_S:
            last = now()
            print(f"{what}: {told(done, total)}", file=out or sys.stderr, flush=True)

    yield step


def counted(items: Iterable[Item], total: int, step: Step) -> Iterator[Item]:
    """Yield items, telling after each how many of `total` are done."""
    for number, item in enumerate(items, start=1):
        yield item
        step(number, total)


@contextmanager
def told_once(what: str) -> Iterator[None]:
    """Show that `what` is being done, of which nobody knows how far it is; elsewhere one line says so."""
    if not sys.stderr.isatty():
        print(what, file=sys.stderr, flush=True)
    with working(what):
        yield
