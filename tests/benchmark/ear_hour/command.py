"""An hour of other people while a job runs: `python -m tests.benchmark ear-hour`.

Twelve times five minutes, each at another step of the job with a timer running, the ear open at its
beginning. The same sound is also heard by a job whose ear never dozes: that is what the recogniser and
the rules for company do by themselves. `--slices 0-3` does some of them; the results of all that were
done with this seed are put together in results/ear-hour.json.
"""

from __future__ import annotations

import argparse
import json

from assistant.dialogue.attention import Attention
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.ear_hour.hour import Told, overhear
from tests.benchmark.ear_hour.own_voice import own_voice
from tests.benchmark.ear_hour.sounds import scenes
from tests.benchmark.hearing.speakers import WORK
from tests.benchmark.outcome import write
from tests.straight_job import bench_at

STEPS = ("measure", "measure-temperature", "torque", "plan", "drain-wait", "level-hot", "look", "confirm",
         "pour", "lower", "close", "waste")  # fmt: skip
SEED = 60


def one_slice(number: int, seed: int, minutes: float) -> tuple[Told, Told]:
    """Return what came of one slice: with the ear as shipped, and with one that never dozes."""
    step = STEPS[number % len(STEPS)]
    job, awake = bench_at(step), bench_at(step)
    for bench, dozes in ((job, True), (awake, False)):
        bench.hear("start a timer for forty minutes")
        bench.session.attention = Attention(dozes=dozes)
    return overhear(open_ear(), scenes(seed * 1000 + number, minutes), job, awake)


def main(argv: list[str]) -> int:
    """Hear the hour and write what came of it; 1 where it changed the job."""
    parser = argparse.ArgumentParser(prog="ear-hour", description=__doc__)
    parser.add_argument("--slices", default="0-11", help="numbers of five minutes each: 0-11")
    parser.add_argument("--minutes", type=float, default=5.0)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--own-voice", action="store_true", help="only its own voice into the ear")
    wanted = parser.parse_args(argv)
    kept = WORK / f"ear-hour-{wanted.seed}.json"
    done = json.loads(kept.read_text("utf-8")) if kept.is_file() else {}
    if wanted.own_voice:
        done["own voice"] = own_voice(open_ear())
        print(json.dumps(done["own voice"], indent=1))
    else:
        first, _, last = wanted.slices.partition("-")
        for number in range(int(first), int(last or first) + 1):
            told = one_slice(number, wanted.seed, wanted.minutes)
            done[str(number)] = [_plain(one) for one in told]
            shipped = told[0].figures()
            print(
                number, {name: shipped[name] for name in ("changes of the job", "say again", "dozed", "core")}
            )
            print(
                *[json.dumps(one) for told_ in told for one in told_.changes + told_.say_again],
                sep="\n",
                flush=True,
            )
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_text(json.dumps(done), "utf-8")
    both = Told(), Told()
    for number, several in done.items():
        if number.isdigit():
            for all_of, one in zip(both, several, strict=True):
                all_of.add(_read(one))
    figures = {"as shipped": both[0].figures(), "never dozing": both[1].figures()}
    if "own voice" in done:
        figures["own voice"] = done["own voice"]
    write("ear-hour", argv, wanted.seed, both[0].utterances, figures)
    return int(bool(both[0].changes))


def _plain(told: Told) -> dict[str, object]:
    return {**{name: getattr(told, name) for name in told.__dataclass_fields__}, "scenes": dict(told.scenes)}


def _read(plain: dict[str, object]) -> Told:
    told = Told(**{name: value for name, value in plain.items() if name != "scenes"})  # type: ignore[arg-type]
    told.scenes.update(plain["scenes"])  # type: ignore[call-overload]
    return told
