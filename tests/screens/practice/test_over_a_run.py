"""Other screens over a run that is under way: it goes on, and its pedal ends it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.audio.manual_output import ManualOutput
from tests.screens.practising import Press, practising
from tests.screens.rest import until
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.practice.run import RunState
from trainer.records.attempt import Ended
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.listing import Listing
from trainer.screens.setup.rows import ROWS
from trainer.screens.setup.screen import SetupScreen
from trainer.session.sitting import Sitting


@pytest.mark.parametrize("key", ["f2", "f3", "question_mark"])
async def test_under_another_screen_a_run_goes_on_and_its_pedal_ends_it(
    sitting: Sitting, press: Press, key: str
) -> None:
    async with practising(sitting, press) as hall:
        practice = hall.screen
        await hall.press("space", 1.0)
        await hall.to(4.0)
        await hall.pilot.press(key)
        await hall.pilot.pause()
        over = hall.pilot.app.screen
        assert over is not practice
        if key != "question_mark":
            assert "The run goes on; SPACE is its pedal here too." in hall.text
        await press(hall.pilot, "space", 6.0)
        output = sitting.output
        assert isinstance(output, ManualOutput)
        output.advance(3 * RATE_HZ)
        practice.tick()
        assert [attempt.ended for attempt in sitting.tries.attempts] == [Ended.DROP]
        assert hall.pilot.app.screen is over
        if isinstance(over, BaseScreen):
            over.show_trouble()  # as its timer does
            assert "The run goes on" not in hall.text
        # Nothing runs any more: now the key is the open screen's own.
        await press(hall.pilot, "space", 9.0)
        assert practice.session.view(9.0).state in (RunState.REST, RunState.ARMED)
        assert len(sitting.tries.attempts) == 1


async def test_under_another_screen_the_time_goes_on_by_itself(sitting: Sitting, press: Press) -> None:
    """The count-in becomes a run although nobody looks: the screen's own timer asks the clock."""
    async with practising(sitting, press) as hall:
        practice = hall.screen
        await hall.press("space", 1.0)
        await hall.pilot.press("f2")
        output = sitting.output
        assert isinstance(output, ManualOutput)
        output.advance(4 * RATE_HZ)
        await until(lambda: practice.session.view(sitting.clock()).state is RunState.RUNNING)


async def test_a_pedal_learned_over_a_run_does_not_end_it(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        practice = hall.screen
        await hall.press("space", 1.0)
        await hall.to(4.0)
        await hall.pilot.press("f2")
        await hall.pilot.pause()
        setup = hall.pilot.app.screen
        assert isinstance(setup, SetupScreen)
        setup.query_one("#settings", Listing).highlighted = next(
            index for index, row in enumerate(ROWS) if row.name == "pedal"
        )
        await press(hall.pilot, "enter", 5.0)
        await press(hall.pilot, "space", 6.0)
        await press(hall.pilot, "space", 7.0)
        assert "taps 2" in hall.text
        assert practice.session.view(sitting.clock()).state is RunState.RUNNING


async def test_another_pedal_key_and_an_end_key(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, pedal="f5", end_pedal="f6")
    async with practising(sitting, press) as hall:
        assert "F5" in hall.text
        await hall.press("space", 1.0)
        assert hall.state is RunState.ARMED
        await hall.press("f6", 1.5)
        assert hall.state is RunState.ARMED
        await hall.press("f5", 2.0)
        await hall.press("f6", 6.0)
        await hall.to(7.0)
        assert sitting.tries.attempts[0].ended is Ended.DROP


async def test_a_pattern_of_empty_hands_says_why_it_does_not_start(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press, "0") as hall:
        await hall.press("space", 1.0)
        assert "nothing to throw" in hall.text
        assert hall.state is RunState.ARMED
