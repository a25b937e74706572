"""A page beside the workbench's job, and a real browser that looks at it."""

from __future__ import annotations

import queue
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from assistant.commands.understanding import from_line
from assistant.display.page.feed import Feed
from assistant.display.page.server import Door, Page
from assistant.job.events import Event
from tests.bench import Bench, grammar

ARGUMENTS = [
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass
class Shown:
    """A job with its page: what happens to the one is shown on the other."""

    door: Door = field(default_factory=Door)
    bench: Bench = field(default_factory=Bench)
    beat_s: float = 15.0
    touchable: bool = True

    def __post_init__(self) -> None:
        """Serve the page of the job."""
        self.touched: queue.Queue[str] = queue.Queue()
        self.page = Page(
            self.door,
            lambda: self.bench.clock.now().up_ms,
            self.touched.put if self.touchable else None,
            self.beat_s,
        )
        self.page.start()
        self.feed = Feed(self.page, self.bench.clock.now, live=True)
        self.bench.session.committed = self._committed
        self.feed.begin(self.bench.history)

    def _committed(self, events: Sequence[Event]) -> None:
        self.feed.take(events)

    @property
    def address(self) -> str:
        """Where the page is."""
        return self.page.address

    def hear(self, *lines: str) -> None:
        """Say lines to the job."""
        self.bench.hear(*lines)

    def answer_touch(self) -> str:
        """Wait for a touched word and give it to the job, as the ear would."""
        line = self.touched.get(timeout=5)
        self.bench.session.hear(from_line(line, grammar()))
        return line


@pytest.fixture
def shown() -> Iterator[Callable[..., Shown]]:
    """Return what serves the page of a job; all are closed in the end."""
    made: list[Shown] = []

    def make(**given: Any) -> Shown:
        made.append(Shown(**given))
        return made[-1]

    yield make
    for one in made:
        one.page.close()


@pytest.fixture(scope="module")
def chromium(request: pytest.FixtureRequest) -> Iterator[Any]:
    """Return a running browser; skips where there is none.

    For one module only: while it runs, so does an event loop, and no other can be begun.
    """
    every_part = request.config.getoption("--every-part")

    def absent(reason: str) -> None:
        if every_part:
            pytest.fail(f"a required part is missing: {reason}")
        pytest.skip(reason)

    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        absent("playwright is not installed")
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        absent("there is no Chromium on this computer")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def look(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Return what opens an address in a window of its own, and fails on any complaint of the browser."""
    contexts: list[Any] = []
    complaints: list[str] = []

    def opened(address: str, **given: Any) -> Any:
        context = chromium.new_context(**{"viewport": {"width": 1280, "height": 800}, **given})
        contexts.append(context)
        return opened_in(context, address)

    def opened_in(context: Any, address: str) -> Any:
        tab = context.new_page()
        tab.set_default_timeout(5000)
        tab.on("pageerror", lambda trouble: complaints.append(str(trouble)))
        tab.goto(address)
        return tab

    opened.in_ = opened_in  # type: ignore[attr-defined]
    yield opened
    for context in contexts:
        context.close()
    assert not complaints
