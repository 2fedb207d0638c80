"""The list of rows: moving, choosing, and what is drawn, in a list of a hundred thousand."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from textual import on
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.pilot import Pilot

from trainer.screens.parts.listing import Listing

ROWS = tuple(f"row {number}" for number in range(100_000))


class Hall(App[None]):
    CSS = "Listing { width: 20; height: 10; overflow-x: hidden; overflow-y: scroll; }"

    def __init__(self, rows: tuple[str, ...]) -> None:
        super().__init__()
        self.rows = rows
        self.told: list[tuple[str, int]] = []

    def compose(self) -> ComposeResult:
        yield Listing(self.rows)

    @on(Listing.Moved)
    def moved(self, event: Listing.Moved) -> None:
        self.told.append(("moved", event.index))

    @on(Listing.Picked)
    def chosen(self, event: Listing.Picked) -> None:
        self.told.append(("chosen", event.index))


@asynccontextmanager
async def listing(rows: tuple[str, ...] = ROWS) -> AsyncIterator[tuple[Pilot[None], Hall, Listing]]:
    app = Hall(rows)
    async with app.run_test(size=(40, 12)) as pilot:
        await pilot.pause()
        yield pilot, app, app.query_one(Listing)


def drawn(listing: Listing) -> list[str]:
    return [listing.render_line(y).text.rstrip() for y in range(listing.size.height)]


async def test_keys_move_and_the_row_under_the_cursor_stays_in_sight() -> None:
    async with listing() as (pilot, app, rows):
        for key, index in (
            ("down", 0), ("down", 1), ("up", 0), ("up", 99_999), ("down", 0), ("pagedown", 9), ("end", 99_999),
            ("pageup", 99_990), ("home", 0),
        ):  # fmt: skip
            await pilot.press(key)
            await pilot.pause()
            assert rows.highlighted == index, key
            assert f"row {index}" in drawn(rows), key
        await pilot.press("enter")
        await pilot.pause()
        assert app.told[-1] == ("chosen", 0)


async def test_a_click_chooses_the_row_under_the_mouse() -> None:
    async with listing() as (pilot, app, _rows):
        await pilot.press("end")
        await pilot.click(Listing, offset=(3, 2))
        await pilot.pause()
        assert app.told[-1] == ("chosen", 99_992)
        await pilot.click(Listing, offset=(3, 9))
        await pilot.pause()
        assert app.told[-1] == ("chosen", 99_999)


async def test_a_click_below_the_last_row_is_none() -> None:
    async with listing(("one", "two")) as (pilot, app, rows):
        await pilot.click(Listing, offset=(3, 5))
        await pilot.pause()
        assert (app.told, rows.highlighted) == ([], None)


async def test_an_empty_list_has_nothing_to_move_to() -> None:
    async with listing(()) as (pilot, app, rows):
        await pilot.press("down", "up", "end", "pagedown", "enter")
        assert (app.told, rows.highlighted) == ([], None)


async def test_other_rows_begin_at_their_first() -> None:
    async with listing() as (pilot, _app, rows):
        await pilot.press("end")
        rows.show(("one", "two", "three is longer than the list is wide"))
        await pilot.pause()
        assert drawn(rows)[:4] == ["one", "two", "three is longer t…", ""]
        assert rows.highlighted is None
        await pilot.press("down")
        rows.extend(("four",))
        await pilot.pause()
        assert (rows.highlighted, drawn(rows)[3]) == (0, "four"), "the cursor stays where it was"


async def test_in_a_list_that_is_scrolled_the_rows_that_the_cursor_left_and_came_to_are_drawn_anew() -> None:
    class Long(App[None]):
        def compose(self) -> ComposeResult:
            yield Listing([f"row {number}" for number in range(100)], id="list")

    async with Long().run_test(size=(20, 10)) as pilot:
        listing = pilot.app.query_one(Listing)
        await pilot.press("home", "pagedown", "pagedown", "up")
        await pilot.pause()
        assert listing.highlighted is not None
        drawn: list[Region] = []
        refresh = listing.refresh
        listing.refresh = lambda *regions, **what: (drawn.extend(regions), refresh(*regions, **what))[1]  # type: ignore[method-assign]
        before = listing.highlighted
        await pilot.press("up")
        rows = {region.y + listing.scroll_offset.y for region in drawn}
        assert rows >= {before, before - 1}
