"""Which safety sign a caution carries: hazard to people and harm to equipment told apart.

By the open standards: ISO 3864-1 gives warning of a hazard a triangle, ANSI Z535.4 gives it the signal
word WARNING where it can kill or maim and CAUTION where it hurts; what harms only things is NOTICE, and
carries no triangle. (Standards quoted from memory.) The procedure says which a caution is.
"""

from __future__ import annotations

from assistant.job.procedure import SIGNAL_WORDS, Procedure

PERSON, EQUIPMENT = "person", "equipment"
WARNING, _, NOTICE = SIGNAL_WORDS


def sign_of(procedure: Procedure, caution: str) -> tuple[str, str]:
    """Return (signal, who or what is at risk); a caution nobody has classed is a warning to people."""
    signal = procedure.signals.get(caution, WARNING)
    return signal, EQUIPMENT if signal == NOTICE else PERSON
