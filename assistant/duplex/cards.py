"""Which card a device belongs to: microphone and loudspeaker of two cards have two clocks, which drift apart.

A drift of 20 millionths halves what the canceller removes, one of 200 leaves nothing of it; so two cards are
refused. Where the sound system hides the card, the canceller's self check is what is left.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from typing import Any

from assistant.hearing.devices import find

ASK_S = 2.0
TWO = "microphone and loudspeaker are two sound cards, and two clocks drift apart"
_HARDWARE = re.compile(r"\(hw:(\w+),\d+\)")
_SHARED = re.compile(r"^(default|sysdefault|pipewire|pulse|jack)\b")


def devices(library: Any, name: str) -> tuple[Any, Any]:
    """Return the devices to open, microphone and loudspeaker, as the sound library takes them.

    Of a named microphone it is the loudspeaker of the same device where that has one. Raises `MissingPart`
    where there is no such microphone, and what the library raises.
    """
    index = find(name, library)
    if index is None:
        return None, None
    return index, index if library.query_devices(index, "input")["max_output_channels"] > 0 else None


def apart(library: Any, name: str) -> str:
    """Return why what is said cannot be taken out of what is heard: the two are two cards; "" where not."""
    microphone, loudspeaker = devices(library, name)
    if microphone is not None and microphone == loudspeaker:
        return ""
    told = [
        str(library.query_devices(device, kind)["name"])
        for device, kind in ((microphone, "input"), (loudspeaker, "output"))
    ]
    if all(_SHARED.match(one) for one in told):
        return TWO if _server_knows_two() else ""
    cards = [_HARDWARE.search(one) for one in told]
    if all(cards):
        return TWO if cards[0][1] != cards[1][1] else ""  # type: ignore[index]  # none of them is None
    return "" if told[0] == told[1] else TWO


def _server_knows_two() -> bool:
    """Ask the sound server whose devices the default ones are; False where it does not tell."""
    if shutil.which("pactl") is None:
        return False
    cards = []
    for kind in ("source", "sink"):
        default, listed = _pactl(f"get-default-{kind}"), _pactl("--format=json", "list", f"{kind}s")
        try:
            found = next(one for one in json.loads(listed) if one["name"] == default.strip())
            cards.append(found["properties"].get("alsa.card") or found["properties"].get("device.id"))
        except (ValueError, KeyError, TypeError, AttributeError, StopIteration):
            return False
    return None not in cards and cards[0] != cards[1]


def _pactl(*arguments: str) -> str:
    try:
        done = subprocess.run(
            ["pactl", *arguments], capture_output=True, text=True, check=False, timeout=ASK_S
        )
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return done.stdout
