"""Taking a reading: what it is of, its unit, whether it is one more or the total, and how sure it must be.

A reading is first written as heard, then read back; it stands by a yes, by the next sentence that
is no correction, or by time, depending on how grave a mistake would be.
"""

from __future__ import annotations

from assistant.dialogue import advising, levels, mixing, overflows, steps
from assistant.dialogue.reply import Heard, Turn
from assistant.dialogue.unit_said import QUANTITY, VOLUMES, settled_unit
from assistant.grammar.meaning import Meaning
from assistant.job import balance, commands
from assistant.job import events as e
from assistant.job.instant import elapsed
from assistant.job.plausible import doubt
from assistant.job.procedure import Finding
from assistant.job.reading import CONSEQUENCE, HIGH, LOW, Reading
from assistant.job.state import State
from assistant.units import Measure, add, settled

KINDS = frozenset(CONSEQUENCE) | {"amount", "number"}


def resolved_kind(turn: Turn, meaning: Meaning) -> str | None:
    """Return what a bare amount or number is of, from what the step awaits; None where nothing fits."""
    if meaning.kind not in ("amount", "number"):
        return meaning.kind
    if meaning.slot("correcting") and meaning.kind == "amount":
        told = _corrected_amount(turn, meaning.slot("can"))
        if told is not None:
            return told
    if not turn.state.step_id:
        return None
    step = turn.state.step
    needed = commands.missing(turn.state, step) or tuple(one.reading for one in step.awaits)
    wanted = VOLUMES if meaning.kind == "amount" else tuple(QUANTITY)
    for kind in (*needed, *(one.reading for one in step.awaits)):
        if kind in wanted:
            return kind
    if meaning.kind == "number" and meaning.slot("correcting"):
        last = turn.state.last_reading(*QUANTITY)
        return last.kind if last else None
    if meaning.kind == "number":
        return None
    last = turn.state.last_reading(*VOLUMES)
    if meaning.slot("form") == "another" and last is not None:
        return last.kind
    advice = turn.state.last_advice("refill")
    return "poured" if advice is not None and advice.fate == "taken" else "drained"


def _corrected_amount(turn: Turn, can: str) -> str | None:
    """Return what a corrected amount is of: the newest that was told of that can, else the newest of all."""
    here = turn.state.unit_id
    all_told = turn.state.readings.values()
    told = [one for one in all_told if one.kind in VOLUMES and not one.withdrawn and one.of == here]
    named = [one for one in told if can and one.slots.get("can") == can]
    return next((one.kind for one in reversed(named or told)), None)


def take(turn: Turn, heard: Heard, meaning: Meaning, *, replaces: int | None = None) -> None:
    """Write a reading as heard and read it back, or ask what is open about it."""
    kind = resolved_kind(turn, meaning)
    if kind is None:
        turn.say("what-of")
        return
    old = _replaced(turn, meaning, kind, replaces)
    if old is not None:
        turn.do(e.ReadingWithdrawn(at=turn.at, reading=old.id, why="correction"))
    slots = _slots(turn, kind, meaning, old)
    reading_id = commands.next_reading_id(turn.state)
    finding = _finding(turn, kind, slots)
    turn.do(
        e.ReadingHeard(
            at=turn.at,
            reading=reading_id,
            kind=kind,
            value=meaning.value,
            unit=settled_unit(turn, kind, meaning.unit) if meaning.value is not None else None,
            slots=tuple(sorted(slots.items())),
            step=old.step if old is not None else commands.home_step(turn.state, kind, slots),
            consequence=commands.consequence(
                kind,
                doubtful=not heard.sure,
                twin=_twin_is_plausible(turn, kind, meaning, heard),
                decides=finding is not None and finding.then != "stay",
            ),
            words=heard.words,
            replaces=old.id if old is not None else None,
            clip=heard.clip,
        )
    )
    weigh(turn, turn.state.readings[reading_id])


def _replaced(turn: Turn, meaning: Meaning, kind: str, replaces: int | None) -> Reading | None:
    """Return the reading a correction replaces: the named one, else the last of its kind (and can)."""
    if replaces is not None:
        return turn.state.readings[replaces]
    if not meaning.slot("correcting"):
        return None
    here = turn.state.unit_id
    all_told = turn.state.readings.values()
    kept = [one for one in all_told if one.kind == kind and not one.withdrawn and one.of == here]
    can = meaning.slot("can")
    if not can:
        return kept[-1] if kept else None
    named = [one for one in kept if one.slots.get("can") == can]
    parts = [one for one in kept if one.slots.get("form") != "total"]
    if named:
        return named[-1]
    # The second can is the second part told, though it was told as "another".
    return parts[int(can) - 1] if int(can) <= len(parts) and "can" not in parts[int(can) - 1].slots else None


def _slots(turn: Turn, kind: str, meaning: Meaning, old: Reading | None) -> dict[str, str]:
    slots = {name: value for name, value in meaning.slots if name not in ("correcting", "repaired")}
    if kind in VOLUMES:
        form = slots.get("form", "bare")
        before = _told(turn.state, kind, _which_fluid(turn, old))
        if old is not None and form == "bare":
            form = old.slots.get("form", "part")
            slots.setdefault("can", old.slots.get("can", ""))
        elif before and kind in ("drained", "poured") and _may_be_again(turn, form, slots, meaning, before):
            form = "open"
        slots["form"] = form
        slots = {name: value for name, value in slots.items() if value}
    if kind in ("spilled", "drained"):
        slots["fluid"] = _which_fluid(turn, old)
    if kind == "torque" and "plug" not in slots:
        slots["plug"] = _plug_here(turn)
    if kind == "level" and turn.state.step.mark and "mark" not in slots:
        slots["mark"] = turn.state.step.mark
    return slots


def _plug_here(turn: Turn) -> str:
    """Return the plug a torque is of: the one this step torques, else the only one the sheet knows."""
    wanted = turn.state.step.awaited("torque")
    plugs = wanted.when.get("plug", ()) if wanted is not None else ()
    if len(plugs) == 1:
        return plugs[0]
    return "drain" if turn.state.sheet.figure("fill-plug-torque") is None else ""


def _told(state: State, kind: str, fluid: str) -> tuple[Reading, ...]:
    """Return what was told of a kind so far; old and new fluid that was let out are kept apart."""
    of_kind = balance.counted(state, kind)
    return tuple(one for one in of_kind if kind != "drained" or one.slots.get("fluid") == fluid)


def alike(state: State, reading: Reading) -> tuple[Reading, ...]:
    """Return the other readings that count towards the same sum, oldest first."""
    told = _told(state, reading.kind, reading.slots.get("fluid", ""))
    return tuple(one for one in told if one.id != reading.id)


AGAIN_MS = 10_000
"""The same amount said once more within this time may be meant as a repetition."""


def _may_be_again(
    turn: Turn, form: str, slots: dict[str, str], meaning: Meaning, before: tuple[Reading, ...]
) -> bool:
    """Say whether an amount may have been told already: a bare one, the same can, the same just now."""
    if form == "bare":
        return True
    if form == "part" and "can" in slots:
        return any(one.slots.get("can") == slots["can"] for one in before)
    last = before[-1]
    same = last.value == meaning.value and last.slots.get("form") == form
    return form != "total" and same and elapsed(last.at, turn.at).ms < AGAIN_MS


def _which_fluid(turn: Turn, old: Reading | None) -> str:
    """What is spilled or let out once fluid was put back is the new one, unless it corrects the old."""
    if old is not None and "fluid" in old.slots:
        return old.slots["fluid"]
    return "new" if balance.poured(turn.state) is not None else "old"


def _twin_is_plausible(turn: Turn, kind: str, meaning: Meaning, heard: Heard) -> bool:
    """Say whether the -teen/-ty twin of what was heard would be believed just as well here."""
    unit = settled_unit(turn, kind, meaning.unit)
    if heard.twin is None or unit is None or not settled(unit):
        return heard.twin is not None
    twin = Measure(heard.twin, unit)
    return doubt(turn.state, kind, twin, _sum_with(turn, kind, twin)) != "outside"


def _sum_with(turn: Turn, kind: str, more: Measure) -> Measure | None:
    before = {"drained": balance.drained, "poured": balance.poured}.get(kind)
    if before is None:
        return None
    total = before(turn.state)
    return more if total is None else add(total, more)


def _finding(turn: Turn, kind: str, slots: dict[str, str]) -> Finding | None:
    """Return the finding of the current step (or the reading's own step) that these slots make."""
    state = turn.state
    for step in (state.step, state.procedure.step(commands.home_step(state, kind, slots))):
        for one in step.findings:
            if one.reading == kind and all(slots.get(name) in values for name, values in one.when.items()):
                return one
    return None


def ask_left_open(turn: Turn) -> None:
    """Ask again what is open about a reading when nothing else is asked: what came between dropped it."""
    state = turn.state
    if state.question is not None or state.ended or state.standing_by or state.frozen is not None:
        return
    challenged = (one for one in state.unstanding() if _challenge(turn, one))
    for one in (*commands.unsettled(state), *challenged):
        weigh(turn, one)
        return


def _challenge(turn: Turn, reading: Reading) -> str:
    """Return why a reading is implausible and not yet kept as doubtful, "" where it is neither."""
    measure = reading.measure
    if reading.kind not in QUANTITY or measure is None or reading.doubtful or not reading.counts:
        return ""
    plug = reading.slots.get("plug", "drain")
    return doubt(turn.state.at_unit(reading.of), reading.kind, measure, _sum_after(turn, reading), plug)


def weigh(turn: Turn, reading: Reading) -> None:
    """Ask what is open about a reading; else read it back and let it stand as its consequence allows."""
    if reading.slots.get("form") == "open" and _sum_after(turn, reading) is None:
        turn.do(e.ReadingSettled(at=turn.at, reading=reading.id, form="part"))  # what it followed is gone
        reading = turn.state.readings[reading.id]
    open_point = _open_point(turn, reading)
    if open_point:
        _ask(turn, reading, open_point)
        return
    why = _challenge(turn, reading)
    if why:
        turn.do(e.Asked(at=turn.at, question="implausible", reading=reading.id, about=why))
        turn.say("implausible", why=why, reading=reading, total=_sum_after(turn, reading))
        return
    if reading.consequence == HIGH:
        _ask(turn, reading, "confirm")
        return
    read_back(turn, reading)
    if reading.consequence == LOW:
        turn.do(e.ReadingStood(at=turn.at, reading=reading.id, how="low"))
    follow_up(turn, turn.state.readings[reading.id])


def _sum_after(turn: Turn, reading: Reading) -> Measure | None:
    there = turn.state.at_unit(reading.of)
    if reading.kind == "drained":
        return balance.total(_told(there, reading.kind, reading.slots.get("fluid", "")))
    return balance.poured(there) if reading.kind in ("poured", "can-left") else None


def _open_point(turn: Turn, reading: Reading) -> str:
    if reading.value is not None and reading.kind != "level":
        if reading.unit is None:
            return "which-unit"
        if not settled(reading.unit):
            return "which-unit" if reading.unit == "degree" else "which-system"
    if reading.slots.get("form") == "open":
        return "which-form"
    return "which-plug" if reading.kind == "torque" and not reading.slots.get("plug") else ""


def _ask(turn: Turn, reading: Reading, question: str) -> None:
    turn.do(e.Asked(at=turn.at, question=question, reading=reading.id))
    ask_about(turn, reading, question)


def ask_about(turn: Turn, reading: Reading, question: str) -> None:
    """Say a question about a reading; a bare second amount is asked with both sums."""
    if question == "which-form":
        measure = reading.measure
        before = _sum_after(turn, reading)
        assert measure is not None, "an amount has its unit by now"
        assert before is not None, "a second amount follows a first"
        turn.say("which-form", reading=reading, before=before, both=add(before, measure))
    elif question == "implausible":
        turn.say("confirm", reading=reading)
    else:
        turn.say(question, reading=reading)


def read_back(turn: Turn, reading: Reading) -> None:
    """Repeat a reading, number and unit, with the sum it makes."""
    advised = reading.kind in ("poured", "can-left") and balance.to_go(turn.state) is not None
    tells = bool(alike(turn.state, reading)) and not advised  # what is in comes with what is to go
    turn.say("heard", reading=reading, total=_sum_after(turn, reading) if tells else None)


def follow_up(turn: Turn, reading: Reading) -> None:
    """Do what a reading leads to: a finding, an advice, a level's verdict, the next question or step."""
    if reading.consequence == HIGH:
        _say_sum(turn, reading)
    if reading.kind in ("plate", "look") and _unlike_sheet(turn, reading):
        return
    if reading.kind == "level" and levels.wants_wiping(turn, reading):
        turn.say("wipe-again")
        return
    finding = _finding(turn, reading.kind, dict(reading.slots))
    if finding is not None:
        turn.do(e.FindingMade(at=turn.at, finding=finding.name, step=turn.state.step_id, then=finding.then))
        turn.say("say", text=finding.say)
        if finding.then != "stay":
            steps.leave(turn, finding.then)
            return
    if reading.kind in (
        "drained",
        "temperature",
        "temperature-band",
        "spilled",
        "level",
    ) and advising.outdated(turn):
        steps.advise(turn)
        return
    if reading.kind == "share":
        mixing.share_told(turn, reading)
    if reading.kind == "drip" and commands.overflow_of(turn.state) is None:
        advising.give_drip(turn, reading)
    pours = ("poured", "can-left", "spilled")
    if reading.kind in pours and turn.state.last_advice("refill") is not None:
        advising.say_to_go(turn)
        return
    if turn.state.step.kind == "cool" and reading.kind in ("temperature", "temperature-band"):
        overflows.judge_cool(turn, reading)
        return
    judged = commands.overflow_of(turn.state)
    if judged is not None and reading.step == judged.id and reading.kind in overflows.READINGS:
        steps.back_to(turn, judged)
        overflows.judge(turn)
        return
    if turn.state.step.kind == "check" and reading.kind in ("level", "temperature", "temperature-band"):
        levels.judge(turn)
        return
    steps.settle(turn)


def _unlike_sheet(turn: Turn, reading: Reading) -> bool:
    """Compare a plate code or a fluid's colour with the sheet; a mismatch takes the exit for it."""
    sheet = turn.state.sheet
    if reading.kind == "plate":
        wanted = sheet.texts.get("plate", "")
        if not wanted or reading.slots.get("code", "").upper() == wanted.upper():
            if wanted:
                turn.say("plate-right")
            return False
        exit_name = "plate-mismatch"
    else:
        if sheet.may_be(reading.slots.get("colour", "")):
            return False
        exit_name = "fluid-mismatch"
    leads = turn.state.procedure.exit_on(turn.state.step_id, exit_name)
    if leads is None:
        turn.say(exit_name)
        return False
    if reading.kind == "plate":  # the step is not passed by a code of another unit
        turn.do(e.ReadingWithdrawn(at=turn.at, reading=reading.id, why=exit_name))
    steps.take_exit(turn, leads)
    return True


def _say_sum(turn: Turn, reading: Reading) -> None:
    total = _sum_after(turn, reading)
    if total is not None and len(balance.counted(turn.state, reading.kind)) > 1:
        turn.say("sum", kind=reading.kind, total=total)
