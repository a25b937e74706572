"""What a mechanic reads out once so that the ear knows the voice, and what is said around it."""

from __future__ import annotations

PHRASES: tuple[str, ...] = (
    "drained four point two litres",
    "first can three litres",
    "another nought point six litres",
    "temperature five six degrees celsius",
    "torque three five newton metres",
    "poured one point eight litres",
    "a drop every seven seconds",
    "five millimetres below the hot mark",
    "start a timer for nine minutes",
    "say again please",
)
"""Ten sentences that hold every digit, the units of readings and a command."""
