"""What next: the list of what builds on what has been qualified, from the logbook."""

from __future__ import annotations

from fractions import Fraction

from textual.widgets import Input, Static

from trainer.records.attempt import Attempt, Ended
from trainer.screens.app import TrainerApp
from trainer.screens.parts.listing import Listing
from trainer.screens.patterns.screen import PatternsScreen
from trainer.session.sitting import Sitting


def tried(sitting: Sitting, name: str, catches: int) -> None:
    """An attempt in the logbook, by its library name; flash and qualify as for three objects."""
    entry = sitting.library.find(name)
    assert entry is not None
    sitting.tries.begin(
        Attempt(
            session_id=0,
            started_at=sitting.now(),
            pattern=entry.pattern.text,
            name=entry.title,
            objects=entry.objects,
            tempo=Fraction(175),
            dwell=Fraction(2, 3),
            flash_at=3,
            qualify_at=6,
        )
    )
    sitting.tries.finish(Ended.DROP, catches, 3.0, 0, "")


def test_nothing_qualified_gives_first_steps(sitting: Sitting) -> None:
    found = sitting.what_next()
    assert found
    assert all(not entry.builds_on for entry in found)


def test_what_builds_on_the_qualified_comes_and_the_qualified_itself_does_not(sitting: Sitting) -> None:
    tried(sitting, "3 cascade", 9)
    found = {entry.title for entry in sitting.what_next()}
    assert "3 cascade" not in found
    assert found
    for title in found:
        entry = sitting.library.find(title)
        assert entry is not None
        assert set(entry.builds_on) == {"3 cascade"}


def test_a_flash_is_not_enough(sitting: Sitting) -> None:
    tried(sitting, "3 cascade", 5)
    assert all("3 cascade" not in entry.builds_on for entry in sitting.what_next())


def test_what_one_juggler_qualified_is_nothing_to_another(sitting: Sitting) -> None:
    tried(sitting, "3 cascade", 9)
    sitting.use(juggler="Ada")
    assert all(not entry.builds_on for entry in sitting.what_next())


async def test_f5_lists_it_and_esc_lists_all_again(sitting: Sitting) -> None:
    tried(sitting, "3 cascade", 9)
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("b", "o", "x", "f5")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, PatternsScreen)
        assert [entry.title for entry in screen.listed] == [entry.title for entry in sitting.what_next()]
        assert screen.query_one("#query", Input).value == ""
        assert "build on what you have qualified" in str(screen.query_one("#notice", Static).render())
        await pilot.press("escape")
        await pilot.pause()
        assert len(screen.query_one("#list", Listing).rows) == len(sitting.library.entries)


async def test_where_nothing_is_qualified_f5_says_that_these_are_first_steps(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f5")
        await pilot.pause()
        assert "first steps" in str(app.screen.query_one("#notice", Static).render())
