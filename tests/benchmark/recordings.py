"""Makes the recordings from their script: `python -m tests.benchmark.recordings [SCRIPT] [--check]`.

The script is a TOML file of `[[clip]]` tables with the keys

    id      name of the file, without ending
    words   what is said, as the recogniser should hear it
    voice   a speaker of `tests.benchmark.voices`
    say     what the synthesiser is given where it differs from `words` (optional)
    at      seconds on the recording's clock, or
    after   the event it follows (one of the two; only the player of the recording reads them)
    noise   pink, engine, compressor, clanks, babble (optional: none)
    snr     speech over noise in dB (needed with a noise)
    level   RMS of the speech in dB of full scale (optional: -23)
    speed   1 is the speaker's own (optional)

Each clip becomes a 16 kHz mono FLAC file beside the script, and a row of `manifest.csv`, where `meaning` is
what the shipped grammar makes of the words ("kind=amount value=4.2 unit=litre form=bare", or "refused").
The same script gives the same bytes; `--check` makes everything anew elsewhere and compares.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import sys
import tempfile
import tomllib
import zlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from assistant.errors import AssistantError, BadFile
from assistant.grammar import Grammar, NoMatch, compile_grammar
from assistant.shelf.places import data_folder
from tests.benchmark import noises, voices
from tests.benchmark.noises import Wave

RATE = voices.RATE
LEAD_S, TAIL_S = 0.5, 0.9
"""Noise alone before and after the words: the endpointer needs to see both ends."""
LEVEL_DB = -23.0
OWN_LICENCE = "Apache-2.0"
COLUMNS = (
    "file", "words", "meaning", "voice", "origin", "noise", "snr_db", "rate", "licence", "source", "sha256",
)  # fmt: skip
CHATTER = (
    "did you see the game last night, I thought they would never finish it",
    "the parts should have been here on tuesday, so I rang them again this morning",
    "put the kettle on and tell him the blue one is ready to be collected",
    "no, the other side, the bracket goes in behind the hose and then up",
    "she said the noise only comes when it rains, and then it goes away",
)
CHATTERERS = ("slt", "kal16")
KEYS = {"id", "words", "voice", "say", "at", "after", "noise", "snr", "level", "speed"}

Speak = Callable[[str, str, float], Wave]


@dataclass(frozen=True, slots=True)
class Row:
    """One clip to make."""

    name: str
    words: str
    voice: str
    noise: str = ""
    snr_db: float | None = None
    level_db: float = LEVEL_DB
    speed: float = 1.0
    say: str = ""


def script_rows(path: Path) -> list[Row]:
    """Return the clips of a script; raises `BadFile` with what is wrong in it."""
    try:
        clips: list[dict[str, Any]] = tomllib.loads(path.read_text())["clip"]
    except (OSError, KeyError, tomllib.TOMLDecodeError) as trouble:
        raise BadFile(str(path), f"no script of clips: {trouble}") from trouble
    rows = [_row(path, clip) for clip in clips]
    names = [row.name for row in rows]
    if double := {name for name in names if names.count(name) > 1}:
        raise BadFile(str(path), f"clips with the same id: {', '.join(sorted(double))}")
    return rows


def _row(path: Path, clip: dict[str, Any]) -> Row:
    name = clip.get("id", "?")
    wrong = [f"unknown key {key!r}" for key in clip.keys() - KEYS]
    wrong += [f"no {key}" for key in ("id", "words", "voice") if key not in clip]
    if clip.get("voice", "awb") not in voices.SPEAKERS:
        wrong.append(f"no speaker {clip['voice']!r}; there are {', '.join(voices.SPEAKERS)}")
    noise = clip.get("noise", "")
    if noise and noise not in (*noises.NOISES, "babble"):
        wrong.append(f"no noise {noise!r}; there are {', '.join(noises.NOISES)}, babble")
    if bool(noise) != ("snr" in clip):
        wrong.append("noise and snr go together")
    if wrong:
        raise BadFile(str(path), f"clip {name}: {'; '.join(wrong)}")
    return Row(
        name, clip["words"], clip["voice"], noise, clip.get("snr"), clip.get("level", LEVEL_DB),
        clip.get("speed", 1.0), clip.get("say", ""),
    )  # fmt: skip


def rendered(row: Row, speak: Speak = voices.spoken) -> Wave:
    """Return the clip as samples of -1..1 at 16 kHz; the noise's seed is the name of the clip."""
    speech = speak(row.voice, row.say or row.words, row.speed)
    rng = np.random.default_rng(zlib.crc32(row.name.encode()))
    count = len(speech) + 2 * round(LEAD_S * RATE) + round((TAIL_S - LEAD_S) * RATE)
    padded = np.concatenate([speech, np.zeros(round((TAIL_S - LEAD_S) * RATE))])
    level = 10 ** (row.level_db / 20)
    if not row.noise:  # a quiet room still has its own noise, 50 dB below the voice
        return noises.mixed(padded, noises.pink(count, RATE, rng), 50.0, level)
    assert row.snr_db is not None
    if row.noise == "babble":
        noise = noises.babble(count, _chatter(speak), rng)
    else:
        noise = noises.NOISES[row.noise](count, RATE, rng)
    return noises.mixed(padded, noise, row.snr_db, level)


def meant(grammar: Grammar, words: str) -> str:
    """Return what `words` mean, as it stands in the manifest."""
    meaning = grammar.parse(grammar.normalise(words))
    if isinstance(meaning, NoMatch):
        return "refused"
    fields = {"kind": meaning.kind, "value": meaning.value, "unit": meaning.unit, **dict(meaning.slots)}
    return " ".join(f"{name}={value}" for name, value in fields.items() if value is not None)


def make(
    rows: Iterable[Row], folder: Path, grammar: Grammar, speak: Speak = voices.spoken
) -> list[dict[str, str]]:
    """Write each clip and the manifest into `folder`; return the manifest's rows."""
    folder.mkdir(parents=True, exist_ok=True)
    entries = [_made(row, folder, speak) | {"meaning": meant(grammar, row.words)} for row in rows]
    with (folder / "manifest.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(entries)
    return entries


def _made(row: Row, folder: Path, speak: Speak) -> dict[str, str]:
    path = folder / f"{row.name}.flac"
    wave = rendered(row, speak)
    if np.max(np.abs(wave)) >= 1:
        raise BadFile(str(path), "the clip would be clipped", cure="give it a lower level or a higher snr")
    soundfile.write(str(path), wave, RATE, subtype="PCM_16")
    speaker = voices.SPEAKERS[row.voice]
    return {
        "file": path.name, "words": row.words, "voice": row.voice,
        "origin": "synthetic", "noise": row.noise, "snr_db": "" if row.snr_db is None else f"{row.snr_db:g}",
        "rate": str(RATE), "licence": OWN_LICENCE,
        "source": f"made by tests.benchmark.recordings with {speaker.package}, {speaker.licence}",
        "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
    }  # fmt: skip


def differences(
    rows: Sequence[Row], folder: Path, grammar: Grammar, speak: Speak = voices.spoken
) -> list[str]:
    """Return the files of `folder` that making them anew would change, add or leave unused."""
    with tempfile.TemporaryDirectory() as anew:
        make(rows, Path(anew), grammar, speak)
        expected = {path.name: path.read_bytes() for path in Path(anew).iterdir()}
    present = {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix in (".flac", ".csv")}
    return sorted(
        name for name in expected.keys() | present.keys() if expected.get(name) != present.get(name)
    )


@cache
def _chatter(speak: Speak) -> tuple[Wave, ...]:
    return tuple(speak(voice, words, 1.0) for voice in CHATTERERS for words in CHATTER)


def main(argv: Sequence[str] | None = None) -> int:
    """Make the recordings, or check that they are what their script makes."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmark.recordings", description="make the clips"
    )
    parser.add_argument("script", nargs="?", type=Path, default=Path("recordings/script.toml"))
    parser.add_argument("--check", action="store_true", help="compare with what lies beside the script")
    wanted = parser.parse_args(argv)
    try:
        rows = script_rows(wanted.script)
        file = data_folder("grammars") / "en.jsgf"
        grammar = compile_grammar([(file.name, file.read_text("utf-8"))])
        if wanted.check:
            changed = differences(rows, wanted.script.parent, grammar)
            print("\n".join(changed) or f"{len(rows)} clips are as their script makes them")
            return 1 if changed else 0
        entries = make(rows, wanted.script.parent, grammar)
    except AssistantError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    print(f"{len(entries)} clips and manifest.csv written to {wanted.script.parent}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
