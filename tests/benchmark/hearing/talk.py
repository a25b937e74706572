"""What must not be understood: talk full of numbers and workshop words, and noise with nobody speaking."""

from __future__ import annotations

from itertools import product

from assistant.grammar import Meaning
from tests.benchmark.hearing.clips import SPEECH, Clip, Piece
from tests.benchmark.hearing.commands import english
from tests.benchmark.hearing.speakers import usable
from tests.benchmark.hearing.split import Split

TALK = (
    "it cost me forty two fifty at the other place and they wanted nine more for the gasket",
    "he said he would be here at ten past four but it is nearly five already",
    "there were about thirty people in the hall and only seven chairs",
    "I told him the number was three five four seven double two and he wrote it down wrong",
    "we drained the pond last week and there must have been two hundred litres in it",
    "she poured half a litre of milk into the bowl and added two eggs",
    "turn left after two miles and then take the third exit",
    "the match ended three two but they should have had another one at the end",
    "can you hold the torch a bit higher because I can not see the second bolt",
    "next week I am off on Tuesday and back on Thursday",
    "my brother in law has a can of that stuff at home with a litre left in it",
    "stop the car there and let me out at the corner please",
    "what time is it now is it time for a cup of tea yet",
    "no I never said that and yes he was standing right next to me",
    "the temperature outside is twenty five degrees and it feels like thirty",
    "start with the left one and then do the other four wheels",
    "how much do they want for it these days I paid six hundred and ten",
    "take a number and wait until they call you it takes fifteen minutes",
    "the old one lasted eighty thousand miles and this one is finished after twelve",
    "go back inside and say it again to the boss he did not hear you",
)
"""Written for this test."""


def chatter(side: Split, _seed: int) -> list[Clip]:
    """Return every sentence of the talk by every voice."""
    return [
        Clip(f"chatter/{voice}/{words}", "chatter", voice, (Piece(voice, words.lower()),), timed=False)
        for words, voice in product(TALK, side.voices)
        if usable(voice) and not isinstance(english().parse(words.lower()), Meaning)
    ]


def noises_alone(side: Split, _seed: int) -> list[Clip]:
    """Return twenty seconds of each recorded noise, six times over, with nobody speaking."""
    names = sorted(
        {name for several in side.noises.values() for name in several if not name.startswith("made:")}
    )
    return [
        Clip(
            f"noise alone/{name}/{turn}", "noise alone", name, (Piece(file=f"noise/{name}"),) * 4, timed=False
        )
        for name in names
        if (SPEECH / "noise" / name).is_file()
        for turn in range(2)
    ]
