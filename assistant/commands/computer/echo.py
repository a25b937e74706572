"""The echo of a loudspeaker: what keeps it out, and what stands against cancelling it."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.commands.computer.finding import Finding
from assistant.duplex.lacking import lacking
from assistant.shelf.settings import Settings


def check_echo(chosen: Settings) -> Iterator[Finding]:
    """Yield what is found, where there is a loudspeaker whose echo comes back."""
    if chosen.route != "loudspeaker":
        return
    why = lacking(chosen.microphone)
    what, _, cure = why.rpartition("; ")
    if chosen.echo == "cancel" and why:
        told = f"{what}: it is not cancelled, and nothing is heard while the assistant speaks"
        yield Finding("echo", told, cure)
    elif chosen.echo == "cancel":
        yield Finding("echo", "it can be cancelled; how far, the first replies of a job tell")
    else:
        yield Finding("echo", "nothing is heard while the assistant speaks")
