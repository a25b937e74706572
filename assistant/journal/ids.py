"""Names of jobs: sortable by the time they began, unique without asking anybody."""

from __future__ import annotations

from ulid import ULID

from assistant.errors import WrongInput
from assistant.job.instant import Instant

MAX_MS = (1 << 48) - 1
"""A ULID holds 48 bits of milliseconds since 1970."""


def new_job_id(at: Instant) -> str:
    """Return a new ULID of a job that begins at `at`: 26 characters, later ones sort after earlier ones."""
    return str(ULID.from_timestamp(min(max(at.utc_ms, 0), MAX_MS)))


def begun_ms(job: str) -> int:
    """Return the UTC milliseconds a job's name was made at; raises `WrongInput` for another kind of name."""
    try:
        return ULID.from_str(job).milliseconds
    except ValueError as error:
        raise WrongInput(f"{job!r} is no name of a job (26 letters and digits)") from error
