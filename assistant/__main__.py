"""`assistant` and `python -m assistant`: choose a command, turn an error into one plain line."""

from __future__ import annotations

import argparse
import errno
import logging
import platform
import sys
from collections.abc import Sequence
from pathlib import Path

from assistant import __version__
from assistant.commands import COMMANDS
from assistant.commands.log import LEVELS, LOG, logging_to, note
from assistant.commands.signals import Ended, ended_by_signals, mute
from assistant.commands.start import ends
from assistant.errors import AssistantError, WrongInput


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line."""

    def error(self, message: str) -> None:  # type: ignore[override]
        """Say what is wrong in one line and leave with exit code 2."""
        self.exit(2, f"{self.prog}: {message} (try {self.prog} --help)\n")


def parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    root = _Parser(prog="assistant", description="A hands-free workshop assistant for fluid changes.")
    root.add_argument("--version", action="version", version=f"assistant {__version__}")
    root.add_argument("--log", metavar="FILE", type=Path, help="write down what happens, a JSON line each")
    root.add_argument(
        "--log-level", choices=LEVELS, default="info", help="debug: with what is heard and said"
    )
    ends(root)
    subparsers = root.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    for module in COMMANDS:
        module.add(subparsers)
    return root


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the exit codes are told in `assistant.commands.signals`."""
    arguments = parser().parse_args(argv)
    try:
        with ended_by_signals(), logging_to(arguments.log, arguments.log_level):
            return _logged(arguments)
    except WrongInput as error:
        print(f"assistant: {error}", file=sys.stderr)
        return 2
    except AssistantError as error:
        print(f"assistant: {error}", file=sys.stderr)
        return 1
    except Ended as ended:
        return ended.code
    except KeyboardInterrupt:
        return 130
    except OSError as error:
        if error.errno not in (errno.EPIPE, errno.EIO):
            raise
        mute()  # whoever read what is printed is gone
        return 1


def _logged(arguments: argparse.Namespace) -> int:
    """Run a command and log how it went."""
    command = arguments.command or "menu"
    note(logging.INFO, "begun", command=command, version=__version__, python=platform.python_version())
    try:
        run = getattr(arguments, "run", None)
        if run is None:
            from assistant.commands import menu

            run = menu.run
        code = int(run(arguments))
    except Ended as ended:
        note(logging.WARNING, "ended", command=command, by=str(ended), code=ended.code)
        raise
    except AssistantError as error:
        note(logging.ERROR, "refused", command=command, why=str(error))
        raise
    except BaseException:
        LOG.error("failed", exc_info=True, extra={"facts": {"command": command}})
        raise
    note(logging.INFO, "ended", command=command, code=code)
    return code


if __name__ == "__main__":
    sys.exit(main())
