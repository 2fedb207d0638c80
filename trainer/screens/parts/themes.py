"""The looks of the screens: a dark and a light one of our own, and one that leaves all colours to the terminal.

Right is warm, left is cool; what is said by a colour is said by a word or a shape as well. Every text stands out
from what lies behind it by 4.5 to 1 at least (WCAG 2.2, success criterion 1.4.3); the tests compute it.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.theme import Theme


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of one look, as #rrggbb.

    paper, surface, bar, cursor: what lies behind texts, those that are typed in, the bars along the edges, and the row
    one is at in a list. ink, muted: texts, and those of less weight. right, left, good, bad, plain: texts and fills
    that mean something. on_fill: a text on a fill of one of these.
    """

    dark: bool
    paper: str
    surface: str
    bar: str
    cursor: str
    ink: str
    muted: str
    right: str
    left: str
    good: str
    bad: str
    plain: str
    on_fill: str


DARK = Palette(
    dark=True,
    paper="#14171a",
    surface="#1b1f23",
    bar="#252a2f",
    cursor="#33475a",
    ink="#e6e2d8",
    muted="#a8a9a4",
    right="#e8a33d",
    left="#4fb8a8",
    good="#8fbf5a",
    bad="#f0857c",
    plain="#86acd0",
    on_fill="#14171a",
)
LIGHT = Palette(
    dark=False,
    paper="#faf7f0",
    surface="#f1ede3",
    bar="#e4dfd2",
    cursor="#c9d8e8",
    ink="#1c1f22",
    muted="#54585c",
    right="#824200",
    left="#005f58",
    good="#2b6316",
    bad="#a01f1f",
    plain="#1d5080",
    on_fill="#ffffff",
)


def _own(name: str, palette: Palette) -> Theme:
    return Theme(
        name=name,
        dark=palette.dark,
        primary=palette.plain,
        secondary=palette.left,
        accent=palette.right,
        warning=palette.right,
        error=palette.bad,
        success=palette.good,
        foreground=palette.ink,
        background=palette.paper,
        surface=palette.surface,
        panel=palette.bar,
        variables={
            "muted": palette.muted,
            "on-fill": palette.on_fill,
            "text": palette.ink,
            "text-muted": palette.muted,
            "text-disabled": palette.muted,
            "block-cursor-foreground": palette.on_fill,
            "block-cursor-background": palette.plain,
            "block-cursor-blurred-foreground": palette.ink,
            "block-cursor-blurred-background": palette.cursor,
            "block-cursor-blurred-text-style": "bold",
            "footer-key-foreground": palette.right,
            "input-selection-background": palette.plain,
            "input-selection-foreground": palette.on_fill,
            "scrollbar": palette.muted,
            "scrollbar-background": palette.bar,
        },
    )


# Without colour there are weight, underline and reverse, so these say all that must be seen. Lists can't show reverse
# (the library's get_visual_style leaves it out), so their cursor is underlined.
_TERMINAL = Theme(
    name="terminal",
    ansi=True,
    primary="ansi_blue",
    secondary="ansi_cyan",
    accent="ansi_yellow",
    warning="ansi_yellow",
    error="ansi_red",
    success="ansi_green",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    variables={
        "ansi-background": "ansi_default",
        "ansi-foreground": "ansi_default",
        "muted": "ansi_default",
        "on-fill": "ansi_default",
        "text-muted": "ansi_default",
        "text-disabled": "ansi_default",
        "border": "ansi_default",
        "border-blurred": "ansi_default",
        "block-cursor-foreground": "ansi_cyan",
        "block-cursor-background": "ansi_default",
        "block-cursor-text-style": "bold underline",
        "block-cursor-blurred-text-style": "underline",
        "footer-key-foreground": "ansi_default",
        "input-selection-background": "ansi_default",
        "input-selection-foreground": "ansi_default",
        "scrollbar": "ansi_default",
        "scrollbar-hover": "ansi_default",
        "scrollbar-active": "ansi_default",
        "scrollbar-background": "ansi_default",
        "scrollbar-background-hover": "ansi_default",
        "scrollbar-background-active": "ansi_default",
    },
)

PALETTES = {"dark": DARK, "light": LIGHT}
THEMES = (*(_own(name, palette) for name, palette in PALETTES.items()), _TERMINAL)
"""By the names they have in the settings."""

WITHOUT_COLOUR = _TERMINAL.name
"""The look where the environment asks for no colour (NO_COLOR): the terminal's own two are always readable."""
