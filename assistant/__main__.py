"""`assistant` and `python -m assistant`: choose a command, turn an error into one plain line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from assistant import __version__
from assistant.commands import COMMANDS
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
    ends(root)
    subparsers = root.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    for module in COMMANDS:
        module.add(subparsers)
    return root


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; exit codes: 0 done, 1 not done, 2 wrong input, 130 interrupted."""
    arguments = parser().parse_args(argv)
    run = getattr(arguments, "run", None)
    try:
        if run is None:
            from assistant.commands import menu

            return menu.run(arguments)
        return int(run(arguments))
    except WrongInput as error:
        print(f"assistant: {error}", file=sys.stderr)
        return 2
    except AssistantError as error:
        print(f"assistant: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        return 1


if __name__ == "__main__":
    sys.exit(main())
