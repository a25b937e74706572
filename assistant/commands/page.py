"""`assistant page`: watch the running job of a journal in a browser; the page beside a job."""

from __future__ import annotations

import argparse
import contextlib
import time
from collections.abc import Callable, Iterator

from assistant.app import Say
from assistant.commands import house
from assistant.commands.book import Book
from assistant.commands.ears import Ear
from assistant.grammar.grammar import Grammar
from assistant.job.instant import Instant
from assistant.phrasing.en.page import pairing_sentence
from assistant.timekeeping.clock import SystemClock

PORT = 8474
LOOPBACK = "127.0.0.1"


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser("page", help="show the running job in a browser")
    parser.add_argument("--journal", metavar="FILE", help="where the record is")
    parser.add_argument("--port", type=int, default=PORT, help=f"default {PORT}; 0: any that is free")
    parser.add_argument(
        "--voice", default="speaker", help="what says the pairing code: speaker, print, a FILE"
    )
    _doors(parser)
    parser.set_defaults(run=run)


def option(parser: argparse.ArgumentParser) -> None:
    """Register the page of a job that is run."""
    parser.add_argument(
        "--page", type=int, nargs="?", const=PORT, metavar="PORT", help="show the job in a browser, too"
    )
    _doors(parser)


def _doors(parser: argparse.ArgumentParser) -> None:
    """Register who may reach the page."""
    group = parser.add_argument_group("who may reach the page")
    group.add_argument(
        "--host", default=LOOPBACK, metavar="ADDRESS", help="serve others, too, who then need a pairing code"
    )
    group.add_argument("--name", action="append", default=[], help="a host name browsers may call it by")
    group.add_argument("--certificate", default="", metavar="FILE", help="serve HTTPS with this certificate")
    group.add_argument("--key", default="", metavar="FILE", help="the key of the certificate")


def run(arguments: argparse.Namespace) -> int:
    """Serve the page until interrupted."""
    from assistant.commands.page_watch import Watch, door_of
    from assistant.display.page.book import Records
    from assistant.display.page.feed import Feed
    from assistant.display.page.server import Page

    clock = SystemClock()
    where = house.journal_place(arguments.journal, house.settings())
    book = Book(where)
    page = Page(
        door_of(arguments, arguments.port),
        lambda: clock.now().up_ms,
        book=Records(book.entries, book.history),
    )
    page.start()
    print(f"The page: {page.address}", flush=True)
    if page.door.code is not None:
        print(f"Pairing code: {' '.join(page.door.code)}", flush=True)
        say_code(arguments.voice, page.door.code)
    try:
        Watch(where, Feed(page, clock.now)).forever(time.sleep)
    except KeyboardInterrupt:
        pass
    finally:
        page.close()
    return 0


def say_code(voice: str, code: str) -> None:
    """Say the pairing code, for whoever stands at the screen that is to be paired."""
    with contextlib.closing(house.open_voice(voice, house.settings())) as mouth:
        house.speaker(mouth, echo=False)([pairing_sentence(code)])


@contextlib.contextmanager
def beside(
    arguments: argparse.Namespace,
    store: house.Store,
    metered: Ear,
    ear: Ear,
    say: Say,
    grammar: Grammar,
    now: Callable[[], Instant],
) -> Iterator[tuple[Ear, Say]]:
    """Give the ear and the voice of a job, with a page beside them where one is asked for.

    `metered` is the ear whose sound the page shows, where it hears any.
    """
    if getattr(arguments, "page", None) is None:
        yield ear, say
        return
    from assistant.commands.page_beside import page_beside  # its server takes a moment to load

    with page_beside(arguments, store, metered, ear, say, grammar, now) as both:
        yield both


@contextlib.contextmanager
def beside_recording(
    arguments: argparse.Namespace, store: house.Store, say: Say, now: Callable[[], Instant]
) -> Iterator[Say]:
    """Give the voice of a recorded job, with a page that shows it where one is asked for."""
    if getattr(arguments, "page", None) is None:
        yield say
        return
    from assistant.commands.page_beside import page_beside_recording

    with page_beside_recording(arguments, store, say, now) as spoken:
        yield spoken
