"""`python -m tests.benchmark live [--seconds 600] [--seed 1]`, inside `.ci/sound-card`.

Streams on the real sound library, in real time: the program is started as a user starts it, sentences are
played into the virtual microphone, the replies recorded from the virtual loudspeaker. Measured on the tape:
from the end of the speech to the first sample of the reply, from the onset of speech to silence; what it
makes of its own voice fed back at 0 dB; how soon it is back when cables are pulled and processes die.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from assistant.journal.open import read_journal
from tests.benchmark.live import streams
from tests.benchmark.live.card import Tape, link, play
from tests.benchmark.live.faults import Faults
from tests.benchmark.live.program import Program
from tests.benchmark.live.talk import SHORT, Clip, Talk, clips, summary
from tests.benchmark.outcome import write

KILLS = ("reading_stalled", "microphone_process_killed", "voice_process_killed")
CABLES = (
    "microphone_unplugged", "loudspeaker_unplugged", "other_default_devices", "microphone_stalled",
    "program_stalled", "voice_process_killed_in_mid_reply",
)  # fmt: skip
ONCE = tuple(name for name in CABLES if name != "microphone_stalled")
"""Where all is done once: a stall of the microphone is the one in the reading."""
EVERY_CUT, LEAST, MOST = 2, 3, 12
INTO_S = (0.4, 1.2)
LISTENING_S = 60.0


def main(argv: Sequence[str]) -> int:
    """Run all of it; 1 where a reply or a fact was lost, or its own voice was heard."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark live", description=__doc__)
    parser.add_argument("--seconds", type=int, default=600, help="how long it talks, about")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args(argv)
    if "VIRTUAL_SOUND_CARD" not in os.environ:
        print("run it inside the virtual card: .ci/sound-card python -m tests.benchmark live")
        return 2
    with tempfile.TemporaryDirectory() as folder:
        figures = measured(Path(folder), arguments.seconds, arguments.seed)
    talk = figures["talk"]
    assert isinstance(talk, dict)
    write("live", list(argv), arguments.seed, int(talk["said"]), figures)
    return 0 if good(figures) else 1


def measured(folder: Path, seconds: float, seed: int) -> dict[str, object]:
    """Return all figures; half of the time is conversation, a quarter its own voice, the rest faults."""
    load = os.getloadavg()[0]
    questions, readings, long = clips(folder)
    short = [one for one in questions if one.name in SHORT]
    rounds = round(seconds / 60)
    microphone_s = streams.microphone_s()
    handed, heard, loudspeaker_s = streams.first_samples(max(10, round(seconds / 10)))
    card_s = microphone_s + loudspeaker_s
    with Tape() as tape, Program(folder / "headset", {"route": "headset"}) as program:
        _begin(program)
        tape.wait_sound(0, 20.0)
        play(short[0].path)  # into the instruction of the first step, which need not be heard out
        said = questions if rounds else short
        talk = conversation(program, tape, (said, long), 0.5 * seconds, seed, card_s)
        faults = gone_wrong(program, tape, (short, readings), rounds, seed)
    own = own_voice(folder, said, 0.25 * seconds, seed)
    return {
        "load at the start": round(load, 1),
        "card's own buffers": {"microphone_ms": _ms(microphone_s), "loudspeaker_ms": _ms(loudspeaker_s)},
        "reply known -> first audible sample, without the card": summary(handed),
        "reply known -> first audible sample, with the card": summary(heard),
        "talk": talk,
        "own voice at 0 dB": own,
        "faults": faults,
    }


def good(figures: dict[str, object]) -> bool:
    """Whether everything was answered, nothing was lost or taken in part, and its own voice not heard."""
    own, faults = figures["own voice at 0 dB"], figures["faults"]
    assert isinstance(own, dict)
    assert isinstance(faults, dict)
    wrong = [faults[name] for name in ("lost", "never back", "taken in part", "not asked again")]
    return not own["heard of itself"] and not any(wrong)


def conversation(
    program: Program, tape: Tape, clips: tuple[list[Clip], Clip], seconds: float, seed: int, card_s: float
) -> dict[str, object]:
    """Ask and be answered, with a headset; speak into every second reply."""
    said, long = clips
    talk = Talk(tape, seed)
    until, number = time.monotonic() + seconds, 0
    while time.monotonic() < until or number < LEAST or (number < MOST and not _any_cut(talk)):
        into = number % EVERY_CUT == 0
        answered = talk.ask(long if into else talk.random.choice(said))
        if answered and into:
            talk.cut_in(talk.random.choice(said), talk.random.uniform(*INTO_S))
        number += 1
    tape.wait_quiet(1.0, 20.0)
    found = talk.exchanges()
    gaps = [one.gap_s for one in found if one.gap_s is not None]
    cuts = [one.cut_s for one in found if one.cut_s is not None]
    return {
        "said": len(found),
        "unanswered": len(found) - len(gaps),
        "utterances heard": len(program.heard()),
        "end of speech -> first sample, without the card": summary([gap - card_s for gap in gaps]),
        "end of speech -> first sample, with the card": summary(gaps),
        "onset -> silence, without the card": summary([cut - card_s for cut in cuts]),
        "onset -> silence, with the card": summary(cuts),
        "of each sentence, with the card": {
            clip.name: summary([one.gap_s for one in found if one.clip == clip and one.gap_s is not None])
            for clip in (*said, long)
        },
    }


def own_voice(folder: Path, questions: list[Clip], seconds: float, seed: int) -> dict[str, object]:
    """The loudspeaker goes straight into the microphone; only what is said after a reply may be heard."""
    with Tape() as tape, Program(folder / "own", {"route": "loudspeaker"}) as program:
        link("speaker:monitor_MONO", "mic:playback_MONO")
        _begin(program)
        begun, events = time.monotonic(), len(program.events)
        tape.wait_sound(0, 20.0)
        tape.wait_quiet(1.0, 30.0)
        talk, answered = Talk(tape, seed), 0
        while not talk.said or time.monotonic() < begun + seconds:
            answered += talk.ask(talk.random.choice(questions))
        tape.wait_quiet(1.0, 30.0)
        lines = program.heard()
        kinds = [str(line["kind"]) for line in lines]
        return {
            "seconds": round(time.monotonic() - begun),
            "said": len(talk.said),
            "answered": answered,
            "heard of itself": max(0, len(kinds) - len(talk.said)),
            "not understood": sum(kind.startswith("not understood") for kind in kinds),
            "events": [event["type"] for event in program.events[events:]],
        }


def gone_wrong(
    program: Program, tape: Tape, clips: tuple[list[Clip], list[Clip]], rounds: int, seed: int
) -> dict[str, object]:
    """Pull cables, stall and kill; readings are said between them, and none may be lost or taken in part.

    Each minute has its round, with one of the cables; without a round everything is done once.
    """
    talk, done = Talk(tape, seed), []
    faults = Faults(program, talk, clips, seed)
    for number in range(max(1, rounds)):
        if rounds:  # it ends a row of sentences that were not understood, after which nothing is asked again
            talk.ask(faults.random.choice(faults.readings))
        done += faults.run(KILLS)
        done += faults.run(CABLES[number % len(CABLES) :][:1] if rounds else ONCE)
    tape.wait_quiet(1.0, 20.0)
    return {
        "done": [{"what": one.name, "back_s": one.back_s and round(one.back_s, 2)} for one in done],
        "never back": [one.name for one in done if one.back_s is None or not one.answered],
        "later than 3 s": [one.name for one in done if one.back_s is not None and one.back_s > 3],
        "readings stalled": sum(one.name == "reading stalled" for one in done),
        "taken in part": faults.taken_in_part,
        "not asked again": faults.not_asked_again,
        "lost": facts_lost(program),
    }


def facts_lost(program: Program) -> list[str]:
    """Return the events that the program printed and its journal does not hold."""
    printed = [str(event["type"]) for event in program.events]
    with read_journal(program.journal) as journal:
        kept = [type(event).__name__ for job in journal.jobs() for event in journal.read(job.id)]
    return sorted({name for name in printed if printed.count(name) > kept.count(name)})


def _begin(program: Program) -> None:
    if program.wait_told("listening", LISTENING_S) is None:
        raise TimeoutError("the program does not listen")


def _any_cut(talk: Talk) -> bool:
    return any(one.cut_s is not None for one in talk.exchanges())


def _ms(seconds: float) -> int:
    return round(1000 * seconds)
