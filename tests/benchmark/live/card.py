"""The virtual card of `.ci/sound-card`: a tape of both its sides, plugs to pull, files to play into it."""

from __future__ import annotations

import contextlib
import os
import subprocess
import threading
import time
from pathlib import Path

import numpy as np
import numpy.typing as npt

RATE = 48_000
LOUD = 0.005
"""Above this share of full scale a sample counts as sound."""
SAID, HEARD = 0, 1
"""The channels of the tape: what went into the microphone, what came out of the loudspeaker."""
MAPS = {1: "mono", 2: "front-left,front-right", 4: "front-left,front-right,rear-left,rear-right"}
Samples = npt.NDArray[np.float32]


def pactl(*arguments: str) -> str:
    """Run `pactl` and return what it prints."""
    done = subprocess.run(["pactl", *arguments], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def plug(name: str, rate: int = RATE, channels: int = 1) -> str:
    """Add a virtual device and return the number to pull it out by."""
    form = (f"sink_name={name}", f"rate={rate}", f"channels={channels}", f"channel_map={MAPS[channels]}")
    return pactl("load-module", "module-null-sink", *form)


def unplug(name: str) -> None:
    """Pull a virtual device out."""
    for line in pactl("list", "short", "modules").splitlines():
        if f"sink_name={name} " in f"{line} ":
            pactl("unload-module", line.split("\t")[0])


def use(microphone: str = "mic", speaker: str = "speaker") -> None:
    """Make these the devices that a program gets which asks for none by name."""
    pactl("set-default-sink", speaker)
    pactl("set-default-source", f"{microphone}.monitor")


def link(source: str, target: str) -> None:
    """Join two ports of the sound server, once they are there."""
    until = time.monotonic() + 5.0
    while subprocess.run(["pw-link", source, target], capture_output=True, check=False).returncode:
        if time.monotonic() > until:
            raise TimeoutError(f"{source} cannot be joined with {target}")
        time.sleep(0.05)


def play(path: Path, into: str = "mic") -> None:
    """Play a sound file into a device, in real time, and return when it is over."""
    subprocess.run(["paplay", "--latency-msec=30", f"--device={into}", str(path)], check=True)


DEVICE = """
pcm.{name} {{
  type pipewire
  capture_node "{name}_microphone"
  {form}
  hint {{ show on
    description "{name}" }}
}}
"""


class Bench:
    """Microphones that the sound library lists by name; each is a sink of this name to play into."""

    def __init__(self, listed: Path) -> None:
        """`listed` is the user's own file of the sound library, written anew at each plugging."""
        self._listed, self._modules = listed, dict[str, tuple[str, str]]()

    def __enter__(self) -> Bench:
        """Nothing is plugged in yet."""
        return self

    def __exit__(self, *_: object) -> None:
        """Pull out what is still in."""
        for name in list(self._modules):
            self.pull(name)

    def plug(self, name: str, rate: int = 0, channels: int = 1) -> None:
        """Add one; with a `rate`, one that refuses any other, as a plain device does."""
        plug(name, rate or RATE, channels)
        source = (f"master={name}.monitor", f"source_name={name}_microphone")
        form = f"rate {rate}" if rate else ""
        self._modules[name] = form, pactl("load-module", "module-remap-source", *source)
        self._list()

    def pull(self, name: str) -> None:
        """Take one away, also from the list."""
        pactl("unload-module", self._modules.pop(name)[1])
        unplug(name)
        self._list()

    def _list(self) -> None:
        devices = (DEVICE.format(name=name, form=form) for name, (form, _) in self._modules.items())
        self._listed.write_text("".join(devices), "utf-8")


class Tape:
    """Records both sides of the card, sample against sample, as long as the block runs."""

    def __enter__(self) -> Tape:
        """Lay in the tape."""
        self._module = plug("tape", channels=2)
        command = ["pw-record", "--target", "tape", "--rate", str(RATE), "--channels", "2", "--format", "s16",
                   "-P", "{ stream.capture.sink = true }", "-"]  # fmt: skip
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        self._pieces: list[bytes] = []
        self._length, self._loud_at = 0, [-1, -1]
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        self.join_said()
        self.join_heard()
        return self

    def __exit__(self, *_: object) -> None:
        """Take it out."""
        self._process.terminate()
        self._process.wait()
        self._thread.join(2.0)
        with contextlib.suppress(subprocess.CalledProcessError):
            pactl("unload-module", self._module)

    def join_said(self, microphone: str = "mic") -> None:
        """Record what goes into this device, also after it was plugged in anew."""
        link(f"{microphone}:monitor_MONO", "tape:playback_FL")

    def join_heard(self, speaker: str = "speaker") -> None:
        """Record what comes out of this device, also after it was plugged in anew."""
        link(f"{speaker}:monitor_MONO", "tape:playback_FR")

    @property
    def now(self) -> int:
        """How many samples there are."""
        return self._length

    def quiet_s(self, channel: int = HEARD) -> float:
        """Return for how long there has been no sound on a channel."""
        return (self._length - self._loud_at[channel]) / RATE

    def wait_quiet(self, seconds: float, most_s: float) -> bool:
        """Wait until nothing has been said for so long; return whether that came."""
        until = time.monotonic() + most_s
        while self.quiet_s() < seconds and time.monotonic() < until:
            time.sleep(0.02)
        return self.quiet_s() >= seconds

    def wait_sound(self, since: int, most_s: float) -> bool:
        """Wait until something is said after a place on the tape; return whether that came."""
        until = time.monotonic() + most_s
        while self._loud_at[HEARD] <= since and time.monotonic() < until:
            time.sleep(0.005)
        return self._loud_at[HEARD] > since

    def side(self, channel: int) -> Samples:
        """Return one side of the tape."""
        whole = b"".join(self._pieces)
        both = np.frombuffer(whole[: len(whole) // 4 * 4], dtype="<i2").reshape(-1, 2)
        return (both[:, channel] / np.float32(32768)).astype(np.float32)

    def _run(self) -> None:
        assert self._process.stdout is not None
        stream, odd = self._process.stdout.fileno(), b""
        while piece := os.read(stream, 4096):
            piece = odd + piece
            odd = piece[len(piece) // 4 * 4 :]
            piece = piece[: len(piece) // 4 * 4]
            self._pieces.append(piece)
            both = np.abs(np.frombuffer(piece, dtype="<i2").reshape(-1, 2).astype(np.int32))
            for channel in (SAID, HEARD):
                loud = np.flatnonzero(both[:, channel] > LOUD * 32768)
                if loud.size:
                    self._loud_at[channel] = self._length + int(loud[-1])
            self._length += len(both)


def first_loud(side: Samples, start: int) -> int | None:
    """Return the first sample from `start` on that is sound."""
    found = np.flatnonzero(np.abs(side[start : start + 20 * RATE]) > LOUD)
    return start + int(found[0]) if found.size else None


def falls_silent(side: Samples, start: int, pause_s: float = 0.25) -> int:
    """Return the last sample of the sound that goes on at `start`, up to a pause of so much."""
    loud = start + np.flatnonzero(np.abs(side[start : start + 20 * RATE]) > LOUD)
    if not loud.size:
        return start
    gaps = np.flatnonzero(np.diff(loud) > pause_s * RATE)
    return int(loud[gaps[0]] if gaps.size else loud[-1])
