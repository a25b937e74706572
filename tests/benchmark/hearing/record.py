"""The kept result: tests/benchmark/results/hearing.json, and the short table for the README."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from tests.benchmark.hearing.outcome import Outcome
from tests.benchmark.hearing.running import ROOT, Result
from tests.benchmark.hearing.table import Cell, Key, by

FILE = ROOT / "tests" / "benchmark" / "results" / "hearing.json"
_WRONGS = 40


def kept() -> dict[str, Any]:
    """Return the file's content."""
    return dict(json.loads(FILE.read_text("utf-8"))) if FILE.is_file() else {}


def keep(
    part: str,
    side: str,
    seed: int,
    arguments: Sequence[str],
    pairs: Sequence[tuple[Result, Outcome]],
    table: dict[Key, Cell],
    early: Sequence[tuple[str, bool]],
    planned: int,
    more: Mapping[str, Any],
) -> None:
    """Put the results of one part into the file; only of the reporting side, whole or sampled."""
    if side != "reporting":
        return
    changes = {
        condition: {
            "n": sum(one == condition for one, _ in early),
            "changed": sum(differs for one, differs in early if one == condition),
        }
        for condition in dict.fromkeys(one for one, _ in early)
    }
    _write(
        part,
        {
            **_origin(seed, arguments),
            "heard": len(pairs),
            "planned": planned,
            "cells": [
                {"contestant": key[0], "set": key[1], "condition": key[2], **cell.figures()}
                for key, cell in sorted(table.items())
            ],
            "by_voice": by(pairs, "speaker") if len({r.task.clip.speaker for r, _ in pairs}) < 30 else {},
            "by_noise": by(pairs, "noise"),
            "wrong": [
                {"set": key[1], "condition": key[2], **wrong}
                for key, cell in sorted(table.items())
                if key[0] == "ours"
                for wrong in cell.wrongs[:_WRONGS]
            ],
            "changed_by_deciding_early": changes,
            **more,
        },
    )


def forget(parts: Collection[str]) -> None:
    """Leave only these parts in the file."""
    if FILE.is_file():
        left = {name: told for name, told in kept().items() if name in parts}
        FILE.write_text(json.dumps(left, indent=1, sort_keys=True) + "\n", "utf-8")


def keep_cost(found: Mapping[str, Any], side: str, seed: int, arguments: Sequence[str]) -> None:
    """Put processor share and memory into the file."""
    if side == "reporting":
        _write("cost", {**_origin(seed, arguments), **found})


def _origin(seed: int, arguments: Sequence[str]) -> dict[str, Any]:
    return {
        "date": datetime.now(UTC).date().isoformat(),
        "commit": commit(),
        "seed": seed,
        "command": " ".join(["python -m tests.benchmark hearing", *arguments]),
    }


def _write(part: str, told: Mapping[str, Any]) -> None:
    everything = kept()
    everything[part] = told
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(json.dumps(everything, indent=1, sort_keys=True) + "\n", "utf-8")


def commit() -> str:
    """Return the commit the result belongs to, with "+" when the files differ from it."""
    try:
        name = _git("rev-parse", "--short", "HEAD")
        return name + ("+" if _git("status", "--porcelain", "assistant", "grammars") else "")
    except (OSError, subprocess.CalledProcessError):
        return "unknown"


def _git(*arguments: str) -> str:
    return subprocess.run(
        ["git", *arguments], cwd=ROOT, check=True, capture_output=True, text=True, timeout=20
    ).stdout.strip()
