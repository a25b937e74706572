"""Which microphone is meant by a part of its name, with or without the sound system that offers it.

Devices are known by name, never by number: the numbers are others as soon as a cable is pulled.
"""

from __future__ import annotations

from typing import Any

from assistant.errors import MissingPart


def find(called: str, library: Any) -> int | None:
    """Return the number of the input device `called` so just now; None means the computer's own choice.

    Each word must stand in the device's name, or behind it in the name of the sound system that offers it,
    in this order: "headset", "USB headset, ALSA". Capitals do not count. Of several that are called so, one
    with just this name comes first, then those of the computer's own sound system.

    `MissingPart` tells what there is; errors of the sound library pass through.
    """
    words = [word.strip(",") for word in called.lower().split()]
    if not words:
        return None
    hosts = [str(one["name"]) for one in library.query_hostapis()]
    devices = [one for one in library.query_devices() if one["max_input_channels"] > 0]
    found = [one for one in devices if _stand_in(words, f"{one['name']}, {hosts[one['hostapi']]}".lower())]
    if not found:
        there = f", only {', '.join(str(one['name']) for one in devices)}" if devices else ""
        raise MissingPart(f"no microphone is called {called!r}{there}; plug it in, or choose another one")
    own = library.query_devices(kind="input")["hostapi"] if len(found) > 1 else None
    exact = called.strip().lower()
    best = min(found, key=lambda one: (str(one["name"]).lower() != exact, one["hostapi"] != own))
    return int(best["index"])


def _stand_in(words: list[str], text: str) -> bool:
    """Say whether all of the words are in the text, one behind the other."""
    at = 0
    for word in words:
        at = text.find(word, at)
        if at < 0:
            return False
        at += len(word)
    return True
