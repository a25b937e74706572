"""Timekeeping: the clock of the computer, and one that moves only when it is told to.

Gives `Instant` values, and a wait that ends in time even when the computer was suspended meanwhile.
"""

from assistant.timekeeping.clock import Clock, RecordedClock, SystemClock, ms_until

__all__ = ["Clock", "RecordedClock", "SystemClock", "ms_until"]
