"""What differs between operating systems stands in one module for each matter, and nowhere else.

Linux is what the tests run on. The ways for macOS and Windows are written, typed and imported by name only:
that they stand alone is what can be tested here.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.test_contracts import PACKAGE, modules, tree

HOMES = {
    "timekeeping/clock.py": "which clock counts through a suspend",
    "timekeeping/linux.py": "that clock on Linux",
    "timekeeping/macos.py": "that clock on macOS",
    "timekeeping/windows.py": "that clock on Windows",
    "journal/lock.py": "one writer at a time",
    "journal/disk.py": "what lies on a network, and durable names",
    "hearing/model.py": "durable names of what was fetched",
    "speaking/engine.py": "the system's own speech engine",
    "commands/pedal.py": "single keys of a terminal",
}
"""Module -> the one matter it decides by the system."""
MODULES = frozenset({"fcntl", "termios", "tty", "msvcrt", "winreg", "resource", "pwd", "grp", "_winapi"})
ASKING = frozenset(
    {("sys", "platform"), ("os", "name"), ("platform", "system"), ("sys", "getwindowsversion")}
)
PLACES = ("/proc/", "/sys/", "/dev/", "/etc/")


def of_a_system(path: Path) -> Iterator[tuple[int, str]]:
    """Yield line and name of whatever exists, or is asked, on one kind of system."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, one.name) for one in node.names if one.name in MODULES)
        elif isinstance(node, ast.ImportFrom) and node.module in MODULES:
            yield node.lineno, str(node.module)
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            if (node.value.id, node.attr) in ASKING:
                yield node.lineno, f"{node.value.id}.{node.attr}"
        elif isinstance(node, ast.Constant) and str(node.value).startswith(PLACES):
            yield node.lineno, str(node.value)


def test_what_depends_on_the_system_stands_where_it_is_named() -> None:
    """Nowhere else; and no module is named that does not depend on it."""
    found = {
        path.relative_to(PACKAGE).as_posix(): list(of_a_system(path))
        for path in modules(PACKAGE)
        if any(of_a_system(path))
    }
    stray = {name: calls for name, calls in found.items() if name not in HOMES}

    assert stray == {}
    assert set(found) == set(HOMES)


def test_the_readme_says_what_was_tried() -> None:
    """Linux, and that the others were not."""
    text = (PACKAGE.parent / "README.md").read_text("utf-8")
    assert "Linux is tested. macOS and Windows are provided for in the code and have not been tried." in text
