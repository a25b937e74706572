"""`assistant watch`: the running job of a journal on a terminal, live; plain lines where there is none."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable

from assistant.commands import house
from assistant.display.page.amounts import Picture
from assistant.display.page.feed import Feed
from assistant.display.terminal.told import Lines
from assistant.timekeeping.clock import SystemClock

REDRAWN = 4
"""Times a second the view is drawn: a timer counts, and nobody waits for what was just kept."""


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("watch", help="show the running job on this terminal")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.set_defaults(run=run)


class Newest:
    """Holds the newest picture for a terminal."""

    touchable = False

    def __init__(self, shown: Callable[[Picture | None], None] = lambda picture: None) -> None:
        """`shown` is given each picture as it comes."""
        self.picture: Picture | None = None
        self._shown = shown

    def give(self, make: Callable[[], Picture | None]) -> None:
        """Take a picture."""
        self.picture = make()
        self._shown(self.picture)


def run(arguments: argparse.Namespace) -> int:
    """Show the job until interrupted."""
    from assistant.commands.page_watch import Watch

    clock = SystemClock()
    where = house.journal_place(arguments.journal, house.settings())

    def up_ms() -> int:
        return clock.now().up_ms

    if not sys.stdout.isatty():
        lines = Lines()

        def tell(picture: Picture | None) -> None:
            for line in lines.changed(picture, up_ms()):
                print(f"{time.strftime('%H:%M:%S')} {line}", flush=True)

        newest = Newest(tell)
        watch = Watch(where, Feed(newest, clock.now))
        tell(None)
        return watch.forever(time.sleep)
    from rich.console import Console
    from rich.live import Live

    from assistant.display.terminal.view import view

    newest = Newest()
    watch = Watch(where, Feed(newest, clock.now))
    with Live(
        console=Console(highlight=False),
        screen=True,
        refresh_per_second=REDRAWN,
        get_renderable=lambda: view(newest.picture, up_ms()),
    ):
        return watch.forever(time.sleep)
