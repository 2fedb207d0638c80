"""The practice screen: presses with stamps of their own, counting, keys while it runs."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.dawn import DAWN
from tests.screens.conftest import Cables
from tests.screens.mouse import click
from tests.screens.picture import shown
from tests.screens.practising import FIRST_BEAT_S, TEMPO_BPM, Press, practising
from trainer.audio.performance import Performance
from trainer.library.catalogue import Choice
from trainer.practice.run import RunState
from trainer.records.attempt import CountedBy, Ended
from trainer.screens.app import TrainerApp
from trainer.screens.help import HelpScreen
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting
from trainer.session.tries import Tries
from trainer.siteswap.families import parse_any

# -- the pedal ------------------------------------------------------------------------------------------------


async def test_presses_count_from_their_own_time_however_late_they_are_handled(sitting: Sitting, press: Press) -> None:
    """3 at 240 a minute: catch k falls (k - 1 + 5/3) beats after the first throw; 0.3 s are the reaction."""
    async with practising(sitting, press) as hall:
        await hall.run(1.0, 1.0 + FIRST_BEAT_S + 3.05)
        expected = int((3.05 - 0.3) * 4 - 5 / 3) + 1 - 1  # the last one due was missed
        (attempt,) = sitting.tries.attempts
        assert (attempt.ended, attempt.catches) == (Ended.DROP, expected)
        assert "drop" in hall.text
        await hall.press("space", 11.0)
        await hall.to(18.0)
        await press(hall.pilot, "space", 11.0 + FIRST_BEAT_S + 3.05)
        await hall.to(19.0)
        assert sitting.tries.attempts[1].catches == expected
        await hall.run(31.0, 35.0, 35.2)
        assert sitting.tries.attempts[2].ended is Ended.COLLECTED, "two quick presses are a clean finish"
        assert "COLLECTED" in hall.text
        await hall.press("space", 41.0)
        await hall.press("g", 45.0)
        await hall.to(46.0)
        assert "GIVEN UP" in hall.text
        assert sitting.tries.attempts[3].ended is Ended.GIVEN_UP


async def test_a_held_key_is_one_press(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        for at_s in (1.0, *(1.5 + n / 30 for n in range(20))):
            await hall.press("space", at_s)
        assert hall.state is RunState.RUNNING
        assert sitting.tries.attempts == ()


async def test_the_banner_and_the_count_are_a_pedal_for_the_mouse(sitting: Sitting, press: Press) -> None:
    """A press there begins and ends, stamped as its bytes arrive; anywhere else it is none."""
    async with practising(sitting, press) as hall:
        for second, where, state in (
            (1.0, "#facts", RunState.ARMED), (2.0, "#banner", RunState.COUNT_IN), (3.5, "#lanes", RunState.RUNNING),
            (5.0, "#count", RunState.ENDED),
        ):  # fmt: skip
            hall.pass_time(second)
            await click(hall.pilot, where, 1, second, second + 0.1)
            assert hall.state is state, where
        await hall.to(6.0)
        assert sitting.tries.attempts[-1].seconds == pytest.approx(5.0 - (2.0 + FIRST_BEAT_S))


async def test_a_tempo_is_tapped_by_the_seconds_of_its_taps(sitting: Sitting, press: Press) -> None:
    """Five taps half a second apart are 120 beats a minute, however late they are handled."""
    async with practising(sitting, press) as hall:
        await hall.to(5.0)
        for tap in range(5):
            await press(hall.pilot, "t", 1.0 + 0.5 * tap)
        await hall.to(5.1)
        assert hall.screen.session.chosen.tempo_bpm == 120
        assert "120 beats/min by your taps." in hall.text


@pytest.mark.parametrize(("pedal", "button"), [("mouse_left", 1), ("mouse_middle", 2), ("mouse_right", 3)])
async def test_a_pedal_that_clicks_is_heard_wherever_the_mouse_is(
    sitting: Sitting, press: Press, pedal: str, button: int
) -> None:
    sitting.settings = replace(sitting.settings, pedal=pedal)
    async with practising(sitting, press) as hall:
        assert "CLICK to start" in hall.text
        for second, where in ((1.0, "#facts"), (6.0, "#lanes")):
            hall.pass_time(second)
            await click(hall.pilot, where, button, second, second + 0.2)
        await hall.to(7.0)
        assert [attempt.ended for attempt in sitting.tries.attempts] == [Ended.DROP]
        await hall.press("space", 20.0)
        assert hall.state is RunState.ARMED


async def test_a_footswitch_starts_and_ends_a_run_by_the_time_it_was_read(
    sitting: Sitting, press: Press, cables: Cables
) -> None:
    sitting.settings = replace(sitting.settings, pedal="midi_note_36")
    cables.connect("floor board")
    async with practising(sitting, press) as hall:
        assert "MIDI NOTE 36 to start" in hall.text
        for second in (1.0, 6.0):
            hall.pass_time(second)
            cables.opened["floor board"].put(bytes([0x90, 36, 100, 0x80, 36, 0]))
            await hall.pilot.pause()
        await hall.to(7.0)
        assert [(each.ended, each.catches) for each in sitting.tries.attempts] == [(Ended.DROP, 13)]


async def test_a_footswitch_that_is_not_there_is_told_once(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, pedal="midi_note_36")
    async with practising(sitting, press) as hall:
        await hall.to(0.5)
        assert "No MIDI input was found. Connect the footswitch" in hall.text
        await hall.to(14.0)
        assert "No MIDI input" not in hall.text


async def test_where_releases_are_told_quick_taps_count_and_bounces_do_not(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, counted_by=CountedBy.TAPS)
    async with practising(sitting, press) as hall:
        await hall.keys((1.0, "down"), (1.4, "repeat"), (1.43, "repeat"), (1.45, "up"))
        assert hall.state is RunState.COUNT_IN
        for number in range(10):  # 15 a second, each bouncing as it goes down and as it comes up
            at_s = 3.0 + number / 15
            await hall.keys((at_s, "down"), (at_s + 0.002, "up"), (at_s + 0.004, "down"), (at_s + 0.03, "up"))
            await hall.keys((at_s + 0.033, "down"), (at_s + 0.036, "up"))
        await hall.keys((4.0, "down"), (4.5, "repeat"), (4.53, "repeat"), (4.56, "repeat"), (4.6, "up"))
        await hall.to(7.0)
        assert [attempt.catches for attempt in sitting.tries.attempts] == [11]


# -- counting -------------------------------------------------------------------------------------------------


async def test_by_taps_the_count_goes_up_with_each(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, counted_by=CountedBy.TAPS)
    async with practising(sitting, press) as hall:
        await hall.press("space", 1.0)
        for number in range(5):
            await hall.press("space", 3.0 + number)
        assert hall.screen.session.view(7.0).catches == 5
        assert "3/3 ✓" in hall.text
        assert "5/6" in hall.text
        await hall.to(20)
        assert sitting.tries.attempts[0].catches == 5


async def test_by_hand_the_count_is_typed_and_the_pedal_leaves_it_out(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, counted_by=CountedBy.HAND)
    async with practising(sitting, press) as hall:
        await hall.run(1.0, 5.0)
        assert "TYPE THE CATCHES" in hall.text
        for key in ("1", "9", "backspace", "4", "enter"):
            await hall.press(key, 6.1)
        assert [attempt.catches for attempt in sitting.tries.attempts] == [14]
        await hall.run(20.0, 25.0)
        await hall.press("space", 29.0)
        assert [attempt.catches for attempt in sitting.tries.attempts] == [14, None]
        assert hall.state is RunState.COUNT_IN
        await hall.press("space", 33.0)
        assert hall.state is RunState.ENDED
        for key in ("1", "2", "enter"):  # while a second press could still say that all was collected
            await hall.press(key, 33.05)
        assert [attempt.catches for attempt in sitting.tries.attempts] == [14, None, 12]
        assert sitting.tries.attempts[2].ended is Ended.DROP


async def test_plus_and_minus_set_the_last_count_right(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.run(1.0, 6.0)
        before = sitting.tries.attempts[0].catches
        for key in ("plus", "plus", "minus"):
            await hall.press(key, 7.1)
        assert before is not None
        assert sitting.tries.attempts[0].catches == before + 1
        await hall.to(7.2)
        assert f"{before + 1}  drop" in hall.text


# -- keys while it runs ---------------------------------------------------------------------------------------


async def test_x_marks_a_try_as_not_fair_and_u_takes_changes_back_one_by_one(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.press("u", 0.1)
        assert "no change to undo" in hall.text
        await hall.run(0.5, 0.5 + FIRST_BEAT_S + 3)
        catches = sitting.tries.attempts[0].catches
        assert catches is not None
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
        assert [(each.catches, each.fair) for each in sitting.tries.attempts] == [(catches, True)]


async def test_tempo_dwell_and_kit_change_while_it_runs(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.press("space", 1.0)
        await hall.to(4.0)
        for key in ("up", "up", "down", "right", "k"):
            await hall.press(key, 4.0)
        await hall.to(4.1)
        scene = sitting.transport.scene
        assert isinstance(scene, Performance)
        assert scene.tempo.segments[-1].tempo_bpm == TEMPO_BPM + 5
        assert scene.score.dwell > Fraction(2, 3)
        assert scene.bank.kit.name != "kitchen"
        assert hall.state is RunState.RUNNING
        assert "245 beats/min" in hall.text


async def test_the_tempo_and_the_dwell_stay_within_what_can_be_practised(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        session = hall.screen.session
        for key, near_bpm, end_bpm in (("down", 3, 1), ("up", 1999, 2000)):
            session.set_tempo(Fraction(near_bpm))
            for _ in range(3):
                await hall.press(key, 0.5)
            assert session.chosen.tempo_bpm == end_bpm
        for key, end in (("right", Fraction(19, 20)), ("left", Fraction(1, 20))):
            for _ in range(20):
                await hall.press(key, 0.5)
            assert session.chosen.score.dwell == end


async def test_another_way_of_counting_while_it_runs_is_for_the_next_try(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.press("space", 1.0)
        await hall.press("c", 4.0)
        assert "next try" in " ".join(hall.text.split())
        await hall.run(5.0, 5.0)
        assert sitting.tries.attempts[0].counted_by == "beat"
        await hall.to(12.0)
        assert "taps" in hall.text


async def test_escape_ends_the_practice_and_keeps_the_run(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.press("space", 1.0)
        await hall.to(5.0)
        await hall.pilot.press("escape")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, PatternsScreen)
        assert [attempt.ended for attempt in sitting.tries.attempts] == [Ended.GIVEN_UP]


async def test_help_opens_over_the_run_and_the_pedal_is_explained(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press) as hall:
        await hall.pilot.press("question_mark")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, HelpScreen)
        text = "\n".join(shown(hall.pilot.app))
        assert "SPACE" in text
        assert "pedal" in text
        await hall.pilot.press("escape")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, PracticeScreen)


async def test_what_is_wrong_with_the_logbook_is_told_and_the_practice_goes_on(sitting: Sitting, press: Press) -> None:
    sitting.tries = Tries(None, DAWN)
    sitting.tries.trouble = "The disk was full."
    async with practising(sitting, press) as hall:
        await hall.run(1.0, 5.0)
        assert "Not saved: The disk was full." in hall.text
        assert len(sitting.tries.attempts) == 1


async def test_a_ceiling_that_is_too_low_is_told(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, ceiling_m=2.0)
    async with practising(sitting, press, "97531") as hall:
        assert "above your ceiling of 2 m" in hall.text
        # h = g t²/8: 2 m take 1.2773 s; a 9 held 2/3 of a cycle flies 7 2/3 beats, as long at 360.1 a minute;
        # at 240 it flies 1.2773 · 4 = 5.109 beats only if it is held for 3.89, which is more than the two there are.
        assert "fits from 361/min" in hall.text
        assert "or dwell" not in hall.text
    sitting.settings = replace(sitting.settings, ceiling_m=1.0)
    async with practising(sitting, press, "5") as hall:
        # 1 m: 0.9031 s, and 3 2/3 beats last that long at 243.6 a minute; at 240 it is 3.6126 beats: dwell 0.694.
        assert "fits from 244/min, or dwell 0.70" in hall.text


async def test_the_time_of_empty_hands_is_told_and_follows_the_tempo(sitting: Sitting, press: Press) -> None:
    """By hand: of 55500 all hands are empty for 5/3 beats; at 240 a minute that is 0.42 s, at 120 0.83 s."""
    async with practising(sitting, press, "55500") as hall:
        assert "hands empty for 0.42 s" in hall.text
        await hall.press("h", 0.5)
        await hall.to(0.6)
        assert "hands empty for 0.83 s" in hall.text


async def test_on_the_run_cadence_and_pace_are_told(sitting: Sitting, press: Press) -> None:
    """By hand: 240 throws a minute at one a step, steps of 0.8 m: 192 m a minute, 11.5 km/h, 1000/192 = 5:12.5 a km."""
    async with practising(sitting, press, "3 cascade on the run") as hall:
        assert "240 steps/min, 11.5 km/h, 5:12/km" in hall.text


async def test_brackets_are_shown_as_they_are(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press, "[43]23") as hall:
        assert "[43]23" in hall.text.splitlines()[0]
        assert isinstance(hall.pilot.app, TrainerApp)
        hall.pilot.app.practise(sitting.library.to_choice("([44],2)"), None)
        await hall.pilot.pause()
        assert "([44],2)" in hall.text.splitlines()[0]


def test_a_choice_needs_no_entry() -> None:
    assert Choice(parse_any("531"), None).entry is None


async def test_passing_who_dropped_is_noted_by_a_key(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press, "<3p 3|3p 3>") as hall:
        await hall.press("j", 0.5)
        assert "Who dropped is noted of a passing pattern" in hall.text
        await hall.run(1.0, 6.0)
        await hall.press("j", 7.5)
        await hall.press("j", 7.6)
        assert "juggler 2 dropped" in " ".join(hall.text.split())
        assert sitting.tries.attempts[0].note == "juggler 2 dropped"
