"""Questions about the wrench: does it do, what does it really give, is this torque the right one."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue.asking import known, needed, plug_torque, torque_said
from assistant.dialogue.keeping import keep
from assistant.dialogue.reply import Turn
from assistant.grammar.meaning import Meaning
from assistant.reckoning import torque
from assistant.units import Measure, for_speech


def _fits(turn: Turn, meaning: Meaning) -> None:
    wanted = torque_said(turn, meaning)
    range_ = needed(turn, "wrench-lowest", "wrench-highest") if wanted is not None else None
    if wanted is None or range_ is None:
        return
    lowest, highest = range_
    verdict = torque.wrench_fits(torque=wanted, lowest=lowest, highest=highest)
    turn.say("wrench-fits", verdict=verdict.verdict, torque=wanted, lowest=lowest, highest=highest)


def _band(turn: Turn, meaning: Meaning) -> None:
    wanted = torque_said(turn, meaning)
    if wanted is None:
        return
    figure = torque.band(
        torque=wanted, tolerance=known(turn, "wrench-tolerance"), wrench_max=known(turn, "wrench-highest")
    )
    keep(turn, figure)
    turn.say(
        "torque-band",
        torque=wanted,
        least=_finer(figure.part("least")),
        most=_finer(figure.part("most")),
        by_standard=known(turn, "wrench-tolerance") is None,
    )


def _finer(measure: Measure) -> Measure:
    """Round an end of a band to a tenth: rounded as a torque is said, band and torque would be one."""
    return Measure(f"{float(measure.exact):.1f}", measure.unit)


def _check(turn: Turn, meaning: Meaning) -> None:
    assert meaning.value is not None, "the sentence holds a torque"
    assert meaning.unit is not None, "and its unit"
    said = Measure(meaning.value, meaning.unit)
    spec = plug_torque(turn, meaning.slot("plug"))
    if spec is None:
        return
    verdict = torque.check(said=said, spec=spec)
    share = for_speech(verdict.part("share"))
    turn.say("torque-check", verdict=verdict.verdict, said=said, spec=spec, share=share)


def _preload(turn: Turn, meaning: Meaning) -> None:
    wanted = known(turn, "pan-bolt-torque") or plug_torque(turn, "")
    found = needed(turn, "bolt-diameter", "friction") if wanted is not None else None
    if wanted is not None and found is not None:
        figure = torque.preload(torque=wanted, diameter=found[0], friction=found[1])
        turn.say("preload", force=keep(turn, figure), torque=wanted)


ASKED: dict[str, Callable[[Turn, Meaning], None]] = {
    "wrench-fits": _fits,
    "torque-band": _band,
    "torque-check": _check,
    "preload": _preload,
}
"""Name of a computation -> what answers the question for it."""
