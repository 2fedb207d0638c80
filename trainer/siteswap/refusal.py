"""A refusal in lines: the text that was no pattern, a caret under the place, and a text that would work."""

from __future__ import annotations

import unicodedata

from trainer.siteswap.grammar import NotationError

WIDEST = 70
"""Most characters of a long text that are shown around the place."""


def point_out(error: NotationError) -> list[str]:
    """Return the lines to show: the text as typed, a caret under its column, and the suggestion if there is one."""
    start = max(0, min(error.column - 1 - WIDEST // 2, len(error.text) - WIDEST))
    shown = "".join(_to_visible(char) for char in error.text[start : start + WIDEST])
    before = shown[: error.column - 1 - start]
    front, behind = ("…" if start else ""), ("…" if start + WIDEST < len(error.text) else "")
    pad = " " * (len(front) + sum(_cells(char) for char in before))
    lines = [f"  {front}{shown}{behind}", f"  {pad}^"]
    if error.suggestion:
        lines.append(f"  This would work: {error.suggestion}")
    return lines


def _to_visible(char: str) -> str:
    """Replace a character that takes up no room or moves the cursor, so that the caret stands under its column."""
    if not char.isprintable() or unicodedata.category(char).startswith("M"):
        return "�"
    return char


def _cells(char: str) -> int:
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1
