"""What a test waits for in a browser, and the pictures it keeps."""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any

from PIL import Image


def has(tab: Any, selector: str, text: str) -> None:
    """Wait until an element holds exactly a text."""
    shows(tab, {selector: text})


def shows(tab: Any, texts: dict[str, str]) -> None:
    """Wait until each of some elements holds exactly its text; five seconds at most."""
    tab.wait_for_function(
        "(texts) => Object.entries(texts).every("
        "([where, what]) => document.querySelector(where)?.textContent.trim() === what)",
        arg=texts,
        polling=20,
    )


def live(tab: Any, how: str = "yes") -> None:
    """Wait until the page says that it is live, lost or not live."""
    tab.wait_for_function("(how) => document.body.dataset.live === how", arg=how, polling=20)


def kept(tab: Any, name: str) -> Any:
    """Return a screenshot; it is also kept where the variable ASSISTANT_SHOTS names a folder."""
    png = tab.screenshot()
    if folder := os.environ.get("ASSISTANT_SHOTS"):
        Path(folder, f"{name}.png").write_bytes(png)
    return Image.open(io.BytesIO(png)).convert("RGB")
