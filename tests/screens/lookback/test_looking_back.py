"""The logbook and the progress screen: what is listed, set right and undone, and what is told of a figure."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from tests.dawn import DAWN
from tests.screens.picture import assert_as_pictured, shown
from tests.screens.practised import MESS, PLAIN, practised
from trainer.logbook.filters import Sort
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.totals import Figure
from trainer.screens.app import TrainerApp
from trainer.screens.lookback.logbook import PAGE, SORTS, LogbookScreen
from trainer.screens.lookback.progress import ProgressPage, ProgressScreen
from trainer.screens.lookback.tryrow import to_row
from trainer.screens.parts.listing import Lines, Listing
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

SIZES = pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
MILLS = Figure("3 mess", "Mills Mess", "balls", CountedBy.BEAT, "Ona")


@asynccontextmanager
async def opened(sitting: Sitting, key: str, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[None]]:
    """The trainer, with the logbook (F8) or the progress (F9) open."""
    async with TrainerApp(sitting).run_test(size=size) as pilot:
        await pilot.press(key)
        await pilot.pause()
        yield pilot


def logbook_of(pilot: Pilot[None]) -> LogbookScreen:
    screen = pilot.app.screen
    assert isinstance(screen, LogbookScreen)
    return screen


def progress_of(pilot: Pilot[None]) -> ProgressScreen:
    screen = pilot.app.screen
    assert isinstance(screen, ProgressScreen)
    return screen


async def type_in(pilot: Pilot[None], text: str) -> None:
    pilot.app.screen.query_one("#query", Input).value = text
    await pilot.pause()


def amount(pilot: Pilot[None]) -> str:
    return str(pilot.app.screen.query_one("#amount", Static).content)


def notice(pilot: Pilot[None]) -> str:
    return str(pilot.app.screen.query_one("#notice", Static).content)


# -- the logbook --------------------------------------------------------------------------------------------------


@SIZES
async def test_the_logbook(sitting: Sitting, size: tuple[int, int]) -> None:
    """You should see a row a try, the newest first, and all there is to know of the first below."""
    async with opened(practised(sitting), "f8", size) as pilot:
        assert_as_pictured(pilot.app, "logbook-{}x{}".format(*size))


async def test_filtered_sorted_and_read_on(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8") as pilot:
        screen = logbook_of(pilot)
        for text, count in (("mills", 124), ("RINGS", 4), ("ひか", 4), ("easy", 1), ("ona cascade", 3), ("xyzzy", 0)):
            await type_in(pilot, text)
            assert (amount(pilot).split()[0], len(screen.listed)) == (str(count), min(count, PAGE)), text
        assert screen.explained() == "No try has all that in it."
        await pilot.press("enter", "delete", "ctrl+x")  # nothing is under the cursor, and nothing happens
        await pilot.press("escape")
        await pilot.pause()
        assert len(screen.listed) == PAGE
        await pilot.press(*["pagedown"] * 8)
        assert len(screen.query_one("#list", Listing).rows) == len({attempt.id for attempt in screen.listed}) == 131
        for sort in (*[*SORTS][1:], Sort.NEWEST):
            await pilot.press("tab")
            assert (screen.sort, amount(pilot)) == (sort, f"131 tries, {SORTS[sort]}")
            catches = [attempt.catches or 0 for attempt in screen.listed]
            if sort is Sort.CATCHES:
                assert catches == sorted(catches, reverse=True)


async def test_a_list_higher_than_a_page_is_full(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8", (100, PAGE + 30)) as pilot:
        listing = logbook_of(pilot).query_one("#list", Listing)
        assert PAGE < listing.size.height <= len(listing.rows)


async def test_each_order_follows_what_is_typed_and_what_is_changed(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8") as pilot:
        screen = logbook_of(pilot)
        for sort in Sort:
            while screen.sort is not sort:
                await pilot.press("tab")
            for _ in range(2):
                await pilot.press(*"ona")
                assert screen.listed
                keys = [_key(sort, each) for each in screen.listed]
                assert keys == sorted(keys, reverse=sort is not Sort.OLDEST), sort
                await pilot.press("ctrl+x", *["backspace"] * 3)
                assert amount(pilot) == f"131 tries, {SORTS[sort]}"


def _key(sort: Sort, attempt: Attempt) -> float:
    values = {Sort.CATCHES: attempt.catches, Sort.SECONDS: attempt.seconds, Sort.TEMPO: attempt.tempo}
    return float(values.get(sort, attempt.started_at.date().toordinal()) or 0)


async def test_an_order_chosen_and_a_text_typed_at_once_are_both_followed(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8") as pilot:
        screen = logbook_of(pilot)
        await pilot.press("tab", "tab", *"rings")
        assert (amount(pilot), len(screen.listed)) == ("4 tries, most catches first", 4)
        await pilot.press("ctrl+x")
        assert amount(pilot) == "4 tries, most catches first", "a change is seen at once"
        await pilot.press("escape")
        assert (amount(pilot), len(screen.listed)) == ("131 tries, most catches first", PAGE)
        await pilot.press(*"rin", "backspace", "n")
        assert (amount(pilot), len(screen.listed)) == ("4 tries, most catches first", 4)


async def test_a_try_is_noted_set_right_removed_and_all_that_taken_back(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8") as pilot:
        screen = logbook_of(pilot)
        first = screen.chosen
        assert first is not None
        assert first.best
        await pilot.press("enter", *"x 2?q", "enter")
        assert screen.chosen is not None
        assert screen.chosen.note == "felt easyx 2?q"
        assert screen.explained().endswith("felt easyx 2?q")
        assert screen.focused is screen.query_one("#query")
        await pilot.press("ctrl+x")
        assert (screen.chosen.fair, screen.chosen.best) == (False, False)
        assert "not fair" in shown(pilot.app)[2]
        await pilot.press("ctrl+x")
        assert screen.chosen.fair
        await pilot.press("delete")
        assert amount(pilot) == "130 tries, newest first"
        assert first.id not in {attempt.id for attempt in screen.listed}
        assert notice(pilot) == "The try was removed. Ctrl+Z brings it back."
        await pilot.press(*["ctrl+z"] * 4)
        assert screen.chosen == first
        assert amount(pilot) == "131 tries, newest first"
        await pilot.press("ctrl+z")
        assert notice(pilot) == "Nothing was changed here that could be taken back."
        await pilot.press(*"mills", "home", "delete")  # a key for tries, not for the line
        assert pilot.app.screen.query_one("#query", Input).value == "mills"
        assert amount(pilot) == "123 tries, newest first"


def test_a_try_whose_count_was_left_out_is_not_called_given_up() -> None:
    dropped = replace(PLAIN, catches=None, ended=Ended.DROP)
    assert "given up" not in to_row(dropped)
    assert "given up" in to_row(replace(dropped, ended=Ended.GIVEN_UP))


async def test_a_note_left_with_escape_stays_as_it_was_and_line_breaks_are_kept(sitting: Sitting) -> None:
    practised(sitting)
    with Logbook.open(sitting.places.logbook, now=DAWN) as book:
        newest = book.attempts(limit=1)[0].uid or ""
        book.correct(newest, note="one\ntwo", corrected_at=DAWN)
    async with opened(sitting, "f8") as pilot:
        screen = logbook_of(pilot)
        await pilot.press("enter", "x", "escape")
        assert screen.chosen is not None
        assert screen.chosen.note == "one\ntwo"
        assert not screen.changes
        await pilot.press("enter", "enter")  # nothing typed: nothing changed
        assert not screen.changes
        await pilot.press("enter", "!", "enter")
        assert screen.chosen.note == "one\ntwo!"


async def test_a_logbook_without_tries(sitting: Sitting) -> None:
    async with opened(sitting, "f8") as pilot:
        assert logbook_of(pilot).explained().startswith("No tries yet.")
        await pilot.press("f9")
        await pilot.pause()
        assert progress_of(pilot).explained().startswith("No tries to show yet.")


async def test_a_damaged_logbook_is_told_and_left_as_it_was(sitting: Sitting) -> None:
    async with TrainerApp(sitting).run_test() as pilot:
        await pilot.pause()
        sitting.places.logbook.unlink()
        sitting.places.logbook.mkdir()
        for key in ("f8", "f9"):
            await pilot.press(key)
            await pilot.pause()
            assert "no ordinary file" in notice(pilot)
            await pilot.press("enter", "delete", "tab", "escape")
        assert isinstance(pilot.app.screen, PatternsScreen)
        sitting.places.logbook.rmdir()


async def test_a_change_that_the_logbook_refuses_is_not_told_as_done(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f8") as pilot:
        screen = logbook_of(pilot)
        sitting.places.logbook.rename(sitting.places.logbook.with_name("elsewhere"))
        for keys in (("delete",), ("ctrl+x",), ("enter", "x", "enter")):
            screen.say("")
            await pilot.press(*keys)
            assert "was taken away or replaced" in notice(pilot), keys
            assert screen.changes == [], keys


async def test_what_is_changed_here_is_known_to_the_practice_behind(sitting: Sitting) -> None:
    """A try of this sitting marked as not fair is no best any more; one removed neither."""
    tries = sitting.tries
    for catches in (5, 9):
        tries.begin(replace(MESS, catches=None, ended=None, seconds=None))
        tries.finish(Ended.DROP, catches, 2.0, 0, "")
    assert tries.best(MILLS) == 9
    async with opened(sitting, "f8") as pilot:
        await pilot.press("ctrl+x")
        assert tries.best(MILLS) == 5
        await pilot.press("down", "delete")
        assert tries.best(MILLS) is None
        await pilot.press("ctrl+z", "ctrl+z")
        assert tries.best(MILLS) == 9


# -- progress -----------------------------------------------------------------------------------------------------


@SIZES
async def test_progress(sitting: Sitting, size: tuple[int, int]) -> None:
    """You should see the figures, the numbers of the first, and below them a plot, rates by tempo, or its days."""
    async with opened(practised(sitting), "f9", size) as pilot:
        await type_in(pilot, "mills")
        for page in ProgressPage:
            await pilot.pause()
            assert_as_pictured(pilot.app, "progress-{}-{}x{}".format(page.value, *size))
            await pilot.press("tab")


@pytest.mark.parametrize(("ended", "catches", "plotted"), [
    (Ended.DROP, 4, True), (Ended.DROP, 0, False), (Ended.COLLECTED, 6, False),
])  # fmt: skip
async def test_a_single_try_has_no_empty_plot(sitting: Sitting, ended: Ended, catches: int, plotted: bool) -> None:
    """You should see why there is no curve, and no axes with nothing over them."""
    with Logbook.open(sitting.places.logbook) as book:
        book.begin_session(DAWN)
        book.add(replace(PLAIN, started_at=DAWN, catches=catches, ended=ended))
    async with opened(sitting, "f9") as pilot:
        screen = progress_of(pilot)
        assert screen.query_one("#plot").display is plotted
        page = " ".join(str(row) for row in screen.query_one("#page", Lines).rows)
        assert ("● catches a drop" in page) is plotted
        assert "No curve and no forecast, because" in page


async def test_each_figure_rests_on_one_way_of_counting_and_has_a_curve_or_the_reason_why_not(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f9") as pilot:
        screen = progress_of(pilot)
        ways = []
        for _ in screen.listed:
            assert screen.progress is not None
            counted_by = screen.progress.figure.counted_by
            ways.append(counted_by)
            assert f"counted {COUNTED_BY[counted_by]}" in screen.explained()
            page = " ".join(str(row) for row in screen.query_one("#page", Lines).rows)
            assert ("No curve and no forecast, because there were too few days" in page) is (
                counted_by is not CountedBy.BEAT
            )
            await pilot.press("down")
            await pilot.pause()
        assert set(ways) == set(CountedBy)
        await type_in(pilot, "fountain")
        await pilot.press("tab", "tab")
        assert "No climb has told yet which tempo is held" in " ".join(shown(pilot.app))


COUNTED_BY = {CountedBy.BEAT: "by the beat", CountedBy.TAPS: "by taps", CountedBy.HAND: "by hand"}


async def test_from_one_to_the_other_and_to_practice_and_back(sitting: Sitting) -> None:
    async with opened(practised(sitting), "f9") as pilot:
        await type_in(pilot, "mills")
        await pilot.press("f8")
        await pilot.pause()
        assert logbook_of(pilot).query_one("#query", Input).value == "Mills Mess "
        assert amount(pilot) == "124 tries, newest first"
        await pilot.press("f9")
        await pilot.pause()
        found = progress_of(pilot).progress
        assert found is not None
        assert found.figure == MILLS
        await pilot.press("enter")
        await pilot.pause()
        practice = pilot.app.screen
        assert isinstance(practice, PracticeScreen)
        assert practice.figure_at_hand().title == "Mills Mess"
        await pilot.press("f9")  # of the same pattern, though nobody is named in the settings
        await pilot.pause()
        assert progress_of(pilot).figure_at_hand() == MILLS
        await pilot.press("enter")  # anew: the practice below ends with what was opened from it
        await pilot.pause()
        assert sum(isinstance(screen, PracticeScreen) for screen in pilot.app.screen_stack) == 1
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ProgressScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)


async def test_a_pattern_whose_name_is_gone_from_the_library_is_practised_by_its_throws(sitting: Sitting) -> None:
    """So of a logbook from elsewhere, or once a file of one's own patterns was taken away."""
    sitting.tries.begin(replace(MESS, name="Orla's own mess", catches=None, ended=None, seconds=None))
    sitting.tries.finish(Ended.DROP, 9, 2.0, 0, "")
    async with opened(sitting, "f9") as pilot:
        assert progress_of(pilot).figure_at_hand() == replace(MILLS, name="Orla's own mess", juggler=MESS.juggler)
        await pilot.press("enter")
        await pilot.pause()
        practice = pilot.app.screen
        assert isinstance(practice, PracticeScreen)
        assert practice.choice.pattern.text == "3 mess"


async def test_the_sign_stands_on_every_screen(sitting: Sitting) -> None:
    sitting.sign = "Made up."
    async with TrainerApp(practised(sitting)).run_test() as pilot:
        for keys in ((), ("f8",), ("f9",), ("escape", "enter")):
            await pilot.press(*keys)
            await pilot.pause()
            assert shown(pilot.app)[0].strip() == "Made up."
