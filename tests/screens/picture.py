"""What a screen shows, as plain text, and its comparison with a picture kept in tests/data/screens.

After a change that is meant, look at the new pictures: THROWBEAT_PICTURES=write pytest tests/screens, then git diff.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from textual.app import App
from textual.widget import Widget

FOLDER = Path(__file__).parents[1] / "data" / "screens"


def shown(app: App[Any]) -> list[str]:
    """The rows of the screen as they are drawn, without trailing blanks."""
    return ["".join(segment.text for segment in strip).rstrip() for strip in app.screen._compositor.render_strips()]


def all_of(widget: Widget) -> str:
    """The text of a widget, its rows one after the other, with those that are scrolled out of sight."""
    return " ".join(strip.text.strip() for strip in widget.render_lines(widget.size.region))


def painted(app: App[Any]) -> list[str]:
    """The screen's texts in order, a run of one style a line: how it is drawn, then the text without its margins."""
    lines = []
    background = app.screen.background_colors[1]
    for number, strip in enumerate(app.screen._compositor.render_strips(), start=1):
        for line_filter in app._filters:
            if line_filter.enabled:
                strip = strip.apply_filter(line_filter, background)
        for segment in strip:
            if segment.text.strip():
                lines.append(f"{number:>2}  {segment.style or ''!s:<40}  {segment.text.strip()}")
    return lines


def assert_as_pictured(app: App[Any], name: str) -> None:
    """The screen looks as in the picture of that name."""
    _assert_kept(shown(app), name)


def assert_as_painted(app: App[Any], name: str) -> None:
    """The screen's texts have the colours and weights kept under that name."""
    _assert_kept(painted(app), name)


def _assert_kept(lines: list[str], name: str) -> None:
    path = FOLDER / f"{name}.txt"
    text = "\n".join(lines) + "\n"
    if os.environ.get("THROWBEAT_PICTURES") == "write":
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert text.splitlines() == path.read_text(encoding="utf-8").splitlines()
