"""The manual: a page for the mechanic, and a page on what the assistant cannot hear or know.

Sentences in braces are the mechanic's and stand in the grammar; what the assistant says is put in from its
own replies, so that neither can differ from what really happens.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence

from assistant.dialogue.reply import Reply
from assistant.job.reading import Reading
from assistant.phrasing import phrase
from assistant.units import Measure

LINES, COLUMNS = 66, 100
"""A page of A4 or letter paper at ten characters to the inch, six lines to the inch."""
TITLE = "THE ASSISTANT UNDER THE VEHICLE"
LIMITS_TITLE = "WHAT IT CANNOT DO"

MECHANIC: Mapping[str, tuple[str, ...]] = {
    "BEFORE YOU GO UNDER": (
        "`assistant vehicle add` makes a sheet by questions, `assistant plan` says what to lay out and "
        "buy, `assistant start` begins. Headset on, one sentence at a time, then wait for the answer.",
        "It asks who you are, once: {initials mike kilo}. Told in the job: {plan the job}.",
    ),
    "THROUGH THE STEPS": (
        "{next step} or {done}, {step back}, {say again}, {in full} for the long version, {where are we}, "
        "{what can i say}, {which tool}, {cautions again}.",
        "{skip this not needed} leaves a step out, and the record says why. A guard stays: "
        "before an engine runs it asks whether everybody is clear, and only {all clear} goes on.",
        "{stand by} and it is quiet until {i am back}.",
    ),
    "READINGS": (
        "Number first, then the unit; torque and temperature digit by digit. It reads back what it took:",
    ),
    "PUTTING IT RIGHT": (
        "Say it anew after the word correction: {correction one point four litres}. {disregard last} "
        "takes it back.",
        "Where it asks for a yes, nothing else will do: {yes} or {no}. A bare quart is asked for: "
        "{american} or {imperial}. So is an amount that may be the sum: {one more}, {in total} or "
        "{instead}.",
    ),
    "ASKING": (
        "{how much out}, {how much to go}, {how long}, {which torque}, {which fluid}, {what do i buy}, "
        "{is it worth waiting}, {what should the stick read}, {next service}, {what was done last time}. "
        "`assistant card` prints all of it on one page.",
    ),
    "SEVERAL UNITS": (
        "{switch to the rear differential}, {how long on the transfer case}, {stop the gearbox drain "
        "timer}. Several services of one vehicle go into one job: told by their numbers where it "
        "begins, or with --with.",
    ),
    "WHEN SOMETHING HAPPENS": (
        "Say it as it is: {plug will not move}, {it leaks}, {pan is full}, {will not take any more}, "
        "{wrong gearbox}. It says what to do and where the job goes.",
        "{emergency} silences it and holds all timers; it calls nobody. {i am back} goes on.",
    ),
    "LEAVING IT": (
        "{park the job} keeps it and says what the tag has to warn of; `assistant resume` goes on, after "
        "a night or a power cut, too. {hand over to juliet romeo} records that a colleague goes on. "
        "{finish the job} signs it off; `assistant report` prints the record.",
    ),
}
"""Heading -> what stands under it; a command of the shell stands in backquotes."""

EXCHANGE: tuple[tuple[str, Reply], ...] = (
    (
        "first can three litres",
        Reply(
            "heard",
            {
                "reading": Reading(
                    1, "drained", "3", "litre", {"form": "part", "can": "1"}, consequence="medium"
                )
            },
        ),
    ),
    (
        "another one point two litres",
        Reply(
            "heard",
            {
                "reading": Reading(2, "drained", "1.2", "litre", {"form": "another"}),
                "total": Measure("4.2", "litre"),
            },
        ),
    ),
)
"""What is said while the old fluid is measured, and the answer to it."""
AMONG = "READINGS"
"""The heading under which the exchange stands."""

LIMITS: tuple[str, ...] = (
    "It hears the sentences of its card and their variants, in English, and nothing else; it holds no "
    "conversation.",
    "It was tried with synthetic voices and with published recordings of human speech, not yet with "
    "mechanics at work. Loud impact noise, a second talker near the microphone and strong accents make it "
    "ask more often.",
    "It sees nothing. It takes your word for a clean seat, a seated dipstick, a tightened plug.",
    "It knows no vehicle. Capacities, torques and temperatures come from your sheet or your voice.",
    "Linux is tested. macOS and Windows are provided for in the code and have not been tried.",
    "Over a loudspeaker only three words interrupt it, unless its voice is cancelled in what it hears "
    "(setting `echo`); that was tried in a simulated room and on a virtual card, not yet with a real "
    "loudspeaker.",
    "Only the first service, draining and refilling by the dipstick, is driven by a recorded conversation; "
    "the others are driven to their end by synthetic voices in quiet, where a line now and then has to be "
    "typed.",
)
"""What it cannot do, as the README has it."""

CANNOT_HEAR: tuple[str, ...] = (
    "Thirteen and thirty sound alike, and so does every such pair: a torque or an amount that holds one "
    "is asked for digit by digit, {one three litres} or {three zero litres}.",
    "Without a number it takes no reading: {a bit low} is answered with a question. What you are about to "
    "do, what the book says, and a figure somebody else calls across the shop are no readings either.",
    "Talk that is not for it is passed over; the word {emergency} is heard at any time, {ear closed} "
    "shuts out all but that until {ear open}, a key or a timer.",
)
CANNOT_KNOW: tuple[str, ...] = (
    "Whether a seat is clean, a thread straight, a stand safe, the fluid in the can what its label says.",
    "The level before you drained, unless you read it: then the refill restores whatever it was.",
    "How much clings in a converter or a cooler; the level check at the end decides, and it insists on one.",
    "How old a figure is: what the sheet says it believes, and it tells where a figure came from.",
)


def mechanic() -> str:
    """Return the page for the mechanic, at most `LINES` lines of `COLUMNS`."""
    lines = [TITLE, ""]
    for heading, texts in MECHANIC.items():
        lines += [heading, *_wrapped(texts)]
        if heading == AMONG:
            lines += [line for said, reply in EXCHANGE for line in _exchange(said, reply)]
        lines.append("")
    return "\n".join([*lines, "What it cannot hear or know: assistant manual limits"])


def limits() -> str:
    """Return the page on limits, at most `LINES` lines of `COLUMNS`."""
    lines = [LIMITS_TITLE, "", *_wrapped(LIMITS)]
    lines += ["", "WHAT IT CANNOT HEAR", *_wrapped(CANNOT_HEAR)]
    return "\n".join([*lines, "", "WHAT IT CANNOT KNOW", *_wrapped(CANNOT_KNOW)])


def _exchange(said: str, reply: Reply) -> Iterator[str]:
    yield f'    you    "{said}"'
    yield f"    it     {' '.join(phrase(reply))}"


def _wrapped(texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        shown = text.replace("{", '"').replace("}", '"').replace("`", "")
        yield from textwrap.wrap(shown, COLUMNS, initial_indent="- ", subsequent_indent="  ")
