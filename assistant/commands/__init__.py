"""The commands of the program, one module each: `add` registers its arguments, `run` does it."""

from types import ModuleType

from assistant.commands import (
    backup,
    bundle,
    card,
    check,
    demo,
    enrol,
    export,
    fetch,
    forget,
    hear,
    history,
    jobs,
    page,
    plan,
    reckon,
    report,
    start,
    waste,
    watch,
    where,
)

COMMANDS: tuple[ModuleType, ...] = (
    demo,
    start,
    plan,
    jobs,
    page,
    watch,
    report,
    history,
    waste,
    card,
    check,
    reckon,
    hear,
    enrol,
    export,
    forget,
    backup,
    bundle,
    fetch,
    where,
)
