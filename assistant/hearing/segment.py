"""One utterance while it is being heard: its sound, and the decoding at a gain that suits its own peak."""

from __future__ import annotations

import itertools
import json

import numpy as np
import vosk

from assistant.grammar.judgement import Alternative
from assistant.hearing.sound import RATE, SILENCE_DB, Samples, magnitude, peak_of, rms_db, within_scale

_HISS = np.random.default_rng(16_000).standard_normal(20 * RATE).astype(np.float32)
"""Noise of one step of a sample, always the same: the model was trained with such noise on its sound,
and digital silence without it would be a sound it never met."""
ALTERNATIVES = 100
"""Asked of the recogniser; at our lattice beam there are seldom more than twenty. Words of two spellings
("alpha alpha" has four) must not crowd out what else it may have been."""
PEAK_CEILING = magnitude(-4.0)
"""An utterance whose clipped peak passes this is decoded again from its start, at a lower gain."""
PEAK_TARGET = magnitude(-12.0)
"""Where the gain then puts the peak, so that the final peak lies between -12 and -4 dBFS: there 91 % of
synthetic commands were right, at -26 dBFS 77 %, at -40 dBFS 36 %."""
GREATEST_GAIN = 256.0
FRAME_S = 512 / RATE
"""Seconds of the frames it is fed."""
AROUND, _ONSET, _FADING = 12, 3, 4
"""Frames before the speech that tell how loud it is around; the last ones belong to its onset. Frames after
it that belong to its last sound."""
BURST_DB = 15.0
"""What is less than this below the loudest of the speech, and more above what is there besides, is no fading
voice and no room."""


class Segment:
    """The sound of one utterance and its decoding, at a gain that suits its own peak."""

    def __init__(self, model: vosk.Model, lead: Samples, before: list[Samples], noise_db: float) -> None:
        self._model, self._lead = model, lead
        self.frames: list[Samples] = []
        """The sound so far, without gain."""
        self._levels: list[float] = []
        """dBFS of each frame."""
        self._spoken: list[bool] = []
        """Whether each frame was somebody's speech."""
        self._times: dict[str, list[tuple[float, float]]] = {}
        """Words of an alternative -> where each of them begins and ends, in seconds of the frames."""
        self.noise_db = noise_db
        self.peak = 1
        """Largest magnitude so far, before any gain."""
        self.words = ""
        """Likeliest words so far."""
        self.clipped = False
        self.speech = 0
        """Samples that were somebody's speech."""
        self.clean: tuple[Alternative, ...] | None = None
        """What decoding it without its noise gave, once that was asked for."""
        self._gain = 0.0
        self._fed = 0
        self._again: tuple[Alternative, ...] | None = None
        self._decoder: vosk.KaldiRecognizer | None = None
        for samples in before:
            self._keep(samples)
        self._last_speech = len(self.frames)
        self._around = self._levels[: min(AROUND, len(before) - _ONSET)]

    @property
    def pcm(self) -> bytes:
        """The sound, without gain."""
        return b"".join(frame.astype("<i2").tobytes() for frame in self.frames)

    @property
    def floor_db(self) -> float:
        """Level of what is there besides the speaker, dBFS.

        The quietest tenth of its frames; or what it was like just before the speech, three quarters of
        the time, where that is louder: blows and revving leave gaps between words.
        """
        levels = sorted(self._levels)
        around = sorted(self._around)
        before = around[3 * len(around) // 4] if around else levels[0]
        return max(levels[len(levels) // 10], before)

    @property
    def burst(self) -> bool:
        """Whether something nearly as loud as the speech came just before it or after it."""
        beside = [*self._around, *self._levels[self._last_speech + _FADING :]]
        loudest = max(self._levels, default=0.0)
        return max(beside, default=SILENCE_DB) > max(loudest - BURST_DB, self.floor_db + BURST_DB)

    @property
    def narrow(self) -> bool:
        """Whether there is nothing above 4 kHz while somebody speaks, as through a telephone."""
        return is_narrow(np.concatenate(self.frames)) if self.frames else False

    def add(self, samples: Samples, speech: bool = True) -> None:
        """Decode one more frame."""
        self.speech += len(samples) if speech else 0
        self._keep(samples, speech)
        self._last_speech = len(self.frames) if speech else self._last_speech
        if self._decoder is None or self.peak * self._gain > PEAK_CEILING:
            self._restart()
        else:
            self._decode(samples)
        assert self._decoder is not None
        self.words = str(json.loads(self._decoder.PartialResult()).get("partial", "")).strip()

    def decoded(self, *, twice: bool = False) -> tuple[Alternative, ...]:
        """Decode all its frames at once, at the gain for their peak, and return the alternatives.

        Twice: the sound is heard once before, so that the recogniser knows this voice and room from the
        first word on; asked for again, the result of the first time is returned.
        """
        if twice and self._again is not None:
            return self._again
        self._restart()
        if twice:
            assert self._decoder is not None
            self._decoder.Reset()  # as its result would, without the cost of one that nobody reads
            self._feed_all()
        found = self.result()
        self._again = found if twice else self._again
        return found

    def result(self) -> tuple[Alternative, ...]:
        """Close the decoding and return its alternatives, likeliest first. Only once."""
        assert self._decoder is not None
        self._decoder.SetWords(True)
        found = json.loads(self._decoder.FinalResult()).get("alternatives", [])
        self._decoder = None
        lead = len(self._lead) / RATE
        for each in found:
            words = [
                (float(word["start"]) - lead, float(word["end"]) - lead) for word in each.get("result", ())
            ]
            self._times.setdefault(str(each["text"]).strip(), words)
        alternatives = [Alternative(str(each["text"]).strip(), float(each["confidence"])) for each in found]
        return tuple(sorted(alternatives, key=lambda each: -each.score))

    def unexplained(self, words: str) -> float:
        """Return the longest stretch of speech (s) inside a sentence that none of its words covers.

        A digit taken for silence leaves one: "nine five" heard as "nine". 0 where the words were not decoded.
        """
        times = self._times.get(words, [])
        longest = 0.0
        for (_, end), (start, _) in itertools.pairwise(times):
            run = 0
            for spoken in self._spoken[round(end / FRAME_S) : round(start / FRAME_S)]:
                run = run + 1 if spoken else 0
                longest = max(longest, run * FRAME_S)
        return longest

    def _keep(self, samples: Samples, speech: bool = False) -> None:
        self._spoken.append(speech)
        self.frames.append(samples)
        self._levels.append(rms_db(samples))
        top = peak_of(samples)
        self.peak = max(self.peak, top)
        self.clipped = self.clipped or int(np.count_nonzero(np.abs(samples.astype(np.int32)) >= 32_767)) >= 8

    def _restart(self) -> None:
        """Decode from the start at the gain for the peak known by now; it happens early, so it is short."""
        self._gain = min(PEAK_TARGET / self.peak, GREATEST_GAIN)
        self._decoder = vosk.KaldiRecognizer(self._model, RATE)
        self._decoder.SetMaxAlternatives(ALTERNATIVES)
        self._feed_all()

    def _feed_all(self) -> None:
        self._fed = 0
        for frame in (self._lead, *self.frames):
            self._decode(frame)

    def _decode(self, samples: Samples) -> None:
        assert self._decoder is not None
        # Its own endpoint rules are set far beyond ours; a True here only says that they fired, and
        # the result stays readable until we ask for it.
        hiss = _HISS[self._fed : self._fed + len(samples)]
        self._fed += len(samples)
        louder = within_scale(samples.astype(np.float32) * self._gain + hiss)
        self._decoder.AcceptWaveform(louder.astype("<i2").tobytes())


_WINDOW = 512
_NARROW_DB = -55.0
"""Band above 4.2 kHz against the band below 3.6 kHz: of 160 full-band sentences none had less than -37 dB,
of as many with a band of 4 kHz none more than -76 dB."""


def is_narrow(samples: Samples) -> bool:
    """Say whether the sound has nothing above 4 kHz: by the windows in which that band is strongest."""
    wave = samples[: len(samples) // _WINDOW * _WINDOW].astype(np.float64).reshape(-1, _WINDOW)
    if not len(wave):
        return False
    power = np.abs(np.fft.rfft(wave * np.hanning(_WINDOW), axis=1)) ** 2
    step = RATE / _WINDOW
    high = power[:, round(4200 / step) : round(7500 / step)].sum(axis=1)
    low = power[:, round(200 / step) : round(3600 / step)].sum(axis=1)
    # A fricative shows best whether there is a high band: its windows are the tenth with the most of it.
    most = np.sort(high)[-max(1, len(high) // 10) :].mean()
    return bool(10 * np.log10(most + 1e-9) - 10 * np.log10(low.max() + 1e-9) < _NARROW_DB)
