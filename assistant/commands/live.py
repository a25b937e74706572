"""The live ear: a microphone heard by a recogniser in a thread of its own, and typed lines at the same time.

The recogniser belongs to that one thread; what it decides goes through a queue to the loop of the job.
A missing model, sound library or device leaves the keyboard, and the microphone is looked for again.
"""

from __future__ import annotations

import argparse
import contextlib
import queue
import sys
import threading
from collections.abc import Callable, Iterator

from assistant.commands import house
from assistant.commands.din import Din
from assistant.commands.ears import Ear, Keyboard, Over
from assistant.commands.listener import Gate, Listener
from assistant.commands.own_voice import OwnVoice
from assistant.commands.pedal import Pedal, keys
from assistant.commands.personal import personal_ear
from assistant.commands.understanding import expectation_of, from_utterance
from assistant.dialogue.reply import Heard
from assistant.duplex.client import Duplex
from assistant.errors import AssistantError, MissingPart
from assistant.grammar.grammar import Grammar
from assistant.grammar.meaning import NoMatch
from assistant.hearing.capture import MicrophoneProcess, SteadyMicrophone
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.job.state import State
from assistant.shelf.places import cache_folder
from assistant.shelf.settings import Settings
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.voice import Voice

WAIT_S = 0.1
TOO_NOISY = Heard(NoMatch("noisy"))
"""Nobody need have spoken: who does is not heard."""


class LiveEar:
    """An ear of a microphone and a keyboard."""

    def __init__(
        self,
        keyboard: Ear,
        microphone: SteadyMicrophone,
        listener: Callable[[], Listener],
        understood: Callable[[Utterance, State | None], Heard],
        told: Callable[[str], None],
    ) -> None:
        """`listener` is called in the ear's own thread; `told` takes what the user must know."""
        self._microphone, self._listener, self._understood, self._told = (
            microphone,
            listener,
            understood,
            told,
        )
        self._items: queue.Queue[Utterance | Heard | Over | None] = queue.Queue()
        self._state: Callable[[], State | None] = lambda: None
        self._stop = threading.Event()
        self.metered: Callable[[bytes, float], None] | None = None
        """Takes each block of sound and the level of the noise, in the ear's own thread."""
        self.attentive: Callable[[], bool] = lambda: True
        """Whether talk is listened to now; while it is not, it cuts nothing short."""
        self._din = Din()
        self._no_ear = False
        """No microphone was ever there, and none may come."""
        self._instead = False
        """Another microphone than the chosen one was the last to listen."""
        self._keyboard_over = False
        self._keys = threading.Thread(target=self._type, args=(keyboard,), daemon=True, name="typed")
        self._ear = threading.Thread(target=self._listen, daemon=True, name="ear")
        self._keys.start()
        self._ear.start()

    def next(self, timeout_s: float | None, state: State | None) -> Heard | Over | None:
        """Return the next utterance or typed line; `Over` when there is neither ear nor keyboard."""
        try:
            item = self._items.get(timeout=timeout_s)
        except queue.Empty:
            return None
        if isinstance(item, Utterance):
            return self._understood(item, state)
        if isinstance(item, Over):
            self._keyboard_over = True
        elif item is not None:
            return item
        return Over() if self._keyboard_over and self._no_ear else None

    def watch(self, state: Callable[[], State]) -> None:
        """Hear by what the job awaits at that moment; before a job has begun, by what begins one."""
        self._state = state

    def close(self) -> None:
        """Let go of the microphone."""
        self._stop.set()
        self._ear.join(5.0)

    def _type(self, keyboard: Ear) -> None:
        item: Heard | Over | None = None
        while not isinstance(item, Over) and not self._stop.is_set():
            item = keyboard.next(None, None)
            if item is not None:
                self._items.put(item)

    def _listen(self) -> None:
        """Run the ear until it is closed; whatever part is missing, the keyboard goes on."""
        try:
            listener = self._listener()
        except (AssistantError, ImportError, OSError) as trouble:
            self._told(f"no ear: {trouble}; type instead")
            self._without()
            return
        try:
            while not self._stop.is_set():
                self._once(listener)
        finally:
            self._microphone.close()

    def _once(self, listener: Listener) -> None:
        microphone = self._microphone
        was, instead, why = microphone.listening, microphone.instead, microphone.trouble
        block = microphone.read(WAIT_S)
        now = microphone.listening
        if now and not (was and microphone.instead == instead):
            self._told(self._which(again=bool(why)))
            self._no_ear = False
        elif was and not now:
            self._told(f"microphone lost: {microphone.trouble}; type meanwhile, it is looked for")
            self._give(listener.lost())
        elif microphone.trouble and not microphone.instead and not microphone.ever and not self._no_ear:
            self._told(f"no microphone: {microphone.trouble}; type instead, it is looked for")
            self._without()
        if block is not None:
            decided = listener.hear(block, expectation_of(self._state()), self.attentive())
            self._give(decided)
            if self._din.hear(decided, listener.noise_db, len(block.pcm) / 2 / RATE):
                self._items.put(TOO_NOISY)
            if self.metered is not None:
                self.metered(block.pcm, listener.noise_db)
        elif not now:
            self._stop.wait(WAIT_S)

    def _which(self, again: bool) -> str:
        """Say which microphone listens from now on."""
        was_instead, self._instead = self._instead, self._microphone.instead
        if self._instead:
            return f"{self._microphone.trouble}; another microphone listens until then"
        if was_instead:
            return "the microphone you chose is there again: listening"
        return "the microphone is there again: listening" if again else "listening"

    def _give(self, utterances: list[Utterance]) -> None:
        for one in utterances:
            self._items.put(one)

    def _without(self) -> None:
        """There is no ear now; wakes the loop, which leaves when there is no keyboard either."""
        self._no_ear = True
        self._items.put(None)


@contextlib.contextmanager
def ear_for(
    arguments: argparse.Namespace, chosen: Settings, grammar: Grammar, store: house.Store, voice: Voice
) -> Iterator[Ear]:
    """Give the ear asked for while the block runs: the keyboard, and the microphone if that is asked for."""
    pedal = keys() if chosen.attention == "key" else None
    keyboard = Keyboard(sys.stdin, grammar) if pedal is None else Pedal(pedal, grammar)
    if arguments.ear != "microphone":
        try:
            yield keyboard
        finally:
            if pedal is not None:
                pedal.close()
        return

    def understood(utterance: Utterance, state: State | None) -> Heard:
        job = state.job if state is not None else ""
        return from_utterance(
            utterance, grammar, state, lambda sound: store.keep(job, sound), store.level == "all"
        )

    def told(text: str) -> None:
        print(f"({text})", file=sys.stderr, flush=True)

    ear = LiveEar(
        keyboard,
        microphone_for(chosen, voice),
        lambda: listener_for(arguments, chosen, grammar, voice),
        understood,
        told,
    )
    try:
        yield ear
    finally:
        ear.close()
        if pedal is not None:
            pedal.close()


def microphone_for(chosen: Settings, voice: Voice) -> SteadyMicrophone:
    """Return the microphone, which may be one with the loudspeaker; another may stand in for one by name."""
    if isinstance(voice, AloudVoice) and isinstance(voice.output, Duplex):
        return SteadyMicrophone(voice.output.opening)
    return SteadyMicrophone(
        lambda: MicrophoneProcess(chosen.microphone), other=MicrophoneProcess if chosen.microphone else None
    )


def listener_for(arguments: argparse.Namespace, chosen: Settings, grammar: Grammar, voice: Voice) -> Listener:
    """Load the recogniser in the calling thread and join it with the voice by the route."""
    from assistant.commands.fetch import word_graph
    from assistant.hearing.break_in import BreakIn

    try:
        folder = word_graph(grammar.acceptor, arguments.model, cache_folder())
    except OSError as trouble:
        raise MissingPart(f"the speech model cannot be used ({trouble})") from trouble
    recogniser = personal_ear(folder, grammar, getattr(arguments, "who", ""), chosen)
    if not isinstance(voice, AloudVoice):
        return Listener(recogniser, voice.stop)
    own = OwnVoice(voice, grammar.normalise, cancels=isinstance(voice.output, Duplex)).keep_out
    if chosen.route == "loudspeaker":
        gate = Gate(voice.air, BreakIn(recogniser.model, voice.air.loudest))
        return Listener(recogniser, voice.stop, gate, own)
    return Listener(recogniser, voice.stop, wall=own, hold=voice.hold)
