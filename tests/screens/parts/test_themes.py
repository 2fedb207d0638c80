"""The looks: texts that can be read, computed by the formula of the web's guidelines, and the terminal's own colours.

Outside check: contrast ratio and relative luminance as W3C defines them in WCAG 2.2 ("contrast ratio", "relative
luminance"); at least 4.5 to 1 for texts (success criterion 1.4.3), 3 to 1 for shapes (1.4.11).
"""

from __future__ import annotations

import itertools
from collections.abc import AsyncIterator
from dataclasses import replace
from itertools import product
from typing import get_args

import pytest
from rich.color import Color
from rich.style import Style
from textual.pilot import Pilot
from textual.strip import Strip

from tests.screens.picture import shown
from tests.screens.practised import practised
from trainer.config import Theme
from trainer.screens.app import TrainerApp
from trainer.screens.parts.listing import Listing
from trainer.screens.parts.themes import PALETTES, THEMES, WITHOUT_COLOUR, Palette
from trainer.screens.setup.rows import ROWS
from trainer.session.sitting import Sitting

TEXT, SHAPE = 4.5, 3.0
SHAPES = "█▀▄░✓▏▎▍▌▋▊▉▐"
LINES = "│─╭╮╰╯▁"
"""Drawn lines part what stands apart anyway."""


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.54),
        ("#949494", "#ffffff", 3.03),
        ("#ff0000", "#ffffff", 4.0),
    ],
)
def test_the_formula_gives_the_ratios_it_is_known_for(one: str, other: str, ratio: float) -> None:
    """From memory: the two greys are the lightest that pass on white as text and as a shape."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_every_text_of_a_palette_can_be_read_wherever_it_may_stand(palette: Palette) -> None:
    meanings = (palette.right, palette.left, palette.good, palette.bad, palette.plain)
    grounds = (palette.paper, palette.surface, palette.bar)
    for text, ground in product((palette.ink, palette.muted, *meanings), grounds):
        assert contrast(text, ground) >= TEXT, (text, ground)
    assert contrast(palette.ink, palette.cursor) >= TEXT
    for fill in meanings:
        assert contrast(palette.on_fill, fill) >= TEXT, fill


def test_the_settings_name_the_looks_there_are() -> None:
    assert {theme.name for theme in THEMES} == set(get_args(Theme))
    assert WITHOUT_COLOUR in get_args(Theme)


async def screens(pilot: Pilot[None], sitting: Sitting) -> AsyncIterator[str]:
    """Each screen in turn, with something to see on it."""
    practised(sitting)
    sitting.sign = "Made up."
    app = pilot.app
    assert isinstance(app, TrainerApp)
    for name, keys in (
        ("patterns", ()),
        ("refused", ("4", "3", "2")),
        ("find, a box", ("escape", "f4", "tab", "tab", "tab", "tab", "space")),
        ("terms, the ways on", ("escape", "f3", "enter")),
        ("logbook", ("escape", "escape", "f8")),
        ("logbook, a note", ("enter",)),
        ("progress, catches", ("escape", "f9", *"mills")),
        ("progress, tempo", ("tab",)),
        ("progress, weeks", ("tab",)),
        ("progress, days", ("tab",)),
    ):
        await pilot.press(*keys)
        await pilot.pause()
        yield name
    await pilot.press("escape", "escape", "escape")
    app.practise(sitting.library.to_choice("522"))
    for name, keys in (
        ("practice, count-in", ("space",)),
        ("practice, from afar", ("f",)),
        ("practice, in flight", ("f", "v")),
        ("help", ("question_mark",)),
        ("setup, a value", ("escape", "f2", "down", "down", "enter")),
        ("calibrate", ("escape", "m")),
    ):
        await pilot.press(*keys)
        await pilot.pause()
        yield name


def seen(style: Style) -> tuple[Color, Color]:
    """The colours of a text and of what lies behind it."""
    assert style.color is not None
    assert style.bgcolor is not None
    return (style.bgcolor, style.color) if style.reverse else (style.color, style.bgcolor)


def assert_readable(strips: list[Strip], name: str) -> None:
    for segment in itertools.chain.from_iterable(strips):
        marks = segment.text.strip().strip(LINES)
        if marks:
            assert segment.style is not None
            assert not segment.style.dim, (name, segment.text)
            text, ground = (colour.get_truecolor().hex for colour in seen(segment.style))
            least = SHAPE if set(marks) <= set(SHAPES) else TEXT
            assert contrast(text, ground) >= least, (name, segment.text, text, ground)


def assert_the_terminals(strips: list[Strip], name: str) -> None:
    for segment in itertools.chain.from_iterable(strips):
        style = segment.style or Style()
        for colour in (style.color, style.bgcolor):
            assert colour is None or colour.is_default or colour.is_system_defined, (name, segment)


async def test_every_text_that_is_drawn_can_be_read(sitting: Sitting) -> None:
    """In our own looks by its contrast; in the terminal's only its own two and sixteen are used."""
    app = TrainerApp(sitting)
    looks = list(THEMES)
    async with app.run_test(size=(80, 24)) as pilot:
        async for name in screens(pilot, sitting):
            looks.reverse()  # the one that is on comes first: one change less a screen
            for theme in looks:
                if app.theme != theme.name:
                    app.theme = theme.name
                    await pilot.pause()
                assert app.native_ansi_color == theme.ansi
                strips = app.screen._compositor.render_strips()
                if theme.ansi:
                    assert_the_terminals(strips, name)
                elif name != "help":  # what lies dimmed behind it is not to be read now
                    assert_readable(strips, f"{name}, {theme.name}")
    assert app.failure is None


async def test_without_colour_what_matters_is_told_by_weight_line_and_reverse(
    sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR wins over the settings; the banner, the cursor in a list and a field stand out all the same."""
    monkeypatch.setenv("NO_COLOR", "1")
    sitting.settings = replace(sitting.settings, theme="light")
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        assert app.theme == WITHOUT_COLOUR

        def styles() -> dict[str, Style]:
            found = {}
            for strip in app.screen._compositor.render_strips():
                for segment in strip.apply_filter(app._filters[-1], app.screen.background_colors[1]):
                    if segment.style and segment.text.strip():
                        colours = (segment.style.color, segment.style.bgcolor)
                        assert all(colour is None or colour.is_default for colour in colours), segment
                        found[segment.text.strip()] = segment.style
            return found

        await pilot.pause()
        assert styles()["2  2 exchange"].underline
        await pilot.press("f4", "tab", "tab", "tab", "tab")
        await pilot.pause()
        assert styles()["ground"].underline
        assert styles()["ground"].bold
        app.practise(sitting.library.to_choice("3"))
        await pilot.pause()
        assert styles()["READY   press SPACE to start"].reverse
    assert app.failure is None


async def test_another_look_is_taken_on_at_once(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f2")
        before = app.screen.styles.background
        app.screen.query_one("#settings", Listing).highlighted = [row.name for row in ROWS].index("theme")
        await pilot.press("right")
        await pilot.pause()
        assert app.theme == "light"
        assert app.screen.styles.background != before
        await pilot.press("right")
        await pilot.pause()
        assert app.native_ansi_color
        assert "colours               terminal" in "\n".join(shown(app))
    assert 'theme = "terminal"' in sitting.places.settings.read_text(encoding="utf-8")
