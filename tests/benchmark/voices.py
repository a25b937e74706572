"""Synthetic speakers for recordings: other voices than the assistant's, free to use and to pass on.

They come from Debian's packages flite, festival, festvox-kallpc16k, festvox-kdlpc16k, festvox-us-slt-hts
and are needed only to make recordings anew.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
import soxr

from assistant.errors import MissingPart, WrongInput
from tests.benchmark.noises import Wave

RATE = 16_000
CMU = "free to use, copy, modify, distribute and sell; notice kept (Carnegie Mellon University, 1999-2001)"
CSTR = "free to use, copy, modify, distribute and sell; notice kept (University of Edinburgh, 1997)"
KAL = "free to use, copy, modify, distribute and sell; notice kept (its authors, 1998)"
HTS = "free to use, copy, modify and licence; notice kept (Carnegie Mellon University, 2003); BSD-3-clause"


@dataclass(frozen=True, slots=True)
class Speaker:
    """One synthetic speaker: the program that speaks, its own name for the voice, source and licence."""

    program: str
    voice: str
    package: str
    licence: str
    reserved: bool
    """Kept for the recorded job: the recogniser and its grammar are never tuned on it."""


SPEAKERS: dict[str, Speaker] = {
    "awb": Speaker("flite", "awb", "flite 2.2", CMU, True),
    "rms": Speaker("flite", "rms", "flite 2.2", CMU, True),
    "kal": Speaker("festival", "kal_diphone", "festvox-kallpc16k 2.4", KAL, True),
    "ked": Speaker("festival", "ked_diphone", "festvox-kdlpc16k 1.4.0", CSTR, True),
    "slt-hts": Speaker("festival", "cmu_us_slt_arctic_hts", "festvox-us-slt-hts 0.2010", HTS, True),
    "slt": Speaker("flite", "slt", "flite 2.2", CMU, False),
    "kal16": Speaker("flite", "kal16", "flite 2.2", CMU, False),
}
"""Name -> speaker. slt and slt-hts are the same woman, kal and kal16 the same man, through other methods."""


def spoken(speaker: str, words: str, speed: float = 1.0) -> Wave:
    """Return `words` by `speaker` at 16 kHz, silence removed; raises `MissingPart` or `WrongInput`."""
    if speaker not in SPEAKERS:
        raise WrongInput(f"no speaker is called {speaker!r}; there are {', '.join(SPEAKERS)}")
    if speaker == "slt-hts" and speed != 1.0:
        raise WrongInput("slt-hts speaks at one speed only")
    one = SPEAKERS[speaker]
    program = "flite" if one.program == "flite" else "text2wave"
    if shutil.which(program) is None:
        raise MissingPart(
            f"{program} is not installed; on Debian: apt install {one.package.split()[0]} {one.program}"
        )
    with tempfile.TemporaryDirectory() as folder:
        text, out = Path(folder) / "words.txt", Path(folder) / "spoken.wav"
        text.write_text(words)
        subprocess.run(_command(one, text, out, speed), check=True, capture_output=True, timeout=60)
        samples, rate = soundfile.read(str(out), dtype="float64")
    return _trimmed(soxr.resample(samples, rate, RATE))


def _command(one: Speaker, text: Path, out: Path, speed: float) -> list[str]:
    if one.program == "flite":
        stretch = ["--setf", f"duration_stretch={1 / speed}"] if speed != 1.0 else []
        return ["flite", "-voice", one.voice, *stretch, "-f", str(text), "-o", str(out)]
    setting = f"(begin (voice_{one.voice}) (Parameter.set 'Duration_Stretch {1 / speed}))"
    return ["text2wave", "-eval", setting, str(text), "-o", str(out)]


def _trimmed(wave: Wave) -> Wave:
    loud = np.flatnonzero(np.abs(wave) > 0.01 * np.max(np.abs(wave)))
    return wave[max(0, loud[0] - 160) : loud[-1] + 160]
