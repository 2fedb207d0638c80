"""The help screen: texts stand under themselves, and a click on a word opens its term."""

from __future__ import annotations

import pytest

from tests.screens.picture import shown
from trainer.screens.app import TrainerApp
from trainer.screens.help import WORDS
from trainer.screens.patterns.terms import TermsScreen
from trainer.session.sitting import Sitting


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_second_line_of_a_text_begins_under_its_first(sitting: Sitting, size: tuple[int, int]) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        app.practise(sitting.library.to_choice("531"))
        await pilot.pause()
        await pilot.press("question_mark")
        await pilot.pause()
        rows = shown(app)
        first = next(number for number, row in enumerate(rows) if "The pedal: starts a try" in row)
        further = rows[first + 1].strip("│ ▁▂▃▄▅▆▇█")
        assert further.endswith("collect.")
        assert rows[first + 1].index(further) == rows[first].index("The pedal")


@pytest.mark.parametrize("word", WORDS)
async def test_a_click_on_a_word_opens_it(sitting: Sitting, word: str) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(100, 60)) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        found = f"{WORDS.index(word) + 1}  {word}: "
        y, row = next((number, row) for number, row in enumerate(shown(app)) if found in row)
        await pilot.click(offset=(row.index(found) + 4, y))
        await pilot.pause()
        assert isinstance(app.screen, TermsScreen)
        assert app.screen.term is not None
        assert app.screen.term.title == word
