"""English replies that never change: key -> sentences."""

from __future__ import annotations

from collections.abc import Mapping

FIXED: Mapping[str, tuple[str, ...]] = {
    # readings and questions
    "standing": ("Noted.",),
    "noted": ("Noted.",),
    "what-of": ("Which reading is that?", "Name it with the number."),
    "already-noted": ("That is noted already.",),
    "still-needed": ("This step still needs a reading.",),
    "last-heard": ("Heard before the break.",),
    "nothing-to-disregard": ("There is nothing to strike out.",),
    "heard-nothing": ("Nothing heard so far.",),
    "note-kept": ("Note kept, with its sound.",),
    "note-no-sound": ("Note marked, without sound.",),
    "note-go": ("Speak the note now.",),
    "noted-nothing": ("Then the note is left out.",),
    "plate-right": ("The code agrees with the sheet.",),
    "plate-mismatch": ("The code differs from the sheet.", "Compare both before you open anything."),
    "fluid-mismatch": ("That colour differs from the sheet.", "Find out why before you pour."),
    "noted-no-exit": ("Noted in the record.", "The step stays as it is."),
    # advice and level
    "nothing-measured": ("Nothing is measured yet.", "The amount that came out is needed first."),
    "no-advice-yet": ("Nothing is advised yet.",),
    "advice-refused": ("Advice withdrawn.", "A changed reading gives a new figure."),
    "advice-first": ("The advice needs its answer first.",),
    "level-first": ("The level decides here.", "Dip and tell me."),
    "level-right": ("That level is as it should be.",),
    "wipe-again": ("Wipe the stick, dip it once more, and tell me.",),
    "nothing-out": ("Nothing has come out so far.",),
    "nothing-in": ("Nothing has gone in so far.",),
    # the job
    "job-over": ("This job is closed.",),
    "emergency": ("All halted, timers held.",),
    "welcome-back": ("Good, going on.",),
    "standing-by": ("Standing by.",),
    "still-there": ("I am still listening.",),
    "not-now": ("That has its place at another step.",),
    "first-step": ("This is the first step.",),
    "ask-skip": ("Give the whole sentence, with the reason from the card.",),
    "not-skipped": ("We stay at this step.",),
    "ask-finish": ("All steps are complete.", "Shall I sign the record off?"),
    "timer-how-long": ("A timer of how many minutes?",),
    "no-caution": ("Nothing special to guard against here.",),
    "no-fluid": ("The data lacks the fluid class.",),
    "no-tool": ("The data lacks the tool.",),
    # not understood, and the sound
    "not-understood-trap": ("That is easily misheard.", "Number first, then its whole unit."),
    "not-understood-digits": ("Try it digit by digit, with the unit at the end.",),
    "not-understood-other-way": ("Use the keyboard, a pedal or the screen for this one.",),
    "spoken-over": ("I was still talking.", "Once more, please."),
    "sound-noisy": ("Too noisy.", "Bring the microphone closer, or wait for quiet."),
    "sound-quiet": ("Too quiet.", "Speak up, or bring the microphone closer."),
    "sound-loud": ("Too loud.", "Move the microphone away from your mouth."),
    # the program itself
    "choose-how": (
        "The job is new, quick or resumed.",
        "Or give a number of the list.",
    ),
    "saved-now": ("Everything is saved now.",),
    "no-microphone": ("The microphone is missing.", "Type on the keyboard."),
    "microphone-found": ("A microphone is here now.", "You may speak."),
    "ear-lost": ("My hearing is lost.", "Type on the keyboard."),
    "ear-back": ("I hear again.",),
    "voice-lost": ("My voice is lost.", "Read the screen."),
    "voice-back": ("I can speak again.",),
    "quick-job": ("Without a sheet, I ask for each figure when it is needed.",),
    "server-away": ("The server is away.", "The records stay here and follow later."),
    "server-differs": ("The server has another version of this job.", "Look at the screen."),
    "nothing-to-resume": ("There is nothing left open.",),
}
