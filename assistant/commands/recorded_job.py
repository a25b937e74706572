"""The recorded job: its clips with their places on the recording's clock, and what must come of it."""

from __future__ import annotations

import csv
import hashlib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from assistant.commands.ears import Recorded
from assistant.errors import BadFile
from assistant.job import events as e

SECONDS_A_WORD, SECONDS_A_SENTENCE = 0.36, 0.4
"""How long a reply takes on the recording's clock: by its words, whatever engine speaks it."""


@dataclass(frozen=True, slots=True)
class Script:
    """A recorded job."""

    folder: Path
    procedure: str
    vehicle: Path
    who: str
    start_ms: int
    """UTC of the recording's clock at zero."""
    cut_after: str
    """The clip after whose commit the power fails."""
    back_s: float
    """When, on the recording's clock, the program runs again."""
    end_s: float
    clips: tuple[tuple[str, float, str], ...]
    """(id, seconds, words) in order."""
    facts: tuple[Mapping[str, Any], ...]
    """The readings and timers that must be in the record, in order."""


def read_script(folder: Path) -> Script:
    """Read `script.toml` (the clips) and `job.toml` (the job and its facts) of a folder of recordings."""
    job, script = _toml(folder / "job.toml"), _toml(folder / "script.toml")
    try:
        return Script(
            folder=folder,
            procedure=job["procedure"],
            vehicle=folder / job["vehicle"],
            who=job["who"],
            start_ms=round(datetime.fromisoformat(job["start"]).timestamp() * 1000),
            cut_after=job["power-cut"]["after"],
            back_s=float(job["power-cut"]["back"]),
            end_s=float(job["end"]),
            clips=tuple((one["id"], float(one["at"]), one["words"]) for one in script["clip"]),
            facts=tuple(job["fact"]),
        )
    except (KeyError, TypeError, ValueError) as trouble:
        raise BadFile(str(folder), f"the recorded job lacks {trouble}") from trouble


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as trouble:
        raise BadFile(str(path), f"cannot be read: {trouble}", cure="install the program again") from trouble


def check_clips(script: Script) -> None:
    """Refuse a recording of which a clip is missing, or is not the one of the manifest."""
    path = script.folder / "manifest.csv"
    try:
        with path.open(newline="", encoding="utf-8") as file:
            sums = {row["file"]: row["sha256"] for row in csv.DictReader(file)}
    except (OSError, KeyError) as trouble:
        raise BadFile(str(path), f"cannot be read: {trouble}") from trouble
    for name, _, _ in script.clips:
        clip = script.folder / f"{name}.flac"
        if not clip.is_file():
            raise BadFile(
                str(clip), "this clip of the recorded job is missing", cure="install the program again"
            )
        if hashlib.sha256(clip.read_bytes()).hexdigest() != sums.get(clip.name):
            raise BadFile(
                str(clip), "this clip is not the one of the manifest", cure="install the program again"
            )


def load_clips(script: Script, first: int = 0) -> list[Recorded]:
    """Return the clips from place `first` on as sound."""
    from assistant.hearing.sound import read_sound

    return [
        Recorded(round(at * 1000), read_sound(script.folder / f"{name}.flac").astype("<i2").tobytes(), name)
        for name, at, _ in script.clips[first:]
    ]


def spoken_ms(sentences: Sequence[str]) -> int:
    """Return how long sentences take on the recording's clock."""
    return round(
        1000 * sum(SECONDS_A_SENTENCE + SECONDS_A_WORD * len(sentence.split()) for sentence in sentences)
    )


def facts_of(history: Sequence[e.Event], start_ms: int) -> list[dict[str, str]]:
    """Return the readings, settlements, withdrawals and timers of a record as plain facts, in order."""
    found: list[dict[str, str]] = []
    for event in history:
        fact = _fact(event, start_ms)
        if fact is not None:
            found.append(fact)
    return found


def _fact(event: e.Event, start_ms: int) -> dict[str, str] | None:
    if isinstance(event, e.ReadingHeard):
        fact = {
            "reading": event.kind,
            "value": event.value or "",
            "unit": event.unit or "",
            "step": event.step,
        }
        fact |= {name: value for name, value in event.slots if name not in ("repaired",)}
    elif isinstance(event, e.ReadingSettled):
        fact = {"settled": event.form or event.unit or dict(event.slots).get("plug", "")}
    elif isinstance(event, e.ReadingWithdrawn):
        fact = {"withdrawn": event.why}
    elif isinstance(event, e.ReadingDoubted):
        fact = {"doubted": "yes"}
    elif isinstance(event, e.TimerStarted):
        due = (event.at.utc_ms - start_ms + event.ms) / 1000
        fact = {"timer": event.name, "minutes": f"{event.ms / 60000:g}", "due": f"{due:.0f}"}
    elif isinstance(event, e.AdviceTaken | e.JobFinished | e.JobReopened | e.EmergencyCalled):
        fact = {"event": type(event).__name__}
    else:
        return None
    return {name: value for name, value in fact.items() if value}


def differences(script: Script, history: Sequence[e.Event]) -> list[str]:
    """Return, a line each, where a record is not what the recording says; due instants may differ by 2 s."""
    got = facts_of(history, script.start_ms)
    wanted = [{name: str(value) for name, value in fact.items()} for fact in script.facts]
    lines = [
        f"fact {place}: the recording says {want}, the record {have}"
        for place, (want, have) in enumerate(zip(wanted, got, strict=False), start=1)
        if not _same(want, have)
    ]
    if len(wanted) != len(got):
        lines.append(f"the recording has {len(wanted)} facts, the record {len(got)}")
    return lines


def _same(want: Mapping[str, str], have: Mapping[str, str]) -> bool:
    near = abs(float(want.get("due", 0)) - float(have.get("due", 0))) <= 2
    rest = [{name: value for name, value in one.items() if name != "due"} for one in (want, have)]
    return near and rest[0] == rest[1] and ("due" in want) == ("due" in have)
