"""The find screen: what the form asks for is found, listed as it comes, left and gone on with, and practised."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from itertools import islice

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Checkbox, Input, Static

from tests.screens.picture import assert_as_pictured, shown
from tests.screens.rest import until
from trainer.screens.app import TrainerApp
from trainer.screens.help import HelpScreen
from trainer.screens.parts.listing import Listing
from trainer.screens.patterns import find
from trainer.screens.patterns.find import MOST_LISTED, Box, FindScreen, Hunt
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.patterns.terms import TermsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns

THREE_OF_THREE = ("423", "441", "504", "522", "531", "603", "612", "630", "711", "720", "801", "900")
SIZES = pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])


class Form:
    """A find screen, filled in."""

    def __init__(self, pilot: Pilot[None], screen: FindScreen) -> None:
        self.pilot, self.app, self.screen = pilot, pilot.app, screen

    async def fill(self, **values: str) -> None:
        """Put texts into fields."""
        for name, value in values.items():
            self.screen.query_one(f"#{name}", Input).value = value
        await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.send(key)
            await self.pilot.pause()

    def send(self, key: str) -> None:
        """Press a key, without waiting for anything."""
        self.app.post_message(events.Key(key, key if len(key) == 1 else {"space": " "}.get(key)))

    async def settle(self) -> None:
        """Wait for the search to end."""
        for worker in [each for each in self.app.workers if each.group == "search" and not each.is_cancelled]:
            await worker.wait()
        await self.pilot.pause()

    async def at_rest(self, hunt: Hunt) -> int:
        """Wait until no thread searches any more, and give how many it has found. Never by waiting for the lock
        itself: the thread is told to stop by messages, which nobody would hand on meanwhile."""
        await until(lambda: hunt.lock.acquire(blocking=False))
        hunt.lock.release()
        return hunt.count

    async def begin_endless(self) -> Hunt:
        """Have it search for far too many, until the list is full."""
        for name, value in (("objects", "5"), ("period", "40"), ("highest", "9")):
            self.screen.query_one(f"#{name}", Input).value = value
        query = SearchQuery(5, 40, 9)
        await until(lambda: self.screen.hunt is not None and self.screen.hunt.query == query)
        await until(lambda: len(self.screen.listed) == MOST_LISTED)
        assert self.screen.hunt is not None
        return self.screen.hunt

    @property
    def told(self) -> str:
        return str(self.screen.query_one("#found", Static).content)

    @property
    def rows(self) -> list[str]:
        return [str(row) for row in self.screen.query_one("#list", Listing).rows]


@asynccontextmanager
async def opened(sitting: Sitting, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Form]:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f4")
        assert isinstance(app.screen, FindScreen)
        form = Form(pilot, app.screen)
        await form.settle()
        yield form
        form.screen.stop()
    if app.failure is not None:
        raise app.failure


async def test_it_opens_with_something_found_and_explained(sitting: Sitting) -> None:
    async with opened(sitting) as form:
        found = list(find_patterns(SearchQuery(3, 5, 7)))
        assert form.rows == form.screen.listed == found
        assert form.told == f"{len(found)} patterns"
        assert form.screen.explained().startswith(found[0])
        before = form.rows
        form.screen.post_message(FindScreen.Found(Hunt(SearchQuery(1, 1)), ["1"]))
        await form.pilot.pause()
        assert form.rows == before, "what an abandoned search still reports is not listed"


async def test_every_field_asks_for_less(sitting: Sitting) -> None:
    """Source: OEIS A065179, example: the patterns of 3 objects and period 3."""
    async with opened(sitting) as form:
        await form.fill(period="3", highest="")
        await form.settle()
        assert sorted(form.rows) == sorted(THREE_OF_THREE)
        await form.fill(highest="5", lowest="1")
        await form.settle()
        assert form.rows == ["423", "441", "522", "531"]
        await form.fill(contains="5, 1")
        await form.settle()
        assert form.rows == ["531"]
        assert form.told == "1 pattern"
        await form.fill(contains="9")
        await form.settle()
        assert (form.rows, form.told) == ([], "There is no such pattern.")
        assert form.screen.explained() == ""
        await form.fill(objects="3", period="2", highest="7", lowest="", contains="5")
        await form.settle()
        assert form.rows == ["51"]
        assert "3 shower" in form.screen.explained().split("\n")[0], "a name the library has is told"


BOXES = [
    # box, period, what is left of 3 objects of up to 6 (period 2: OEIS A065179; sync: both of a mirrored pair)
    ("ground", "2", ["42"]),
    ("no-zip", "2", ["42", "60"]),
    ("prime", "2", ["42", "51", "60"]),
    ("sync", "2", ["(2,4)", "(2x,4x)", "(4,2)", "(4x,2x)", "(6,0)", "(0,6)"]),
]


async def test_each_box_is_ticked_with_the_space_bar_and_with_the_mouse(sitting: Sitting) -> None:
    async with opened(sitting) as form:
        for name, period, found in BOXES:
            await form.fill(period=period, highest="6")
            form.screen.query_one(f"#{name}").focus()
            await form.press("space")
            await form.settle()
            assert sorted(form.rows) == sorted(found), name
            assert "[x]" in "\n".join(shown(form.app)), name
            await form.pilot.click(f"#{name}")
            await form.settle()
            assert form.rows == ["42", "51", "60"], name
            assert "[x]" not in "\n".join(shown(form.app)), name


WRONG = [
    # field, text, what the line says
    ("objects", "", "No number of objects was given"),
    ("objects", "99", "99 objects were asked for"),
    ("period", "0", "A period of 0"),
    ("lowest", "8", "above the highest"),
    ("contains", "51", "“51” was no throw"),
]


async def test_what_cannot_be_is_told_and_mended(sitting: Sitting) -> None:
    async with opened(sitting) as form:
        for name, text, says in WRONG:
            before, was = form.rows, form.screen.query_one(f"#{name}", Input).value
            await form.fill(**{name: text})
            assert says in form.told
            assert form.rows == [], name
            await form.press("enter")
            assert form.app.screen is form.screen, name  # nothing to practise
            await form.fill(**{name: was})
            await form.settle()
            assert form.rows == before, name


async def test_a_search_without_end_lists_some_at_once_and_stops_when_the_screen_is_left(
    sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(find, "MOST_COUNTED", 10**9)
    async with opened(sitting) as form:
        hunt = await form.begin_endless()
        assert form.told.endswith(f"so far; the first {MOST_LISTED} are listed…")
        form.send("escape")
        await until(lambda: isinstance(form.app.screen, PatternsScreen))
        stopped_at = await form.at_rest(hunt)
        assert not hunt.ended
        await form.pilot.pause()
        assert hunt.count == stopped_at


async def test_a_search_goes_on_after_the_help(sitting: Sitting, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "MOST_COUNTED", 10**9)
    async with opened(sitting) as form:
        hunt = await form.begin_endless()
        form.send("question_mark")
        await until(lambda: isinstance(form.app.screen, HelpScreen))
        stopped_at = await form.at_rest(hunt)
        form.send("escape")
        await until(lambda: hunt.count > stopped_at)
        assert form.screen.hunt is hunt
        assert form.screen.listed == list(islice(find_patterns(SearchQuery(5, 40, 9)), MOST_LISTED))


def test_a_hunt_cancelled_again_and_again_finds_each_pattern_once() -> None:
    expected = list(find_patterns(SearchQuery(4, 4, 7)))
    hunt = Hunt(SearchQuery(4, 4, 7))
    found: list[str] = []
    turns = 0
    while not hunt.ended:
        looks = iter(range(3))
        hunt.go_on(lambda looks=looks: next(looks, None) is None, found.extend)
        turns += 1
    assert turns > len(expected) // 5
    assert found == expected
    assert hunt.count == len(expected)


async def test_a_hunt_lists_some_and_counts_on_up_to_a_bound(sitting: Sitting, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "MOST_COUNTED", 1500)
    async with opened(sitting) as form:
        hunt = await form.begin_endless()
        await form.settle()
        assert hunt.ended
        assert (hunt.count, len(form.rows)) == (1500, MOST_LISTED)
        assert form.told == f"1,500 and more; the first {MOST_LISTED} are listed; ask for less"


async def test_enter_from_wherever_it_is_and_a_click_in_the_list_practise(sitting: Sitting) -> None:
    async with opened(sitting) as form:
        for number, name in enumerate(("objects", "contains", "prime", "list"), start=1):
            form.screen.query_one(f"#{name}").focus()
            await form.press("down")
            await form.press("enter")
            assert isinstance(form.app.screen, PracticeScreen)
            assert form.app.screen.choice.pattern.text == form.rows[number]
            await form.press("escape")
            assert form.app.screen is form.screen
        assert not form.screen.query_one("#prime", Box).value
        await form.pilot.click("#list", offset=(3, 2))
        await form.pilot.pause()
        assert isinstance(form.app.screen, PracticeScreen)
        assert form.app.screen.choice.pattern.text == form.rows[2]
        await form.press("escape", "escape")
        assert isinstance(form.app.screen, PatternsScreen)


async def test_q_leaves_where_it_types_nothing_and_is_a_throw_among_those_to_contain(
    sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    leaves: list[None] = []
    async with opened(sitting) as form:
        monkeypatch.setattr(form.app, "exit", lambda *_, **__: leaves.append(None))
        for number, name in enumerate(("objects", "contains", "ground", "list"), start=1):
            form.screen.query_one(f"#{name}").focus()
            await form.press("q")
            assert len(leaves) == number, name
        contains = form.screen.query_one("#contains", Input)
        contains.focus()
        await form.press("1", "comma", "q")
        assert len(leaves) == 4
        assert contains.value.endswith("q")
        monkeypatch.undo()


async def test_the_glossary_opens_at_the_field_and_a_pattern_of_it_in_the_list(sitting: Sitting) -> None:
    async with opened(sitting) as form:
        for name, term in (("ground", "ground"), ("no-zip", "zip"), ("sync", "sync"), ("period", "period")):
            form.screen.query_one(f"#{name}").focus()
            await form.press("f3")
            assert isinstance(form.app.screen, TermsScreen)
            assert form.app.screen.term is not None
            assert form.app.screen.term.title == term
            await form.press("escape")
        await form.press("f3")
        form.app.show_pattern("3 cascade")  # type: ignore[attr-defined]
        await form.pilot.pause()
        assert isinstance(form.app.screen, PatternsScreen)
        assert form.app.screen.query_one("#query", Input).value == "3 cascade"


@SIZES
async def test_all_of_it_fits_and_can_be_seen(sitting: Sitting, size: tuple[int, int]) -> None:
    """You should see: the form in two rows, how many were found, the list, and the first of them explained; [ ] before
    the word of each box, in another colour than what lies behind it. In 60 columns nothing of the form is cut off.
    """
    async with opened(sitting, size) as form:
        for name in ("objects", "period", "highest", "lowest", "ground", "prime", "no-zip", "sync", "contains"):
            region = form.screen.query_one(f"#{name}").region
            assert region.width >= 4
            assert form.screen.region.contains_region(region)
        for box in form.screen.query(Checkbox):
            sides = [segment for segment in box.render_line(0) if "[" in segment.text or "]" in segment.text]
            assert sides
            assert all(segment.style and segment.style.color != segment.style.bgcolor for segment in sides)
        form.screen.query_one("#objects", Input).cursor_blink = False
        await form.fill(highest="5", contains="5,1")
        await form.settle()
        assert_as_pictured(form.app, "find-{}x{}".format(*size))
        if size == (80, 24):
            assert "Tab next field" in "\n".join(shown(form.app))
        await form.press("tab")
        assert form.screen.focused is form.screen.query_one("#period")
