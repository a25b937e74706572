"""Whether the echo of a loudspeaker can be cancelled on this computer, and if not, why."""

from __future__ import annotations

from assistant.duplex.canceller import library as canceller
from assistant.duplex.cards import apart
from assistant.errors import MissingPart
from assistant.speaking.output import library


def lacking(microphone: str) -> str:
    """Return what stands against it as "what is wrong; what to do", "" where nothing does.

    `microphone` is part of the name of the one that is used, empty for the usual one. A device that is not
    there now stands against nothing: it may come.
    """
    try:
        canceller()
        sound = library()
    except MissingPart as trouble:
        return str(trouble)
    try:
        why = apart(sound, microphone)
    except (MissingPart, sound.PortAudioError, ValueError):
        return ""
    return f"{why}; use one card for both, or a headset" if why else ""
