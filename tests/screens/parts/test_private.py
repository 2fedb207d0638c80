"""What the moving widgets send straight to the terminal, beside what the library's compositor makes of the same."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from rich.console import Console
from rich.text import Text
from textual.app import App
from textual.geometry import Region

from tests.screens.practising import Press, practising
from trainer.config import Theme
from trainer.practice.pedal import Edge
from trainer.screens.parts import private
from trainer.screens.parts.private import Rows
from trainer.screens.practice.flight import FlightView
from trainer.screens.practice.widgets import Banner, GoalBars, Lanes
from trainer.screens.terminal import presses
from trainer.session.sitting import Sitting

ROW = re.compile(r"\x1b\[(\d+);(\d+)H(.*?)(?=\x1b\[\d+;\d+H|$)", re.DOTALL)


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """All that is sent straight to the terminal, in order."""
    found: list[str] = []
    shown_before = App._display

    def show(self: App[None], screen: object, update: object) -> None:
        if isinstance(update, Rows):
            found.append(update.render_segments(self.console))
        shown_before(self, screen, update)  # type: ignore[arg-type]

    monkeypatch.setattr(App, "_display", show)
    return found


def cells(ansi: str) -> list[tuple[str, str]]:
    """Each character with the style it is shown in."""
    text, console = Text.from_ansi(ansi), Console()
    return [(letter, str(text.get_style_at_offset(console, place))) for place, letter in enumerate(text.plain)]


def assert_as_the_library(app: App[None], sent: list[str]) -> int:
    """Every row sent is what the compositor would show there; how many."""
    last = {(int(y) - 1, int(x) - 1): row for text in sent for y, x, row in ROW.findall(text)}
    strips = app.screen._compositor.render_strips()
    for (y, x), row in last.items():
        found = cells(row)
        theirs = strips[y].crop(x, x + len(found))
        for line_filter in app._filters:
            if line_filter.enabled:
                theirs = theirs.apply_filter(line_filter, app.screen.background_colors[1])
        assert found == cells(theirs.render(app.console)), (y, x)
    return len(last)


@pytest.mark.parametrize(
    ("size", "theme"),
    [((60, 20), "dark"), ((60, 20), "none"), ((80, 24), "light"), ((80, 24), "terminal"), ((120, 40), "dark")],
)
async def test_it_is_what_the_library_would_draw(
    sitting: Sitting,
    press: Press,
    sent: list[str],
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[int, int],
    theme: Theme,
) -> None:
    if theme == "none":
        monkeypatch.setenv("NO_COLOR", "1")
    sitting.settings = replace(
        sitting.settings, practice_shows="flight", theme="dark" if theme == "none" else theme, ceiling_m=0.5
    )
    async with practising(sitting, press, "(6x,4)*", size) as hall:
        await hall.press("space", 0.5)
        rows = 0
        for second in (0.7, 1.1, 1.6, 2.03, 2.5, 3.0, 3.31, 4.0):
            sent.clear()
            await hall.to(second)
            rows += assert_as_the_library(hall.pilot.app, sent)
        assert rows > 8 * 10, "the flight view's rows and the lanes' at the least"


async def test_a_change_of_look_is_in_what_is_sent(sitting: Sitting, press: Press, sent: list[str]) -> None:
    sitting.settings = replace(sitting.settings, practice_shows="flight")
    async with practising(sitting, press, "3") as hall:
        await hall.press("space", 0.5)
        grounds = []
        for second, look in ((2.0, "light"), (3.1, "dark")):
            hall.pilot.app.theme = look
            await hall.pilot.pause()
            sent.clear()
            await hall.to(second)
            rows = [row for text in sent for _, _, row in ROW.findall(text)]
            grounds.append({style.rpartition("on ")[2] for row in rows for _, style in cells(row)})
        assert all(grounds)
        assert not set.intersection(*grounds)


async def test_nothing_is_sent_past_a_screen_that_lies_over_it(sitting: Sitting, press: Press, sent: list[str]) -> None:
    sitting.settings = replace(sitting.settings, practice_shows="flight")
    async with practising(sitting, press, "3") as hall:
        await hall.press("space", 0.5)
        practice = hall.screen
        await hall.pilot.press("question_mark")
        await hall.pilot.pause()
        sent.clear()
        hall.sitting.output.advance(44100)  # type: ignore[attr-defined]
        practice.tick()
        assert not sent
        await hall.pilot.press("escape")
        await hall.pilot.pause()
        await hall.to(3.0)
        assert assert_as_the_library(hall.pilot.app, sent) > 10


async def test_a_widget_under_another_or_out_of_view_is_left_to_the_library(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, practice_shows="flight")
    async with practising(sitting, press, "3") as hall:
        screen = hall.screen
        lanes, flight, banner = screen.query_one(Lanes), screen.query_one(FlightView), screen.query_one(Banner)
        assert private.draw(lanes, ())
        assert private.draw(banner, ())
        visible = screen._compositor.visible_widgets
        place, clip = visible[lanes]
        over = {flight: (place, clip), **{each: where for each, where in visible.items() if each is not flight}}
        screen._compositor._visible_widgets = over
        assert not private.draw(lanes, ())
        assert private.draw(banner, ())
        screen._compositor._visible_widgets = {**visible, lanes: (place, Region(0, 0, place.width, place.y + 1))}
        assert not private.draw(lanes, ())
        screen._compositor._visible_widgets = visible
        screen.action_far_view()
        await hall.pilot.pause()
        assert not private.draw(lanes, ()), "the far view leaves the lanes out"
        assert private.draw(banner, ())


@pytest.mark.parametrize("goal", [14, 1000])
async def test_a_count_too_long_for_its_room_is_not_sent_beside_it(
    sitting: Sitting, press: Press, sent: list[str], goal: int
) -> None:
    sitting.settings = replace(sitting.settings, practice_shows="flight")
    async with practising(sitting, press, "7", (60, 20)) as hall:
        progress = hall.screen.query_one(GoalBars)
        sent.clear()
        progress.show(goal, (("flash", 7), ("qualify", goal)))
        rows = [cells(row) for text in sent for _, _, row in ROW.findall(text)]
        assert [len(row) for row in rows] == [progress.size.width] * 2
        assert f"{goal}/{goal}" in "".join(letter for letter, _ in rows[1])
        assert assert_as_the_library(hall.pilot.app, sent) == 2


async def test_a_press_is_answered_before_anything_else_happens(
    sitting: Sitting, press: Press, sent: list[str]
) -> None:
    """No turn of the library's loop, no timer: what the press changes is sent by the call that takes it."""
    async with practising(sitting, press, "3") as hall:
        hall.pass_time(0.5)
        sent.clear()
        assert hall.screen.take(presses.Press("space", Edge.DOWN, 0.5))
        assert "READY" not in (first := "".join(letter for letter, _ in cells(sent[0])))
        assert hall.screen.query_one(Banner).text in first
