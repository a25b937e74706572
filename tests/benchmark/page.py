"""The page's speed and cost: `python -m tests.benchmark page`.

How long from asking for the page until the step is on the screen; how long from a durable event until a
browser has drawn it, beside the job and by way of the journal; and what many watchers cost the computer.
Chromium without a window, on the same machine.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import multiprocessing
import os
import shutil
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from assistant.commands.page_beside import ShownOutbox
from assistant.commands.page_watch import LOOK_S, Watch
from assistant.display.page.feed import Feed
from assistant.display.page.server import Door, Page
from assistant.journal.open import open_journal
from assistant.journal.outbox import DurableFirst
from assistant.timekeeping.clock import SystemClock
from tests.bench import START, Bench
from tests.benchmark.outcome import write
from tests.straight_job import SAID, say

LOAD_MS, EVENT_MS, SHARE = 300.0, 100.0, 0.05
WATCHERS = 50
ARGUMENTS = [
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DRAWN = """() => {
  const watcher = new MutationObserver(() => requestAnimationFrame(() => {
    const read = (where) => document.querySelector(where)?.textContent;
    const now = read("#in-number") + read("#count");
    if (!read("#count") || now === window.shownLast) return;
    window.shownLast = now;
    (window.drawn ||= []).push(performance.timeOrigin + performance.now());
  }));
  watcher.observe(document, { subtree: true, childList: true, characterData: true });
}"""
"""Notes when a frame with a new step or amount is drawn."""


@contextmanager
def browser() -> Iterator[Any]:
    """A browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        yield running
        running.close()


def opened(running: Any, address: str) -> tuple[Any, Any]:
    """A fresh window, without a cache, at the page; and the time its step was drawn, in ms from asking."""
    context = running.new_context(viewport={"width": 1280, "height": 800})
    tab = context.new_page()
    tab.add_init_script(f"({DRAWN})()")
    tab.goto(address)
    tab.wait_for_function("() => window.drawn", polling=5)
    return context, tab


def loads(running: Any, address: str, times: int) -> list[float]:
    """Milliseconds from asking for the page until the step is drawn, each in a fresh browser profile."""
    found = []
    for _ in range(times):
        context, tab = opened(running, address)
        found.append(tab.evaluate("() => window.drawn[0] - performance.timeOrigin"))
        context.close()
    return found


def events(tab: Any, pour: Callable[[], float], times: int) -> list[float]:
    """Milliseconds from each durable event until it is drawn; `pour` makes one and returns when."""
    found = []
    for _ in range(times):
        tab.evaluate("() => { window.drawn = null; }")
        durable = pour()
        tab.wait_for_function("() => window.drawn", polling=5)
        found.append(tab.evaluate("() => window.drawn[0]") - durable * 1000)
    return found


class Pouring:
    """A job at a step that takes amounts; `written` holds the time its newest event was durable."""

    def __init__(self, folder: Path) -> None:
        self.place = folder / "journal.sqlite"
        self.journal = open_journal(self.place, START)
        self.bench = Bench(journal=self.journal)
        self.written = 0.0
        self._parts = itertools.cycle((4, 3))
        journal = self.journal

        class Timed(DurableFirst):
            def append(inner, job: str, facts: Any) -> Any:  # noqa: N805
                result = super().append(job, facts)
                self.written = time.time()
                return result

        self.outbox: DurableFirst = Timed(journal)
        self.bench.session.outbox = self.outbox
        for step, lines in SAID.items():
            if step == "pour":
                break
            for item in lines:
                say(self.bench, item)
        self.bench.hear("poured 3 litres")

    def pour(self) -> float:
        """Say another total; return when its event was durable."""
        self.bench.hear(f"correction {next(self._parts)} litres")
        return self.written


def beside(running: Any, folder: Path, times: int) -> tuple[list[float], list[float]]:
    """Loads and events of a page beside the job that is run."""
    job = Pouring(folder)
    page = Page(Door(), lambda: SystemClock().now().up_ms, lambda _: None)
    page.start()
    feed = Feed(page, job.bench.clock.now, live=True)
    job.bench.session.outbox = ShownOutbox(job.outbox, feed)
    feed.begin(job.bench.history)
    loaded = loads(running, page.address, times)
    context, tab = opened(running, page.address)
    drawn = events(tab, job.pour, times)
    context.close()
    page.close()
    job.journal.close()
    return loaded, drawn


def by_journal(running: Any, folder: Path, times: int) -> list[float]:
    """Events of a page that follows the file of a journal."""
    job = Pouring(folder)
    page = Page(Door(), lambda: SystemClock().now().up_ms)
    page.start()
    watch, over = Watch(str(job.place), Feed(page, job.bench.clock.now)), threading.Event()

    def follow() -> None:
        while not over.wait(LOOK_S):
            watch.look()

    thread = threading.Thread(target=follow)
    thread.start()
    context, tab = opened(running, page.address)
    drawn = events(tab, job.pour, times)
    context.close()
    over.set()
    thread.join()
    page.close()
    job.journal.close()
    return drawn


def serve(pipe: Connection, seconds: float) -> None:
    """Serve a page with a new picture each second and a sound level twice; tell the processor time used."""
    page = Page(Door(), lambda: SystemClock().now().up_ms)
    page.start()
    bench = Bench()
    feed = Feed(page, bench.clock.now, live=True)
    feed.begin(bench.history)
    pipe.send(page.port)
    pipe.recv()
    begun, used = time.perf_counter(), time.process_time()
    for beat in range(round(seconds * 2)):
        page.give_sound(-20 - beat % 7, -50)
        if beat % 2:
            feed.said([f"sentence {beat}"])
        time.sleep(0.5)
    pipe.send(((time.process_time() - used) / (time.perf_counter() - begun), page.watchers))
    page.close()


async def watch_all(port: int, count: int, over: asyncio.Event) -> int:
    """Watch with `count` streams until `over`; return the bytes taken in."""

    async def one() -> int:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(f"GET /stream HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
        taken = 0
        while not over.is_set():
            try:
                taken += len(await asyncio.wait_for(reader.read(65536), 0.5))
            except TimeoutError:
                continue
        writer.close()
        return taken

    return sum(await asyncio.gather(*(one() for _ in range(count))))


def cost(count: int, seconds: float) -> float:
    """The share of a core that serving `count` watchers takes."""
    context = multiprocessing.get_context("spawn")
    mine, theirs = context.Pipe()
    child = context.Process(target=serve, args=(theirs, seconds))
    child.start()
    port = mine.recv()

    async def run() -> tuple[float, int]:
        over = asyncio.Event()
        watching = asyncio.create_task(watch_all(port, count, over))
        await asyncio.sleep(1.0)
        mine.send("go")
        used = await asyncio.to_thread(mine.recv)
        over.set()
        await watching
        return used

    share, watchers = asyncio.run(run())
    child.join(10)
    if watchers != count:
        raise RuntimeError(f"{watchers} watched, not {count}")
    return share


def told(times: list[float]) -> dict[str, float]:
    """Median and the worst but one in twenty."""
    return {
        "median": round(statistics.median(times), 1),
        "p95": round(statistics.quantiles(times, n=20)[18], 1),
    }


def _first_served() -> bool:
    """Say whether this was run with real-time priority (`chrt -r 1`), so that others on the computer wait."""
    return hasattr(os, "sched_getscheduler") and os.sched_getscheduler(0) in (os.SCHED_FIFO, os.SCHED_RR)


def main(argv: list[str]) -> int:
    """Measure and write the result; 1 when something is above what is promised."""
    parser = argparse.ArgumentParser(prog="page")
    parser.add_argument("--times", type=int, default=40)
    parser.add_argument("--seconds", type=float, default=20.0)
    arguments = parser.parse_args(argv)
    before = os.getloadavg()[0]
    idle, busy = cost(0, arguments.seconds), cost(WATCHERS, arguments.seconds)
    with browser() as running, tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as two:
        loaded, drawn = beside(running, Path(one), arguments.times)
        followed = by_journal(running, Path(two), arguments.times)
    figures = {
        "page asked for to step drawn, ms": {**told(loaded), "at most": LOAD_MS},
        "event durable to drawn, beside the job, ms": {**told(drawn), "at most": EVENT_MS},
        "event durable to drawn, by the journal, ms": {**told(followed), "at most": EVENT_MS},
        f"share of a core, {WATCHERS} watchers": {
            "with": round(busy, 4), "without": round(idle, 4), "at most": SHARE,
        },
        "load": "one picture a second and two sound levels a second to each watcher",
        "others": {
            "load average before": round(before, 1), "load average after": round(os.getloadavg()[0], 1),
            "niceness": os.nice(0), "before all others": _first_served(),
        },
    }  # fmt: skip
    write("page", argv, None, arguments.times, figures)
    slow = [statistics.median(loaded) > LOAD_MS, max(map(statistics.median, (drawn, followed))) > EVENT_MS]
    return int(any(slow) or busy > SHARE)
