"""Many bays copying their records to one server on this machine: `python -m tests.benchmark bays`.

Each bay has its own journal, written first, and its own sender; afterwards the server must hold every
event of every bay once, in order, and nothing else.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import random
import statistics
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field, replace
from pathlib import Path

from sqlalchemy import NullPool, create_engine, text

from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.journal import DurableFirst, Notice, Saved, new_job_id, open_journal
from assistant.journal.sender import Sender
from tests.benchmark.outcome import write
from tests.journal.facts import reading, started
from tests.journal.private_server import private_server

SEED = 64
PROCESSES = 4
EVERY_S = 1.0
"""Mean time between two turns of a bay's talk; a turn is one to three events."""
CATCH_UP_S = 60.0


@dataclass
class Told:
    """What one bay reports at its end."""

    job: str = ""
    bodies: list[str] = field(default_factory=list)
    slowest_ms: float = 0.0
    notices: list[str] = field(default_factory=list)
    copied: bool = False


def now() -> Instant:
    """Return the present; all bays run on this machine."""
    return Instant(time.time_ns() // 1_000_000, "bench", 0)


def one_bay(folder: Path, url: str, seconds: float, chance: random.Random, told: Told) -> None:
    """Talk for some seconds, then wait until everything is copied."""
    folder.mkdir()
    told.job = new_job_id(now())
    over = time.monotonic() + seconds

    def tell(notice: Notice) -> None:
        told.notices.append(notice.text)

    with open_journal(folder / "journal.sqlite", now()) as journal:
        sender = Sender(folder / "journal.sqlite", url, tell)
        outbox = DurableFirst(journal, sender.poke)
        events: list[Event] = [started(told.job, now())]
        number = 0
        while True:
            begun = time.perf_counter()
            assert outbox.append(told.job, events) == Saved()
            told.slowest_ms = max(told.slowest_ms, 1000 * (time.perf_counter() - begun))
            left = over - time.monotonic()
            if left <= 0:
                break
            time.sleep(min(left, chance.expovariate(1 / EVERY_S)))
            events = [replace(reading(number := number + 1), at=now()) for _ in range(chance.randint(1, 3))]
        told.copied = sender.close(CATCH_UP_S)
        told.bodies = [row.body for row in journal.kept(told.job)]


def some_bays(folder: str, url: str, numbers: list[int], seconds: float, seed: int) -> None:
    """Run several bays in this process, a thread each; what they report goes into files."""
    told = [Told() for _ in numbers]
    threads = [
        threading.Thread(
            target=one_bay,
            args=(Path(folder) / f"bay{number}", url, seconds, random.Random(seed * 1000 + number), one),
        )
        for number, one in zip(numbers, told, strict=True)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for number, one in zip(numbers, told, strict=True):
        (Path(folder) / f"bay{number}.json").write_text(json.dumps(vars(one)), "utf-8")


def simulate(url: str, bays: int, seconds: float, seed: int, processes: int) -> dict[str, object]:
    """Run the bays against the server and compare; return the figures."""
    with tempfile.TemporaryDirectory() as folder:
        shares = [list(range(bays))[start::processes] for start in range(processes)]
        context = multiprocessing.get_context("spawn")
        workers = [
            context.Process(target=some_bays, args=(folder, url, share, seconds, seed)) for share in shares
        ]
        begun = time.monotonic()
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
        took = time.monotonic() - begun
        told = [
            Told(**json.loads((Path(folder) / f"bay{number}.json").read_text("utf-8")))
            for number in range(bays)
        ]
    return {"seconds": round(took, 1), **compare(url, told, seconds)}


def compare(url: str, told: list[Told], seconds: float) -> dict[str, object]:
    """Return what is on the server beside what the bays wrote, and how late it came."""
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:"), poolclass=NullPool)
    query = "SELECT job, seq, body, extract(epoch FROM received) * 1000 FROM journal_events ORDER BY job, seq"
    with engine.connect() as connection:
        rows = connection.execute(text(query)).all()
    engine.dispose()
    there: dict[str, list[tuple[int, str]]] = {}
    lags = []
    for job, seq, body, received in rows:
        there.setdefault(job, []).append((seq, body))
        lags.append(float(received) - json.loads(body)["at"]["utc_ms"])
    wanted = {one.job: list(enumerate(one.bodies, start=1)) for one in told}
    lost = sum(len(set(rows) - set(there.get(job, []))) for job, rows in wanted.items())
    beyond = sum(len(rows) for rows in there.values()) - sum(map(len, wanted.values())) + lost
    parts = statistics.quantiles(lags, n=100)
    return {
        "bays": len(told),
        "events": len(rows),
        "events per second": round(len(rows) / seconds, 1),
        "lag, ms": {
            "median": round(parts[49], 1), "p99": round(parts[98], 1), "most": round(max(lags), 1),
        },
        "slowest append, ms": round(max(one.slowest_ms for one in told), 1),
        "lost": lost,
        "doubled or strange": beyond,
        "in order and equal": there == wanted,
        "all copied at the end": all(one.copied for one in told),
        "notices": [text for one in told for text in one.notices],
    }  # fmt: skip


def main(argv: list[str]) -> int:
    """Simulate and write the result; 1 when anything was lost or doubled."""
    parser = argparse.ArgumentParser(prog="bays")
    parser.add_argument("--bays", type=int, default=64)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--seed", type=int, default=SEED)
    arguments = parser.parse_args(argv)
    with private_server() as server:
        if server.absent:
            print(server.absent, file=sys.stderr)
            return 2
        figures = simulate(server.url, arguments.bays, arguments.seconds, arguments.seed, PROCESSES)
    write("bays", argv, arguments.seed, int(str(figures["events"])), figures)
    return int(not (figures["in order and equal"] and figures["all copied at the end"]))
