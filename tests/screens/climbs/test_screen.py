"""The climb screens: the form and the climb it makes, then the climb itself, press by press."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from fractions import Fraction

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.audio.manual_output import ManualOutput
from tests.practice.climbs.jugglers import attempt_of, tempo_ladder
from tests.screens.conftest import Press
from tests.screens.picture import assert_as_pictured, shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.practice.climbs.climb import STAIRCASE, Climb
from trainer.practice.run import RunState
from trainer.records.attempt import CountedBy, Ended
from trainer.records.courses import ClimbKind, ClimbRule
from trainer.screens.app import TrainerApp
from trainer.screens.climbs.form import ClimbScreen
from trainer.screens.climbs.screen import ClimbingScreen
from trainer.screens.parts.pick import Pick
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

COUNT_IN_BEATS = 4


class Hall:
    """A climb and its time."""

    def __init__(self, pilot: Pilot[None], sitting: Sitting, press: Press) -> None:
        self.pilot, self.sitting, self._press = pilot, sitting, press
        assert isinstance(sitting.output, ManualOutput)
        self.output = sitting.output

    @property
    def screen(self) -> ClimbScreen | ClimbingScreen:
        screen = self.pilot.app.screen
        assert isinstance(screen, (ClimbScreen, ClimbingScreen))
        return screen

    @property
    def text(self) -> str:
        return "\n".join(shown(self.pilot.app))

    @property
    def climb(self) -> Climb:
        assert self.sitting.session is not None
        guide = self.sitting.session.view(self.sitting.clock()).guide
        assert isinstance(guide, Climb)
        return guide

    async def keys(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def fill(self, **fields: str) -> None:
        for name, value in fields.items():
            self.screen.query_one(f"#{name}", Input).value = value
        await self.pilot.pause()

    async def pick(self, name: str, value: object) -> None:
        self.screen.query_one(f"#{name}", Pick).pick(value)
        await self.pilot.pause()

    async def to(self, second: float) -> None:
        while self.output.now_s < second - 1 / RATE_HZ:
            self.output.advance(min(RATE_HZ // 20, round((second - self.output.now_s) * RATE_HZ)))
            assert self.sitting.session is not None
            self.sitting.session.tick(self.output.now_s)
        if isinstance(self.screen, ClimbingScreen):
            self.screen.tick()
        await self.pilot.pause()

    async def press(self, at_s: float) -> None:
        await self.to(at_s)
        await self._press(self.pilot, "space", at_s)

    async def attempt(self, holds: bool) -> None:
        """A try from the press to the next time one can press."""
        session = self.sitting.session
        assert session is not None
        beat_s = 60 / float(session.chosen.tempo_bpm)
        start_s = self.output.now_s + 0.1
        await self.press(start_s)
        if not holds:
            await self.press(start_s + (COUNT_IN_BEATS + 4) * beat_s)
        await self.to(start_s + (COUNT_IN_BEATS + 8) * beat_s + 1.3 + session.settings.rest_s)
        assert session.view(self.output.now_s).state is RunState.ARMED


@asynccontextmanager
async def setting_up(
    sitting: Sitting, press: Press, pattern: str = "3", size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hall]:
    app = TrainerApp(sitting, sitting.library.to_choice(pattern), Fraction(175))
    async with app.run_test(size=size) as pilot:
        await pilot.press("f6")
        await pilot.pause()
        yield Hall(pilot, sitting, press)


# -- the form -------------------------------------------------------------------------------------------------


async def test_the_form_starts_with_a_climb_of_the_pattern_in_practice(sitting: Sitting, press: Press) -> None:
    """You should see the fields filled in, how it goes in a sentence, and a line a rung with its height."""
    sitting.settings = replace(sitting.settings, ceiling_m=0.45, throws_per_s=1.6)
    async with setting_up(sitting, press) as hall:
        assert_as_pictured(hall.pilot.app, "climb-form")
        assert "above your ceiling" in hall.text
        assert "above your throws/s" in hall.text


async def test_the_form_opens_from_the_list_too_and_goes_back_there(sitting: Sitting, press: Press) -> None:
    async with TrainerApp(sitting).run_test(size=(80, 24)) as pilot:
        await pilot.press(*"531", "f6")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ClimbScreen)
        assert pilot.app.screen.choice.pattern.text == "531"
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
        await pilot.press("escape", *"432", "f6")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
        assert "Choose a pattern to climb first." in "\n".join(shown(pilot.app))


async def test_wrong_fields_are_told_and_begin_nothing(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        for field, value, says in (
            ("start", "fast", "a tempo"),
            ("target", "100", "not above the start"),
            ("step", "0", "no step"),
            ("goal", "glory", "not a goal"),
            ("up", "0", "step up"),
            ("down", "x", "step down"),
        ):
            before = hall.screen.query_one(f"#{field}", Input).value
            await hall.fill(**{field: value})
            assert says in hall.text
            await hall.keys("enter")
            assert isinstance(hall.screen, ClimbScreen)
            await hall.fill(**{field: before})
            assert says not in hall.text


async def test_only_the_fields_that_count_are_shown(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:

        def visible() -> set[str]:
            return {field.id or "" for field in hall.screen.query(Input) if field.display}

        assert visible() == {"start", "target", "step", "goal", "up", "down"}
        await hall.pick("rule", ClimbRule.STAIRCASE)
        assert visible() == {"start", "step", "goal"}
        await hall.pick("kind", ClimbKind.OBJECTS)
        assert visible() == {"start", "target", "tempo", "goal", "up", "down"}
        assert_as_pictured(hall.pilot.app, "climb-form-objects")


async def test_keys_alone_fill_the_form_in(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        assert "Tab next field" in hall.text
        await hall.keys("tab", "up", "up", "space")  # from the first field on, and up to the rule
        assert "it tells the tempo held 70.7 %" in hall.text
        await hall.keys("left")
        assert "ends when the last rung is held" in hall.text
        await hall.keys("right", "enter")
        assert isinstance(hall.screen, ClimbingScreen)
        assert hall.climb.rule.kind is ClimbRule.STAIRCASE


async def test_a_pattern_of_no_family_has_no_objects_to_climb(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press, "531") as hall:
        await hall.keys("up", "up", "space")
        assert hall.screen.query_one("#kind", Pick).value is ClimbKind.TEMPO


# -- the climb ------------------------------------------------------------------------------------------------


async def test_a_climb_goes_up_and_comes_down_by_the_pedal_alone(sitting: Sitting, press: Press) -> None:
    """You should see the count, the rung one stands on, and blocks and a cross that go up and come down."""
    async with setting_up(sitting, press) as hall:
        await hall.fill(start="200", step="20", target="300", up="1", down="1")
        await hall.keys("enter")
        assert isinstance(hall.screen, ClimbingScreen)
        for holds in (True, True, False, True, True):
            await hall.attempt(holds)
        assert hall.climb.rung.tempo_bpm == 260
        assert [each.ended for each in sitting.tries.attempts] == [
            Ended.GOAL, Ended.GOAL, Ended.DROP, Ended.GOAL, Ended.GOAL,
        ]  # fmt: skip
        assert_as_pictured(hall.pilot.app, "climb")


async def test_what_a_climb_refuses_is_not_in_its_footer_and_says_why(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        await hall.keys("enter")
        footer = hall.text.splitlines()[-1]
        assert "f far" in footer
        for label in ("faster", "slower", "view", "count"):
            assert label not in footer, footer
        before = hall.text
        for key in ("up", "v", "c"):
            await hall.keys(key)
            assert hall.text != before, key
            before = hall.text


async def test_the_end_of_a_climb_is_told(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        await hall.fill(start="200", step="50", target="250", up="1", down="1")
        await hall.keys("enter")
        for _ in range(2):
            await hall.attempt(holds=True)
        assert "ALL DONE" in hall.text
        assert "250 beats/min held" in hall.text
        await hall.press(hall.output.now_s + 1)
        assert "ALL DONE" in hall.text
        await hall.keys("escape")
        assert isinstance(hall.pilot.app.screen, PatternsScreen)


async def test_a_staircase_tells_its_threshold_with_its_spread(sitting: Sitting, press: Press) -> None:
    """You should see the tempo in large, its interval, and a bar over the rungs within it."""
    climb = Climb(tempo_ladder(180, 5), STAIRCASE, CountedBy.BEAT)
    while len(climb.reversals) < 9 or climb.in_row < 1:
        climb = climb.after(attempt_of(climb, 6 if climb.rung.tempo_bpm < 200 else 5), 0.0)
    async with TrainerApp(sitting).run_test(size=(80, 24)) as pilot:
        hall = Hall(pilot, sitting, press)
        hall.pilot.app.climb(climb, "qualify")  # type: ignore[attr-defined]
        await pilot.pause()
        await hall.attempt(holds=True)
        found = hall.climb.threshold
        assert found is not None
        assert 195 < found.tempo_bpm < 200
        assert f"{found.tempo_bpm:.0f} beats/min" in hall.text
        assert f"95 % sure: {found.low:.0f} to {found.high:.0f}" in hall.text
        assert_as_pictured(hall.pilot.app, "climb-threshold")


async def test_no_key_changes_what_the_climb_sets(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        await hall.keys("enter")
        session = sitting.session
        assert session is not None
        before = session.chosen.tempo_bpm, session.chosen.score.dwell
        for key in ("up", "right", "d"):
            hall.screen.say("")
            await hall.keys(key)
            assert (session.chosen.tempo_bpm, session.chosen.score.dwell) == before, key
            assert "The climb sets the tempo" in hall.text, key


async def test_a_climb_is_counted_in_one_way(sitting: Sitting, press: Press) -> None:
    async with setting_up(sitting, press) as hall:
        await hall.keys("enter", "c")
        assert "counted in one way" in hall.text
        sitting.use(counted_by=CountedBy.TAPS)
        await hall.to(1.0)
        assert "counted otherwise" in hall.text


@pytest.mark.parametrize("size", [(60, 18), (110, 36)])
async def test_the_picture_fits_the_room(sitting: Sitting, press: Press, size: tuple[int, int]) -> None:
    async with setting_up(sitting, press, size=size) as hall:
        await hall.keys("enter")
        await hall.to(0.5)
        assert "◀" in hall.text
        await hall.keys("f")
        await hall.to(1.0)
        assert "◀" in hall.text


async def test_practice_is_left_for_the_climb_and_a_new_climb_can_be_set_up_from_it(
    sitting: Sitting, press: Press
) -> None:
    async with setting_up(sitting, press) as hall:
        await hall.keys("enter", "f6")
        assert isinstance(hall.screen, ClimbScreen)
        await hall.keys("enter")
        assert isinstance(hall.screen, ClimbingScreen)
        practices = [each for each in hall.pilot.app.screen_stack if isinstance(each, PracticeScreen)]
        assert practices == [hall.screen]
