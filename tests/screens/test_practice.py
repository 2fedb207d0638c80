"""The practice screen: presses with stamps of their own, what is shown in each state, and keys while it runs."""

from __future__ import annotations

import math
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from fractions import Fraction

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import OptionList

from tests.screens.conftest import Cables
from tests.screens.mouse import click
from tests.screens.picture import assert_as_pictured, shown
from trainer.audio.outputs import RATE_HZ, ManualOutput
from trainer.audio.performance import Performance
from trainer.desk import Desk
from trainer.library.catalogue import Choice
from trainer.logbook.records import Ended
from trainer.practice.run import State
from trainer.screens.app import TrainerApp
from trainer.screens.help import HelpScreen
from trainer.screens.patterns import PatternsScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.presses import KeyUp, RepeatedKey
from trainer.screens.rows import ROWS
from trainer.screens.setup import SetupScreen
from trainer.screens.widgets import BigNumber, BigWord
from trainer.siteswap.families import parse_any

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
TEMPO_BPM = 240
FIRST_BEAT_S = 4 * 60 / TEMPO_BPM
"""From the press to the first throw, with the count-in out of the box; the output of the tests has no latency."""


class Hall:
    """A practice screen and its time."""

    def __init__(self, pilot: Pilot[None], desk: Desk, press: Press) -> None:
        self.pilot, self.desk, self._press = pilot, desk, press

    @property
    def screen(self) -> PracticeScreen:
        screen = self.pilot.app.screen
        assert isinstance(screen, PracticeScreen)
        return screen

    @property
    def state(self) -> State:
        return self.screen.session.view(self.desk.clock()).state

    @property
    def text(self) -> str:
        return "\n".join(shown(self.pilot.app))

    async def to(self, second: float) -> None:
        """Let the time go by up to a second, and the screen draw."""
        self.pass_time(second)
        await self.pilot.pause()

    def pass_time(self, second: float) -> None:
        output = self.desk.output
        assert isinstance(output, ManualOutput)
        output.advance(round(second * RATE_HZ) - round(output.now_s * RATE_HZ))
        self.screen.tick()

    async def press(self, key: str, at_s: float) -> None:
        """Press a key at a second."""
        self.pass_time(at_s)
        await self._press(self.pilot, key, at_s)

    async def keys(self, *script: tuple[float, str]) -> None:
        """The pedal's key by a terminal that tells it all: (second, down or repeat or up)."""
        for at_s, edge in script:
            self.pass_time(at_s)
            event = {
                "down": events.Key("space", " "),
                "repeat": RepeatedKey("space", " "),
                "up": KeyUp("space"),
            }[edge]
            event.time = at_s
            self.pilot.app.post_message(event)
        await self.pilot.pause()

    async def run(self, start_s: float, end_s: float, *more_s: float) -> None:
        """A run from a press to a press, or two, until it is at rest."""
        for at_s in (start_s, end_s, *more_s):
            await self.press("space", at_s)
        await self.to(end_s + 1)


@asynccontextmanager
async def practising(
    desk: Desk, press: Press, pattern: str = "3", size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hall]:
    app = TrainerApp(desk, desk.library.to_choice(pattern), Fraction(TEMPO_BPM))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Hall(pilot, desk, press)
    if app.failure is not None:
        raise app.failure


# -- the pedal ------------------------------------------------------------------------------------------------


async def test_presses_count_from_their_own_time(desk: Desk, press: Press) -> None:
    """3 at 240 a minute: catch k falls (k - 1 + 5/3) beats after the first throw; 0.3 s are the reaction."""
    async with practising(desk, press) as hall:
        await hall.run(1.0, 1.0 + FIRST_BEAT_S + 3.05)
        expected = int((3.05 - 0.3) * 4 - 5 / 3) + 1 - 1  # the last one due was missed
        (attempt,) = desk.journal.attempts
        assert (attempt.ended, attempt.catches) == (Ended.DROP, expected)
        assert "drop" in hall.text


async def test_two_quick_presses_are_a_clean_finish(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.run(1.0, 5.0, 5.2)
        assert desk.journal.attempts[0].ended is Ended.COLLECTED
        assert "COLLECTED" in hall.text


async def test_a_press_handled_late_counts_at_its_stamp(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        await hall.to(8.0)
        await press(hall.pilot, "space", 1.0 + FIRST_BEAT_S + 3.05)
        await hall.to(9.0)
        assert desk.journal.attempts[0].catches == int((3.05 - 0.3) * 4 - 5 / 3) + 1 - 1


async def test_a_held_key_is_one_press(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        for at_s in (1.0, *(1.5 + n / 30 for n in range(20))):
            await hall.press("space", at_s)
        assert hall.state is State.RUNNING
        assert desk.journal.attempts == ()


async def test_the_banner_and_the_count_are_a_pedal_for_the_mouse(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.to(1.0)
        await hall.pilot.click("#banner")
        assert hall.state is State.COUNT_IN
        await hall.pilot.click("#facts")
        assert hall.state is State.COUNT_IN


@pytest.mark.parametrize(("pedal", "button"), [("mouse_left", 1), ("mouse_middle", 2), ("mouse_right", 3)])
async def test_a_pedal_that_clicks_is_heard_wherever_the_mouse_is(
    desk: Desk, press: Press, pedal: str, button: int
) -> None:
    desk.settings = replace(desk.settings, pedal=pedal)
    async with practising(desk, press) as hall:
        assert "CLICK to start" in hall.text
        for second, where in ((1.0, "#facts"), (6.0, "#lanes")):
            hall.pass_time(second)
            await click(hall.pilot, where, button, second, second + 0.2)
        await hall.to(7.0)
        assert [attempt.ended for attempt in desk.journal.attempts] == [Ended.DROP]
        await hall.press("space", 20.0)
        assert hall.state is State.ARMED


async def test_a_footswitch_starts_and_ends_a_run_by_the_time_it_was_read(
    desk: Desk, press: Press, cables: Cables
) -> None:
    desk.settings = replace(desk.settings, pedal="midi_note_36")
    cables.connect("floor board")
    async with practising(desk, press) as hall:
        assert "MIDI NOTE 36 to start" in hall.text
        for second in (1.0, 6.0):
            hall.pass_time(second)
            cables.opened["floor board"].put(bytes([0x90, 36, 100, 0x80, 36, 0]))
            await hall.pilot.pause()
        await hall.to(7.0)
        assert [(each.ended, each.catches) for each in desk.journal.attempts] == [(Ended.DROP, 13)]


async def test_a_footswitch_that_is_not_there_is_told_once(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, pedal="midi_note_36")
    async with practising(desk, press) as hall:
        await hall.to(0.5)
        assert "No MIDI input was found. Connect the footswitch" in hall.text
        await hall.to(14.0)
        assert "No MIDI input" not in hall.text


async def test_where_releases_are_told_quick_taps_count_and_bounces_do_not(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, counted_by="taps")
    async with practising(desk, press) as hall:
        await hall.keys((1.0, "down"), (1.4, "repeat"), (1.43, "repeat"), (1.45, "up"))
        assert hall.state is State.COUNT_IN
        for number in range(10):  # 15 a second, each bouncing as it goes down and as it comes up
            at_s = 3.0 + number / 15
            await hall.keys((at_s, "down"), (at_s + 0.002, "up"), (at_s + 0.004, "down"), (at_s + 0.03, "up"))
            await hall.keys((at_s + 0.033, "down"), (at_s + 0.036, "up"))
        await hall.keys((4.0, "down"), (4.5, "repeat"), (4.53, "repeat"), (4.56, "repeat"), (4.6, "up"))
        await hall.to(7.0)
        assert [attempt.catches for attempt in desk.journal.attempts] == [11]


# -- other screens over a run ---------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["f2", "f3", "question_mark"])
async def test_under_another_screen_a_run_goes_on_and_its_pedal_ends_it(desk: Desk, press: Press, key: str) -> None:
    async with practising(desk, press) as hall:
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
        output = desk.output
        assert isinstance(output, ManualOutput)
        output.advance(3 * RATE_HZ)
        practice.tick()
        assert [attempt.ended for attempt in desk.journal.attempts] == [Ended.DROP]
        assert hall.pilot.app.screen is over
        # Nothing runs any more: now the key is the open screen's own.
        await press(hall.pilot, "space", 9.0)
        assert practice.session.view(9.0).state in (State.REST, State.ARMED)
        assert len(desk.journal.attempts) == 1


async def test_under_another_screen_the_time_goes_on_by_itself(desk: Desk, press: Press) -> None:
    """The count-in becomes a run although nobody looks: the screen's own timer asks the clock."""
    async with practising(desk, press) as hall:
        practice = hall.screen
        await hall.press("space", 1.0)
        await hall.pilot.press("f2")
        output = desk.output
        assert isinstance(output, ManualOutput)
        output.advance(4 * RATE_HZ)
        await hall.pilot.pause(0.25)
        assert practice.session.view(desk.clock()).state is State.RUNNING


async def test_a_pedal_learned_over_a_run_does_not_end_it(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        practice = hall.screen
        await hall.press("space", 1.0)
        await hall.to(4.0)
        await hall.pilot.press("f2")
        await hall.pilot.pause()
        setup = hall.pilot.app.screen
        assert isinstance(setup, SetupScreen)
        setup.query_one("#settings", OptionList).highlighted = next(
            index for index, row in enumerate(ROWS) if row.name == "pedal"
        )
        await press(hall.pilot, "enter", 5.0)
        await press(hall.pilot, "space", 6.0)
        await press(hall.pilot, "space", 7.0)
        assert "taps 2" in hall.text
        assert practice.session.view(desk.clock()).state is State.RUNNING


async def test_another_pedal_key_and_an_end_key(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, pedal="f5", end_pedal="f6")
    async with practising(desk, press) as hall:
        assert "F5" in hall.text
        await hall.press("space", 1.0)
        assert hall.state is State.ARMED
        await hall.press("f6", 1.5)
        assert hall.state is State.ARMED
        await hall.press("f5", 2.0)
        await hall.press("f6", 6.0)
        await hall.to(7.0)
        assert desk.journal.attempts[0].ended is Ended.DROP


async def test_a_pattern_of_empty_hands_says_why_it_does_not_start(desk: Desk, press: Press) -> None:
    async with practising(desk, press, "0") as hall:
        await hall.press("space", 1.0)
        assert "nothing to throw" in hall.text
        assert hall.state is State.ARMED


# -- counting -------------------------------------------------------------------------------------------------


async def test_by_taps_the_count_goes_up_with_each(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, counted_by="taps")
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        for number in range(5):
            await hall.press("space", 3.0 + number)
        assert hall.screen.session.view(7.0).catches == 5
        assert "3/3 ✓" in hall.text
        assert "5/6" in hall.text
        await hall.to(20)
        assert desk.journal.attempts[0].catches == 5


async def test_by_hand_the_count_is_typed_and_the_pedal_leaves_it_out(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, counted_by="hand")
    async with practising(desk, press) as hall:
        await hall.run(1.0, 5.0)
        assert "TYPE THE CATCHES" in hall.text
        for key in ("1", "9", "backspace", "4", "enter"):
            await hall.press(key, 6.1)
        assert [attempt.catches for attempt in desk.journal.attempts] == [14]
        await hall.run(20.0, 25.0)
        await hall.press("space", 29.0)
        assert [attempt.catches for attempt in desk.journal.attempts] == [14, None]
        assert hall.state is State.COUNT_IN


async def test_plus_and_minus_set_the_last_count_right(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.run(1.0, 6.0)
        before = desk.journal.attempts[0].catches
        for key in ("plus", "plus", "minus"):
            await hall.press(key, 7.1)
        assert before is not None
        assert desk.journal.attempts[0].catches == before + 1
        await hall.to(7.2)
        assert f"{before + 1}  drop" in hall.text


# -- keys while it runs ---------------------------------------------------------------------------------------


async def test_x_marks_a_try_as_not_fair_and_u_takes_changes_back_one_by_one(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("u", 0.1)
        assert "no change to undo" in hall.text
        await hall.run(0.5, 0.5 + FIRST_BEAT_S + 3)
        catches = desk.journal.attempts[0].catches
        await hall.press("x", 6.0)
        await hall.to(6.1)
        assert "not fair" in hall.text
        assert "Not a fair try" in hall.text
        await hall.press("plus", 6.2)
        assert f"Try 1 has {catches + 1} catches" in hall.text
        for second in (6.3, 6.4):
            await hall.press("u", second)
        await hall.to(6.5)
        assert f"Undone. Try 1 has {catches} catches." in hall.text
        assert "not fair" not in hall.text
        assert [(each.catches, each.fair) for each in desk.journal.attempts] == [(catches, True)]


async def test_tempo_dwell_and_kit_change_while_it_runs(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        await hall.to(4.0)
        for key in ("up", "up", "down", "right", "k"):
            await hall.press(key, 4.0)
        await hall.to(4.1)
        scene = desk.transport.scene
        assert isinstance(scene, Performance)
        assert scene.tempo.segments[-1].tempo_bpm == TEMPO_BPM + 5
        assert scene.score.dwell > Fraction(2, 3)
        assert scene.bank.kit.name != "kitchen"
        assert hall.state is State.RUNNING
        assert "245 beats/min" in hall.text


async def test_the_tempo_stays_within_what_can_be_practised(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        hall.screen.session.set_tempo(Fraction(3))
        for _ in range(3):
            await hall.press("down", 0.5)
        assert hall.screen.session.tempo_bpm == 1
        hall.screen.session.set_tempo(Fraction(1999))
        for _ in range(3):
            await hall.press("up", 0.5)
        assert hall.screen.session.tempo_bpm == 2000


async def test_the_dwell_stays_between_nothing_and_all(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        for key, end in (("right", Fraction(19, 20)), ("left", Fraction(1, 20))):
            for _ in range(20):
                await hall.press(key, 0.5)
            assert hall.screen.session.score.dwell == end


async def test_another_way_of_counting_while_it_runs_is_for_the_next_try(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        await hall.press("c", 4.0)
        assert "next try" in " ".join(hall.text.split())
        await hall.run(5.0, 5.0)
        assert desk.journal.attempts[0].counted_by == "beat"
        await hall.to(12.0)
        assert "taps" in hall.text


async def test_give_up_ends_the_run_without_a_drop(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        await hall.press("g", 5.0)
        await hall.to(6.0)
        assert "GIVEN UP" in hall.text
        assert desk.journal.attempts[0].ended is Ended.GIVEN_UP


async def test_escape_ends_the_practice_and_keeps_the_run(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.press("space", 1.0)
        await hall.to(5.0)
        await hall.pilot.press("escape")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, PatternsScreen)
        assert [attempt.ended for attempt in desk.journal.attempts] == [Ended.GIVEN_UP]


async def test_help_opens_over_the_run_and_the_pedal_is_explained(desk: Desk, press: Press) -> None:
    async with practising(desk, press) as hall:
        await hall.pilot.press("question_mark")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, HelpScreen)
        text = "\n".join(shown(hall.pilot.app))
        assert "SPACE" in text
        assert "pedal" in text
        await hall.pilot.press("escape")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, PracticeScreen)


async def test_what_is_wrong_with_the_logbook_is_told_and_the_practice_goes_on(desk: Desk, press: Press) -> None:
    desk.journal._logbook = None
    desk.journal.trouble = "The disk was full."
    async with practising(desk, press) as hall:
        await hall.run(1.0, 5.0)
        assert "Not saved: The disk was full." in hall.text
        assert len(desk.journal.attempts) == 1


async def test_a_ceiling_that_is_too_low_is_told(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, ceiling_m=2.0)
    async with practising(desk, press, "97531") as hall:
        assert "above your ceiling of 2 m" in hall.text


async def test_the_time_of_empty_hands_is_told_and_follows_the_tempo(desk: Desk, press: Press) -> None:
    """By hand: of 55500 all hands are empty for 5/3 beats; at 240 a minute that is 0.42 s, at 120 0.83 s."""
    async with practising(desk, press, "55500") as hall:
        assert "hands empty for 0.42 s" in hall.text
        await hall.press("h", 0.5)
        await hall.to(0.6)
        assert "hands empty for 0.83 s" in hall.text


async def test_on_the_run_cadence_and_pace_are_told(desk: Desk, press: Press) -> None:
    """By hand: 240 throws a minute at one a step, steps of 0.8 m: 192 m a minute, 11.5 km/h, 1000/192 = 5:12.5 a km."""
    async with practising(desk, press, "3 cascade on the run") as hall:
        assert "240 steps/min, 11.5 km/h, 5:12/km" in hall.text


@pytest.mark.parametrize("pattern", ["[43]23", "([44],2)"])
async def test_brackets_are_shown_as_they_are(desk: Desk, press: Press, pattern: str) -> None:
    async with practising(desk, press, pattern) as hall:
        assert pattern in hall.text.splitlines()[0]


# -- what is seen ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "pattern"),
    [
        ((80, 24), "3"),
        ((80, 24), "<3p 3|3p 3>"),
        ((80, 24), "123456789"),
        ((60, 20), "(4x,2x)"),
        ((60, 20), "<3p 3|3p 3>"),
        ((60, 20), "123456789"),
        ((120, 40), "531"),
    ],
)
async def test_nothing_that_matters_is_cut(desk: Desk, press: Press, size: tuple[int, int], pattern: str) -> None:
    async with practising(desk, press, pattern, size) as hall:
        rows = hall.text.splitlines()
        assert len(rows) <= size[1]
        assert max(map(len, rows)) <= size[0]
        for text in (
            "READY   press SPACE to start",
            "q leave",
            "? help",
            "240 beats/min",
            "dwell 0.67",
            "flash",
            "qualify",
        ):
            assert text in hall.text, text
        goals = hall.screen.session.goals
        assert f"0/{goals.flash}" in hall.text
        assert f"0/{goals.qualify}" in hall.text
        for label in (
            ("RIGHT", "LEFT") if hall.screen.session.score.pattern.jugglers == 1 else ("1 R", "1 L", "2 R", "2 L")
        ):
            assert label in hall.text
        await hall.run(1.0, 6.0)
        assert "ready again" in hall.text
        assert " drop" in hall.text, "this session's tries"


@pytest.mark.parametrize(("size", "rows"), [((80, 24), 7), ((60, 20), 4), ((120, 40), 15)])
async def test_the_count_is_as_large_as_its_room(desk: Desk, press: Press, size: tuple[int, int], rows: int) -> None:
    async with practising(desk, press, "3", size) as hall:
        left = [line[: size[0] - 37] for line in hall.text.splitlines()[4:]]
        assert sum("█" in line or "▀" in line for line in left if "RIGHT" not in line and "LEFT" not in line) >= rows


# -- the far view ---------------------------------------------------------------------------------------------

SCREEN_MM = 180
"""How high the picture of a 13-inch laptop is, near enough."""

LETTER_MM = 4000 * math.tan(math.radians(5 / 60))
"""What an eye of normal sight can just read at 4 m: a letter of 5 minutes of arc (ISO 8596, Snellen's letters)."""

EASILY = 3
"""Three times that is read at a glance, and with less than normal sight (common practice)."""


def drawn_rows(widget: BigNumber) -> int:
    """How many rows high the shapes in a widget are."""
    return sum(bool(widget.render_line(y).text.strip()) for y in range(widget.size.height))


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60), (250, 70)])
async def test_the_far_view_can_be_read_from_four_metres(desk: Desk, press: Press, size: tuple[int, int]) -> None:
    async with practising(desk, press, "531", size) as hall:
        await hall.pilot.press("f")
        count, word = hall.screen.query_one("#count", BigNumber), hall.screen.query_one("#word", BigWord)
        for text in ("READY", "COUNT-IN", "QUALIFY", "COLLECTED"):
            word.show(text, "plain")
            assert drawn_rows(word) / size[1] * SCREEN_MM >= EASILY * LETTER_MM, text
        for text in ("0", "28", "128", "1280"):
            count.show(text, "plain")
            assert drawn_rows(count) / size[1] * SCREEN_MM >= 2 * EASILY * LETTER_MM, text
        for text in ("press SPACE to start", "0/3", "0/6", "q leave", "? help", "f far"):
            assert text in hall.text, text
        assert len(hall.text.splitlines()) <= size[1]


async def test_the_far_view_tells_the_state_and_each_goal_and_the_pedal_works(desk: Desk, press: Press) -> None:
    async with practising(desk, press, "531") as hall:
        await hall.press("f", 0.5)
        word = hall.screen.query_one("#word", BigWord)
        seen = [word.text]
        await hall.press("space", 1.0)
        count = hall.screen.query_one("#count", BigNumber)
        assert count.text == "4"
        for second in range(100):
            hall.pass_time(1.0 + second / 20)
            if word.text != seen[-1]:
                seen.append(word.text)
        await hall.press("up", 6.0)
        await hall.press("space", 6.1)
        await hall.to(7.0)
        assert [*seen, word.text] == ["READY", "COUNT-IN", "GO", "FLASH", "QUALIFY", "DROP"]
        assert hall.screen.session.tempo_bpm == TEMPO_BPM + 5
        assert count.text == str(desk.journal.attempts[0].catches)
        await hall.pilot.click("#word")
        assert hall.state is State.COUNT_IN
        assert "beats/min" not in hall.text
        await hall.press("f", 7.2)
        assert "beats/min" in hall.text


async def test_the_far_view_shows_the_count_being_typed(desk: Desk, press: Press) -> None:
    desk.settings = replace(desk.settings, counted_by="hand")
    async with practising(desk, press) as hall:
        await hall.press("f", 0.5)
        await hall.run(1.0, 5.0)
        await hall.press("1", 6.0)
        await hall.press("7", 6.1)
        await hall.to(6.2)
        assert hall.screen.query_one("#word", BigWord).text == "TYPE"
        assert hall.screen.query_one("#count", BigNumber).text == "17"


async def test_picture_far(desk: Desk, press: Press) -> None:
    """You should see: QUALIFY in large letters, a 6 as high as there is room, both bars, what to press, the keys."""
    async with practising(desk, press, "531") as hall:
        await hall.press("f", 0.5)
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 1.7)
        assert_as_pictured(hall.pilot.app, "practice-far-80x24")


async def test_a_tiny_terminal_does_no_harm(desk: Desk, press: Press) -> None:
    async with practising(desk, press, "531") as hall:
        for turn, size in enumerate([(1, 1), (2, 2), (10, 3), (37, 8), (80, 1), (80, 24)]):
            await hall.pilot.resize_terminal(*size)
            await hall.run(1.0 + 10 * turn, 5.0 + 10 * turn)
        assert len(desk.journal.attempts) == 6
        assert "ready again" in hall.text


async def test_picture_ready(desk: Desk, press: Press) -> None:
    """You should see: 531, READY, a large 0, both bars empty, what each hand throws first, the keys."""
    async with practising(desk, press, "531") as hall:
        assert_as_pictured(hall.pilot.app, "practice-ready-80x24")


async def test_picture_running(desk: Desk, press: Press) -> None:
    """You should see: GO and what to press, a large 8, flash and qualify reached, the throws of now at the left."""
    async with practising(desk, press, "531") as hall:
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 2.45)
        assert_as_pictured(hall.pilot.app, "practice-running-80x24")


async def test_picture_rest(desk: Desk, press: Press) -> None:
    """You should see: DROP and when it is ready again, the count of the try, both tries with the last one first."""
    async with practising(desk, press, "531") as hall:
        await hall.run(1.0, 4.0)
        await hall.to(10)
        await hall.run(10.0, 15.0, 15.2)
        assert_as_pictured(hall.pilot.app, "practice-rest-80x24")


async def test_picture_small(desk: Desk, press: Press) -> None:
    """You should see the same as on a larger screen, only smaller: nothing is missing."""
    async with practising(desk, press, "(4x,2x)", (60, 20)) as hall:
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 1.0)
        assert_as_pictured(hall.pilot.app, "practice-running-60x20")


def test_a_choice_needs_no_entry() -> None:
    assert Choice(parse_any("531"), None).entry is None


async def test_passing_who_dropped_is_noted_by_a_key(desk: Desk, press: Press) -> None:
    async with practising(desk, press, "<3p 3|3p 3>") as hall:
        await hall.press("j", 0.5)
        assert "Who dropped is noted of a passing pattern" in hall.text
        await hall.run(1.0, 6.0)
        await hall.press("j", 7.5)
        await hall.press("j", 7.6)
        assert "juggler 2 dropped" in " ".join(hall.text.split())
        assert desk.journal.attempts[0].note == "juggler 2 dropped"
