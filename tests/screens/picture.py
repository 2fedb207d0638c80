"""What a screen shows, as plain text, and its comparison with a picture kept in tests/data/screens.

After a change that is meant, look at the new pictures: THROWBEAT_PICTURES=write pytest tests/screens, then git diff.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from textual.app import App

FOLDER = Path(__file__).parents[1] / "data" / "screens"


def shown(app: App[Any]) -> list[str]:
    """The rows of the screen as they are drawn, without trailing blanks."""
    return ["".join(segment.text for segment in strip).rstrip() for strip in app.screen._compositor.render_strips()]


def assert_as_pictured(app: App[Any], name: str) -> None:
    """The screen looks as in the picture of that name."""
    path = FOLDER / f"{name}.txt"
    text = "\n".join(shown(app)) + "\n"
    if os.environ.get("THROWBEAT_PICTURES") == "write":
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert text.splitlines() == path.read_text(encoding="utf-8").splitlines()
