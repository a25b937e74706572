"""What a job is sure to say, fixed replies and texts of steps, so that a voice can render it ahead."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.dialogue.reply import Reply
from assistant.errors import WrongInput
from assistant.job.state import State
from assistant.phrasing import LANGUAGES, phrase
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.voice import Voice


def prepare(voice: Voice, state: State, language: str) -> None:
    """Let a voice that speaks aloud render what this job is sure to say, the next steps first."""
    if isinstance(voice, AloudVoice):
        voice.prepare([*steps_ahead(state, language), *fixed_replies(language)])


def fixed_replies(language: str) -> Iterator[str]:
    """Yield the sentences of every reply that needs no argument."""
    for key in LANGUAGES[language].replies:
        try:
            yield from phrase(Reply(key), language)
        except WrongInput:
            continue


def steps_ahead(state: State, language: str) -> Iterator[str]:
    """Yield the sentences of the steps from the present one on, filled from the vehicle's sheet."""
    here = state.procedure.steps.index(state.procedure.step(state.step_id))
    for step in state.procedure.steps[here:]:
        number = state.procedure.number(step.id)
        yield from phrase(Reply("step", {"number": number, "text": step.say, "sheet": state.sheet}), language)
        for one in step.awaits:
            yield from phrase(Reply("ask", {"text": one.ask, "sheet": state.sheet}), language)
