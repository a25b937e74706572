"""From the recogniser's list of alternatives to one decision: understood, or not.

The scores of the alternatives become probabilities; those that mean the same are added up; what is
outside the grammar, known to be unsafe or implausible is evidence against. The threshold then grows
with what a mistake would cost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from math import exp

from assistant.grammar.graph import UNKNOWN
from assistant.grammar.meaning import KINDS, Meaning, NoMatch

Parse = Callable[[str], Meaning | NoMatch]


@dataclass(frozen=True, slots=True)
class Alternative:
    """One word sequence the recogniser thinks possible."""

    words: str
    score: float
    """Log-likelihood in nats; only differences between alternatives of one list mean anything."""


@dataclass(frozen=True, slots=True)
class Window:
    """The plausible values of one kind of reading, in the units it is judged in."""

    low: Decimal
    high: Decimal
    units: tuple[str, ...]
    """Units on whose scale low and high are; a meaning in another unit is judged by another window."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What may be said now, as the caller knows it."""

    awaiting: tuple[str, ...] = ()
    """Kinds of meaning just asked for. One-word commands and numbers without unit count only here."""
    windows: Mapping[str, tuple[Window, ...]] = field(default_factory=dict)
    """Kind -> plausible windows, at most one for each unit; a kind without one is always plausible."""
    anything: bool = False
    """Nothing in particular is awaited and one-word commands are welcome, too: to test recordings. A
    number without its unit still is not: it needs a question to be an answer to."""


ANYTHING = Expectation(anything=True)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The sound an utterance was heard in; levels in dBFS, before any gain."""

    peak_db: float = -9.0
    noise_db: float = -96.0
    speech_seconds: float = 0.0
    """How long there was speech, anybody's; 0: not known."""
    clipped: bool = False
    denoised: bool = False
    """Decoded through noise suppression, which makes the recogniser too sure of itself."""
    narrow: bool = False
    """Nothing above 4 kHz, as through a telephone: what tells digits apart is partly missing."""
    contradicted: bool = False
    """Another view of the same sound says something else."""
    unexplained: float = 0.0
    """Seconds of speech between two words of the likeliest sentence that belong to neither."""
    straight: bool = False
    """Said straight after something else: it may be the rest of that."""
    after_talk: bool = False
    """What it was said straight after was not understood."""
    burst: bool = False
    """Something else was loud just before or after the speech."""


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Every figure of the decision. Measured with the small English model on synthetic commands and
    human digits; shares are probabilities, levels dBFS."""

    command: float = 0.80
    """Commands, plain probability: 95 % taken and none wrong of 330, quiet and in engine noise at 10 dB."""
    sure_command: float = 0.95
    """Commands below must be likely in two views of the sound: both together as likely as `command`."""
    sure: float = 0.90
    """Readings at or above are taken. Of 520 in quiet 79 % were, one wrong (at 0.95 68 %, none wrong; at
    0.85 83 %, two wrong). Values without -teen or -ty: those are not told apart by any threshold."""
    sure_in_noise: float = 0.95
    """The same where speech does not stand clear of the noise: at 10 dB 74 % of 140 taken, none wrong."""
    ask: float = 0.65
    """Readings from here to `sure` are doubtful, to be confirmed with a yes: one in ten of them is wrong."""
    mass: float = 0.50
    """Readings need this much of all probability on meanings: wrong in noise 7 % -> 2 %, of 101."""
    one_word: float = 0.95
    """One-word commands nobody asked for: 6 of 236 clips of single words taken, three of them other words."""
    one_word_awaited: float = 0.85
    """One-word answers just asked for: of 134 synthetic 76 %, of 15 human yes and no 13 taken, none wrong;
    no other word taken of 150 (at 0.80 one)."""
    asked_boost: float = 1.0
    """The same while a yes or no was just asked for, when a foreign word is less likely than an answer: an
    awaited "yes" of one of five voices had 0.81 under the full boost, 0.97 under this."""
    unknown_boost: float = 3.0
    """Nats added to what holds an unknown word or none. Human single words, at 0, 3, 6 nats: right digits
    taken 67, 63, 49 of 79, other words taken 10, 4, 1 of 142."""
    seconds_each: float = 0.65
    """See `seconds_more`."""
    seconds_more: float = 0.8
    """Speech may last so long for each word and so much more; where it lasts longer, other people's is
    among it, and the recogniser fits a sentence to that: in babble whole commands at a share of 1.0."""
    unexplained: float = 0.3
    """Seconds of speech that no word of a reading explains, from which it is asked about: a digit was lost.
    "Nine five" was "nine" at 0.97 with 0.32 s of it; none of 175 rightly taken in quiet had so much."""
    unexplained_in_noise: float = 0.5
    """The same in noise, some of which passes for speech: at 0.3 six of a hundred right ones were doubted."""
    look_again: float = 0.3
    """Share from which what was not sure enough is worth another view of the same sound."""
    certain: float = 0.99
    """Share from which what was understood in quiet needs no other view to bear it out."""
    certain_in_noise: float = 0.999
    """The same where speech does not stand clear of the noise."""
    not_noise: float = 0.05
    """Share the sound without its noise must give what was understood in noise and is not `certain`: what an
    engine made of "five zero percent" was "ear open" at 0.97, and is gone there."""
    borne_out: float = 0.3
    """Share another view must give what was understood, else it is contradicted. Of 137 sentences in noise at
    10 and 0 dB three were taken wrongly without this and one with it; one right one was asked about."""
    clear: float = 38.0
    """dB between the peak and the noise from which speech stands clear of it: in a quiet room 44 and more, at
    20 dB about 32. Music and saws have quiet moments, by which the noise is taken for less than it is."""
    clear_of_digits: float = 22.0
    """The same for what begins with its number, as the rest of "torque two | three newton metres" does: most
    utterances at 10 dB stand out so far, most of those at 5 dB do not."""
    drowned: float = 19.0
    """dB between peak and noise under which speech is hardly louder than the noise: nearly all utterances in
    noise at 0 dB lie below, and some of those at 5 dB. The two below count there."""
    sure_drowned: float = 0.99
    """Readings; what is less sure is asked about. Of 24 in steady noise at 0 dB one was wrong at 0.97."""
    command_drowned: float = 0.99
    """Commands. At 0.98 "won't stop dripping" was "stopped dripping"."""
    noisy: float = 6.0
    """dB between peak and noise under which a refusal is put down to the noise; speech peaks stand about
    12 dB above their own RMS, so this is an SNR below zero."""
    quiet_peak: float = -45.0
    """Peak under which a refusal is put down to the level: at -40 dBFS 36 % were right without gain."""


@dataclass(frozen=True, slots=True)
class Understood:
    """A decision for one meaning."""

    meaning: Meaning
    words: str
    """The likeliest words that mean it."""
    share: float
    """Probability of the meaning: of all mass for commands, of what can be meant at all for readings."""
    mass: float
    """Probability of everything that means something sensible."""
    doubtful: bool = False
    """A reading that may be acted on only after a yes."""
    rivals: tuple[tuple[Meaning, float], ...] = ()
    """Other meanings with their shares, likeliest first."""


@dataclass(frozen=True, slots=True)
class Refused:
    """A decision against acting; `no_match` says why."""

    no_match: NoMatch
    words: str = ""
    share: float = 0.0
    mass: float = 0.0
    rivals: tuple[tuple[Meaning, float], ...] = ()
    """The meanings that were not sure enough, likeliest first."""


Decision = Understood | Refused
ASKED = frozenset({"yes", "no", "all-clear"})
"""Answers to a question that was just put."""
ALWAYS = frozenset({"emergency"})
"""Kinds that are one word and yet count at any time."""
_FRAGMENTS = frozenset({"unit-tail", "decimal-tail"})
"""Kinds that are only the rest of a sentence."""
_CODES = frozenset({"plate"})
"""Kinds of readings that are letters and digits."""
_NUMBERS = frozenset({"number", "decimal-tail"})
"""Kinds that are a number alone."""
_LIKE_A_POINT = frozenset({"pint", "us_pint", "imperial_pint"})
"""Units that in noise are heard for a "point" with the rest cut off."""


def judge(
    alternatives: Iterable[Alternative],
    parse: Parse,
    expectation: Expectation = ANYTHING,
    conditions: Conditions | None = None,
    thresholds: Thresholds | None = None,
) -> Decision:
    """Decide what was meant by the alternatives of one utterance (in any order, possibly none).

    `parse` maps words to a meaning. Not understood is a value: `Refused`, never an exception.
    """
    limits, sound = thresholds or Thresholds(), conditions or Conditions()
    tally = _tally(tuple(alternatives), parse, expectation, limits)
    if not tally.words:
        return Refused(NoMatch("empty"))
    if not tally.sensible:
        return Refused(NoMatch(tally.objection(), tally.words), tally.words)
    return _weigh(tally, parse, expectation, sound, limits)


@dataclass(slots=True)
class _Tally:
    """Probability by meaning."""

    words: str = ""
    """The likeliest words of all."""
    sensible: dict[Meaning, float] = field(default_factory=dict)
    spoken: dict[Meaning, str] = field(default_factory=dict)
    against: dict[str, float] = field(default_factory=dict)
    """Reason -> probability of what cannot be acted on."""

    def objection(self) -> str:
        """The strongest reason against."""
        return max(self.against, key=lambda reason: self.against[reason])


def _tally(
    alternatives: tuple[Alternative, ...], parse: Parse, expectation: Expectation, limits: Thresholds
) -> _Tally:
    """Add up the probabilities by meaning, the likeliest alternative first."""
    boost = limits.asked_boost if ASKED & set(expectation.awaiting) else limits.unknown_boost
    boosted = [(_boosted(each, boost), each.words) for each in alternatives]
    boosted.sort(key=lambda pair: (-pair[0], pair[1]))
    tally = _Tally()
    if not boosted:
        return tally
    top = boosted[0][0]
    total = sum(exp(score - top) for score, _ in boosted)
    for score, words in boosted:
        probability = exp(score - top) / total
        tally.words = tally.words or words
        if UNKNOWN in words.split() or not words:
            found: Meaning | NoMatch = NoMatch("unknown" if words else "empty", words)
        else:
            found = parse(words)
        if isinstance(found, Meaning):
            reason = _against(found, expectation)
            if reason is None:
                tally.sensible[found] = tally.sensible.get(found, 0.0) + probability
                tally.spoken.setdefault(found, words)
                continue
        else:
            reason = found.reason
        tally.against[reason] = tally.against.get(reason, 0.0) + probability
    return tally


def _boosted(alternative: Alternative, boost: float) -> float:
    """The score, raised where the words are no sentence: the graph is too fond of its sentences."""
    refusal = not alternative.words or UNKNOWN in alternative.words.split()
    return alternative.score + (boost if refusal else 0.0)


def _against(meaning: Meaning, expectation: Expectation) -> str | None:
    """Why this meaning cannot be acted on whatever its probability, or None."""
    if meaning.kind == "trap":
        return "trap"
    if meaning.value is not None and not plausible(meaning, expectation.windows):
        return "implausible"
    return None


def plausible(meaning: Meaning, windows: Mapping[str, tuple[Window, ...]]) -> bool:
    """Return whether the value lies in the window given for its kind and unit; True where none is given."""
    if meaning.value is None:
        return True
    value = Decimal(meaning.value)
    judged_by = [
        window
        for window in windows.get(meaning.kind, ())
        if meaning.unit is None or meaning.unit in window.units
    ]
    return not judged_by or any(window.low <= value <= window.high for window in judged_by)


def _weigh(
    tally: _Tally, parse: Parse, expectation: Expectation, sound: Conditions, limits: Thresholds
) -> Decision:
    """Hold the likeliest meaning against the thresholds of its kind."""
    mass = sum(tally.sensible.values())
    ranked = sorted(tally.sensible.items(), key=lambda pair: -pair[1])
    best, plain = ranked[0]
    words = tally.spoken[best]
    reading = is_reading(best)
    # A trap is a form somebody did say, so it competes with the readings it resembles.
    meant = mass + tally.against.get("trap", 0.0)
    scale = meant if reading else 1.0
    share = plain / scale if scale > 0.0 else 0.0
    rivals = tuple(
        (meaning, probability / scale if scale > 0.0 else 0.0) for meaning, probability in ranked[1:]
    )

    def refused(reason: str) -> Refused:
        return Refused(NoMatch(reason, words), words, share, mass, ((best, share), *rivals))

    not_now = _not_now(best, words, expectation)
    if not_now is not None:
        return refused(not_now)
    if sound.speech_seconds > limits.seconds_each * len(words.split()) + limits.seconds_more:
        return refused("noisy")
    sure, ask = _limits(best, words, expectation, sound, limits)
    if share < ask or (reading and mass < limits.mass):
        return refused(_why(tally, plain, sound, limits))
    if sound.contradicted and not reading and best.kind not in ALWAYS:
        return refused(_why(tally, plain, sound, limits))
    doubtful = share < sure or sound.contradicted or (reading and _is_torn(best, words, parse, sound, limits))
    return Understood(best, words, share, mass, doubtful, rivals)


def is_reading(meaning: Meaning) -> bool:
    """Say whether it is read back and can be asked about: a number, or a code said letter by letter."""
    return meaning.value is not None or meaning.kind in _CODES


def _is_torn(meaning: Meaning, words: str, parse: Parse, sound: Conditions, limits: Thresholds) -> bool:
    """Say whether a reading may be a part of a longer one, the rest lost or taken for something else."""
    if sound.straight and sound.after_talk:
        return True
    stands_out = sound.peak_db - sound.noise_db
    lost = limits.unexplained_in_noise if stands_out < limits.clear else limits.unexplained
    if sound.unexplained >= lost:
        return True
    if (sound.straight or stands_out < limits.clear_of_digits) and _begins_with_number(words, parse):
        return True
    if meaning.kind == "number" and (meaning.value or "").isdigit():
        return sound.burst
    return meaning.unit in _LIKE_A_POINT and (sound.burst or stands_out < limits.clear)


def _begins_with_number(words: str, parse: Parse) -> bool:
    """Say whether a sentence begins with its number, as the rest of one torn in two does."""
    said = words.split()
    beginnings = (parse(" ".join(said[:count])) for count in (1, 2))
    return any(isinstance(one, Meaning) and one.kind in _NUMBERS for one in beginnings)


def _not_now(meaning: Meaning, words: str, expectation: Expectation) -> str | None:
    """The reason why a known sentence has no use at this moment, or None."""
    if meaning.kind in expectation.awaiting or meaning.kind in ALWAYS:
        return None
    if meaning.value is not None and meaning.unit is None:
        if meaning.kind == "number":
            return "not-now"
        if KINDS[meaning.kind].units:
            return "torn"  # an amount without its unit that nobody asked for
    if not expectation.anything and (meaning.kind in _FRAGMENTS or len(words.split()) == 1):
        return "not-now"
    return None


def _limits(
    meaning: Meaning, words: str, expectation: Expectation, sound: Conditions, limits: Thresholds
) -> tuple[float, float]:
    """Return (sure, ask): below `ask` refused, below `sure` doubtful."""
    stands_out = sound.peak_db - sound.noise_db
    if not is_reading(meaning):
        awaited = meaning.kind in expectation.awaiting and meaning.kind not in _FRAGMENTS
        one_word = limits.one_word_awaited if awaited else limits.one_word
        limit = one_word if len(words.split()) == 1 else limits.command
        limit = max(limit, limits.command_drowned) if stands_out < limits.drowned else limit
        return limit, limit
    if sound.denoised:
        return limits.sure_in_noise, limits.sure_in_noise
    if stands_out < limits.drowned or sound.narrow:
        return limits.sure_drowned, limits.ask
    return (limits.sure_in_noise if stands_out < limits.clear else limits.sure), limits.ask


def _why(tally: _Tally, plain: float, sound: Conditions, limits: Thresholds) -> str:
    """The reason for a refusal: the sound where that explains it, else what stood against."""
    if sound.clipped:
        return "loud"
    if sound.peak_db < limits.quiet_peak:
        return "quiet"
    if sound.noise_db > -60.0 and sound.peak_db - sound.noise_db < limits.noisy:
        return "noisy"
    if tally.against and tally.against[tally.objection()] > plain:
        return tally.objection()
    return "torn"
