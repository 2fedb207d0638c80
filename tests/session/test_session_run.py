"""A session while a run is under way: the sound fails, tempo and counting change, it ends, goals are heard."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.logbook.tried import uid_of
from tests.session.begun import REACTION_S, begun, catches_due
from tests.session.hall import BANK, LATENCY_S, Hall
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.practice.run import COLLECT_S, SETTLE_S, RunState
from trainer.records.attempt import CountedBy, Ended, TapsUnit


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    hall = Hall(tmp_path, "3")
    yield hall
    hall.logbook.close()


# -- the sound fails ------------------------------------------------------------------------------------------


class Torn(dict[object, object]):
    """A bank without a sound in it: rendering with it fails."""

    rate_hz = RATE_HZ


def tear(hall: Hall) -> None:
    """From the next block on no sound can be made."""
    hall.transport.post(lambda scene, _: scene.with_bank(Torn()))  # type: ignore[attr-defined]


def test_when_the_sound_fails_the_run_is_counted_by_the_clock_to_its_end(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240)
    hall.to(first_s + 1)
    tear(hall)
    hall.to(first_s + 2)
    assert hall.transport.failure is not None
    assert not np.concatenate(hall.output.played[-15:]).any()
    assert hall.view.catches == catches_due("3", 2 * 4)
    hall.press(first_s + 4.05)
    hall.to(first_s + 5)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.catches) == (Ended.DROP, catches_due("3", (4.05 - REACTION_S) * 4) - 1)
    assert "the sound stopped" in attempt.note
    assert "by the clock" in attempt.note


def test_with_the_sound_gone_the_tempo_still_changes_and_the_next_try_is_counted_too(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240)
    hall.to(first_s + 1)
    tear(hall)
    hall.to(first_s + 2.1)
    hall.session.set_tempo(Fraction(120))
    hall.press(first_s + 6.1)
    hall.to(first_s + 10)
    start_s = hall.now_s
    hall.press(start_s)
    next_s = hall.first_beat_s(start_s)
    hall.press(next_s + 4.05)
    hall.to(next_s + 5)
    # 240 a minute up to the whole beat after 2.1 s and what is rendered ahead, then 120
    turn = -(-(2.1 + LATENCY_S) * 4 // 1)
    beat = turn + (6.1 - REACTION_S - turn / 4) * 2
    assert [attempt.catches for attempt in hall.logged] == [
        catches_due("3", beat) - 1,
        catches_due("3", (4.05 - REACTION_S) * 2) - 1,
    ]


# -- changes while it runs ------------------------------------------------------------------------------------


def test_a_tempo_change_moves_no_beat_before_it(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "531", 172)
    hall.to(first_s + 3.3)
    before, rendered = hall.performance, hall.transport.rendered_frame
    hall.session.set_tempo(Fraction(300))
    hall.to(first_s + 3.4)
    after = hall.performance
    last = int(before.beat_at(rendered))
    assert [after.frame_at(beat) for beat in range(-4, last + 1)] == [
        before.frame_at(beat) for beat in range(-4, last + 1)
    ]
    gaps = np.diff([after.frame_at(beat) for beat in range(last + 2, last + 12)])
    assert set(gaps) == {round(60 / 300 * RATE_HZ)}
    drop_s = first_s + 8
    hall.press(drop_s)
    hall.to(drop_s + 1)
    (attempt,) = hall.logged
    # by hand: what is rendered is LATENCY_S ahead of what is heard; 172 a minute up to the next whole beat, then 300
    turn = -(-(3.3 + LATENCY_S) * 172 // 60)
    beat = turn + (drop_s - REACTION_S - first_s - turn * 60 / 172) * 300 / 60
    assert attempt.catches == catches_due("531", beat) - 1
    assert attempt.tempo == 172
    assert "300" in attempt.note


def test_a_tempo_out_of_reach_is_refused_and_nothing_changes(hall: Hall) -> None:
    for tempo in (Fraction(0), Fraction(-1), Fraction(10**9)):
        with pytest.raises(TrainerError):
            hall.session.set_tempo(tempo)
    assert hall.session.chosen.tempo_bpm == 240


def test_another_way_of_counting_waits_for_the_next_attempt(hall: Hall) -> None:
    hall.press(1.0)
    hall.session.use(Settings(counted_by=CountedBy.TAPS), BANK)
    drop_s = hall.first_beat_s(1.0) + 2
    hall.press(drop_s)
    hall.to(drop_s + 4)
    assert hall.logged[0].counted_by is CountedBy.BEAT
    assert hall.session.settings.counted_by is CountedBy.TAPS
    hall.press(hall.now_s, hall.now_s + 3, hall.now_s + 3.5)
    hall.to(hall.now_s + 3)
    assert [(each.counted_by, each.catches) for each in hall.logged[1:]] == [(CountedBy.TAPS, 2)]


def test_another_way_of_counting_asked_for_in_a_count_in_that_is_given_up_is_the_next_attempts(hall: Hall) -> None:
    hall.press(1.0)
    hall.session.use(Settings(counted_by=CountedBy.TAPS), BANK)
    hall.session.give_up(hall.now_s)
    assert hall.session.settings.counted_by is CountedBy.TAPS


def test_another_kit_and_another_dwell_take_effect_while_it_runs(hall: Hall) -> None:
    hall.press(1.0)
    hall.to(3)
    before = [hall.performance.frame_at(beat) for beat in range(20)]
    hall.session.set_dwell(Fraction(1, 2))
    hall.session.use(hall.settings, other := type(BANK)(BANK.kit, RATE_HZ))
    hall.to(3.1)
    assert hall.performance.bank is other
    assert hall.performance.score.dwell == Fraction(1, 2)
    assert [hall.performance.frame_at(beat) for beat in range(20)] == before


# -- ends ------------------------------------------------------------------------------------------------------


def test_a_run_given_up_is_logged_as_that_and_a_count_in_leaves_no_trace(hall: Hall) -> None:
    hall.press(1.0)
    hall.to(1.3)
    hall.session.give_up(hall.now_s)
    hall.to(1.4)
    assert (hall.view.state, hall.logged) == (RunState.ARMED, ())
    assert hall.performance.stop_frame is not None
    hall.press(2.0)
    give_up_s = hall.first_beat_s(2.0) + 3
    hall.to(give_up_s)
    hall.session.give_up(give_up_s)
    hall.session.give_up(give_up_s)
    hall.to(give_up_s + 1)
    assert [attempt.ended for attempt in hall.logged] == [Ended.GIVEN_UP]


def test_leaving_in_the_middle_of_a_run_logs_it_once_as_given_up(hall: Hall) -> None:
    hall.press(1.0)
    hall.to(5)
    hall.session.leave(hall.now_s)
    hall.session.leave(hall.now_s)
    assert [attempt.ended for attempt in hall.logged] == [Ended.GIVEN_UP]
    hall.to(8)
    assert not np.concatenate(hall.output.played[-30:]).any()


def test_leaving_just_after_the_end_keeps_the_end(hall: Hall) -> None:
    hall.press(1.0, 5.0)
    hall.session.leave(5.1)
    assert [attempt.ended for attempt in hall.logged] == [Ended.DROP]


def test_each_attempt_is_in_the_logbook_before_the_next_can_start(hall: Hall) -> None:
    for turn in range(3):
        start_s = 1.0 + turn * 10
        hall.press(start_s, start_s + 5)
        hall.to(start_s + 5 + SETTLE_S + 0.05)
        assert hall.view.state is RunState.REST
        assert len(hall.logged) == turn + 1
    assert [attempt.id for attempt in hall.logged] == [1, 2, 3]


def test_a_rest_ends_by_itself_or_with_a_press(hall: Hall) -> None:
    hall.press(1.0, 5.0)
    hall.to(5.0 + SETTLE_S + 1)
    assert hall.view.counts_down_s == pytest.approx(1.0, abs=0.01)
    hall.press(hall.now_s)
    assert hall.view.state is RunState.ARMED
    hall.press(8.0, 12.0)
    hall.to(12.0 + SETTLE_S + 2.05)
    assert hall.view.state is RunState.ARMED


def test_a_pattern_of_empty_hands_cannot_be_started(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "0")
    with pytest.raises(TrainerError, match="nothing to throw"):
        hall.press(1.0)
    hall.to(5)
    assert (hall.view.state, hall.logged) == (RunState.ARMED, ())


# -- what is heard --------------------------------------------------------------------------------------------


def test_flash_qualify_and_one_more_than_the_best_are_heard_at_their_catch(hall: Hall) -> None:
    hall.press(1.0)
    hall.to(1.1)
    assert hall.performance.goals == ((3, "flash"), (6, "qualify"))
    collect_s = hall.first_beat_s(1.0) + 3.05
    hall.press(collect_s, collect_s + COLLECT_S / 2)
    hall.to(collect_s + 4)
    best = hall.logged[0].catches
    assert best is not None
    assert hall.view.best == best == hall.session.best
    hall.press(hall.now_s)
    hall.to(hall.now_s + 0.1)
    assert hall.performance.goals == ((3, "flash"), (6, "qualify"), (best + 1, "best"))


def test_by_taps_a_goal_is_heard_with_the_tap_that_reaches_it(tmp_path: Path) -> None:
    settings = Settings(counted_by=CountedBy.TAPS, taps_count=TapsUnit.RIGHT, heard="both")
    hall, first_s = begun(tmp_path, "3", 120, settings)
    heard = []
    for number in range(4):
        hall.press(first_s + 1 + number)
        hall.to(first_s + 1.1 + number)
        pressed_frame = round((first_s + 1 + number) * RATE_HZ)
        heard.append([cue.voice.role for cue in hall.performance.cues if cue.at_frame >= pressed_frame])
    assert heard == [[], ["flash"], ["qualify"], []]  # 2, 4, 6 and 8 catches
    assert hall.performance.goals == ()


@pytest.mark.parametrize(("presses", "role"), [((0.0,), "drop"), ((0.0, 0.2), "ended")])
def test_the_end_is_heard(hall: Hall, presses: tuple[float, ...], role: str) -> None:
    hall.press(1.0, *(6.0 + each for each in presses))
    hall.to(6.0 + SETTLE_S + 0.1)
    assert hall.performance.cues[0].voice.role == role


def test_passing_both_jugglers_are_heard_one_pedal_counts_and_who_dropped_can_be_noted(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "<3p 3|3p 3>", 150)
    hall.to(first_s + 3)
    voices = {placed.voice.juggler for placed in hall.performance.placed_events(0, 8) if placed.voice is not None}
    assert voices == {0, 1}
    drop_s = first_s + 4.05
    hall.press(drop_s)  # a drop by either ends it for both
    hall.to(drop_s + 1)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.catches) == (Ended.DROP, catches_due("<3p 3|3p 3>", (4.05 - REACTION_S) * 2.5) - 1)
    for note in ("juggler 1 dropped", "juggler 2 dropped", ""):
        hall.session.last_try.next_dropper()
        assert hall.logged[0].note == note
    hall.session.last_try.undo()
    assert hall.logged[0].note == "juggler 2 dropped"
    assert [each.field for each in hall.logbook.corrections(uid_of(hall.logbook, 1))] == ["note"] * 4


def test_who_dropped_stands_beside_what_else_is_noted_and_alone_there_is_nobody_to_note(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "<3p 3|3p 3>", 150)
    hall.to(first_s + 1)
    hall.session.set_tempo(Fraction(160))
    hall.press(first_s + 3)
    assert hall.session.last_try.next_dropper() is None  # it is not written down yet
    hall.to(first_s + 4)
    hall.session.last_try.next_dropper()
    assert hall.logged[0].note == "tempo changed to 160; juggler 1 dropped"
    (tmp_path / "alone").mkdir()
    alone, first_s = begun(tmp_path / "alone", "3", 240)
    alone.press(first_s + 2)
    alone.to(first_s + 3)
    assert alone.session.last_try.next_dropper() is None
