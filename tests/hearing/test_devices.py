"""The microphone that a name stands for, in lists as sound systems give them."""

from __future__ import annotations

import pytest

from assistant.errors import MissingPart
from assistant.hearing.devices import find


class Library:
    """A sound library that knows these devices: (name, number of its sound system, input channels)."""

    def __init__(self, *devices: tuple[str, int, int], own: int = 0) -> None:
        self.devices, self.own = devices, own

    def query_hostapis(self) -> list[dict[str, object]]:
        """Two of them."""
        return [{"name": "ALSA"}, {"name": "JACK Audio Connection Kit"}]

    def query_devices(self, kind: str | None = None) -> object:
        """All, or the computer's own choice."""
        if kind is not None:
            return {"hostapi": self.own}
        return [
            {"name": name, "index": index, "hostapi": host, "max_input_channels": channels}
            for index, (name, host, channels) in enumerate(self.devices)
        ]


BUILT_IN, HEADSET = ("Analog (hw:0,0)", 0, 2), ("USB headset: Audio (hw:1,0)", 0, 1)
SAME, OUT = ("USB headset: Audio", 1, 1), ("USB headset speaker", 0, 0)


@pytest.mark.parametrize(
    ("called", "devices", "found"),
    [
        ("", (BUILT_IN, HEADSET), None),
        ("headset", (BUILT_IN, HEADSET), 1),
        ("usb HEADSET", (HEADSET, BUILT_IN), 0),  # the same device at another number
        ("USB headset: Audio (hw:1,0)", (BUILT_IN, SAME, HEADSET), 2),  # the name as it is listed
        ("headset, jack", (BUILT_IN, HEADSET, SAME), 2),
        ("headset, ALSA", (BUILT_IN, SAME, HEADSET), 2),
        ("headset", (OUT, BUILT_IN, HEADSET), 2),  # what has no input is no microphone
        ("headset", (SAME, HEADSET), 1),  # the computer's own sound system first
        ("usb headset: audio", (HEADSET, SAME), 1),  # exactly so called
        ("alsa", (SAME, BUILT_IN), 1),
    ],
)
def test_a_name_stands_for_one_device(
    called: str, devices: tuple[tuple[str, int, int], ...], found: int | None
) -> None:
    """Whatever its number is just now."""
    assert find(called, Library(*devices)) == found


@pytest.mark.parametrize(
    ("devices", "says"),
    [((), "'headset'; plug"), ((BUILT_IN, OUT), r"'headset', only Analog \(hw:0,0\); plug it in, or choose")],
)
def test_a_name_that_stands_for_none_is_told_with_what_there_is(
    devices: tuple[tuple[str, int, int], ...], says: str
) -> None:
    """In one sentence, with what to do."""
    with pytest.raises(MissingPart, match=says):
        find("headset", Library(*devices))
