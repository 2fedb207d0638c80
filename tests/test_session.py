"""A session: timed presses give exactly the catches that the formulas say, and every attempt lands in the logbook."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.practice.hall import BANK, LATENCY_S, MORNING, Hall
from trainer.audio.hearing import Hear, Hearing
from trainer.audio.outputs import RATE_HZ
from trainer.errors import TrainerError
from trainer.logbook.records import CountedBy, Ended, TapsUnit
from trainer.practice.run import COLLECT_S, SETTLE_S, State
from trainer.way import Way

THROWN = {
    # pattern → period in beats, and (beat, value) of each throw that leaves a hand; written down by hand
    "3": (1, [(0, 3)]),
    "531": (3, [(0, 5), (1, 3), (2, 1)]),
    "(4,4)": (2, [(0, 4), (0, 4)]),
    "(4x,2x)": (2, [(0, 4), (0, 2)]),
    "[43]23": (3, [(0, 4), (0, 3), (2, 3)]),
    "<3p 3|3p 3>": (2, [(0, 3), (1, 3), (0, 3), (1, 3)]),
}
DWELL = Fraction(2, 3)
REACTION_S = 0.3
BOUNCES_S = (0.004, 0.009)


def catches_due(pattern: str, beat: float) -> int:
    """Catches up to a beat: model, catch at t + n − r · min(n, 2), and again each period."""
    period, throws = THROWN[pattern]
    first = [at + value - DWELL * min(value, 2) for at, value in throws]
    return sum(int((Fraction(beat) - each) // period) + 1 for each in first if each <= beat)


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    yield from opened(Hall(tmp_path, "3"))


def opened(hall: Hall) -> Iterator[Hall]:
    yield hall
    hall.logbook.close()


def begun(folder: Path, pattern: str = "3", tempo_bpm: int = 240, way: Way | None = None) -> tuple[Hall, float]:
    """A hall in which a run was started at 1 s, and the second its first throw is heard."""
    hall = Hall(folder, pattern, tempo_bpm, way)
    hall.press(1.0)
    return hall, hall.first_beat_s(1.0)


# -- by the beat ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tempo_bpm", [60, 172, 480])
@pytest.mark.parametrize("pattern", THROWN)
def test_by_the_beat_the_catches_are_those_due_at_the_press_less_reaction_and_latency(
    tmp_path: Path, pattern: str, tempo_bpm: int
) -> None:
    hall, first_s = begun(tmp_path, pattern, tempo_bpm)
    drop_s = first_s + 4.321
    expected = catches_due(pattern, (drop_s - REACTION_S - first_s) * tempo_bpm / 60)
    hall.press(drop_s)
    hall.to(drop_s + 1)
    collect_from_s = hall.now_s + 3
    hall.press(collect_from_s)
    assert hall.view.state is State.COUNT_IN
    first_s = hall.first_beat_s(collect_from_s)
    collect_s = first_s + 4.321
    hall.press(collect_s, collect_s + 0.2)
    hall.to(collect_s + 1)
    dropped, collected = hall.logged
    assert (dropped.ended, dropped.catches) == (Ended.DROP, max(0, expected - 1))
    assert (collected.ended, collected.catches) == (Ended.COLLECTED, expected)
    assert dropped.seconds == pytest.approx(4.321, abs=1e-3)


def test_an_attempt_in_the_logbook_says_all_about_itself(tmp_path: Path) -> None:
    way = Way(prop="clubs", juggler="Ada of the north hall")  # an invented juggler
    hall, first_s = begun(tmp_path, "531", 240, way)
    hall.press(first_s + 3)
    hall.to(first_s + 4)
    (attempt,) = hall.logged
    assert (attempt.pattern, attempt.objects, attempt.prop, attempt.juggler) == ("531", 3, "clubs", way.juggler)
    assert (attempt.tempo, attempt.dwell, attempt.flash_at, attempt.qualify_at) == (240, DWELL, 3, 6)
    assert (attempt.counted_by, attempt.taps_unit) == (CountedBy.BEAT, None)
    assert attempt.flash
    assert attempt.started_at.utcoffset() == MORNING.utcoffset()
    assert (attempt.started_at - MORNING).total_seconds() == pytest.approx(first_s, abs=0.05)


@pytest.mark.parametrize("reaction_s", [0.0, 0.15, 1.0])
def test_a_slower_reaction_counts_less(tmp_path: Path, reaction_s: float) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Way(reaction_s=reaction_s))
    drop_s = first_s + 5.05
    hall.press(drop_s)
    hall.to(drop_s + 1)
    assert hall.logged[0].catches == catches_due("3", (5.05 - reaction_s) * 4) - 1


def test_a_press_counts_from_its_stamp_however_late_it_is_handled(hall: Hall) -> None:
    hall.press(1.0)
    first_s = hall.first_beat_s(1.0)
    hall.to(first_s + 6.0)
    hall.session.press(first_s + 5.05)
    hall.to(first_s + 7.0)
    assert hall.logged[0].catches == catches_due("3", (5.05 - REACTION_S) * 4) - 1


def test_a_press_at_once_counts_nothing(hall: Hall) -> None:
    hall.press(1.0)
    hall.press(hall.first_beat_s(1.0) + 0.05)
    hall.to(4)
    assert [(attempt.catches, attempt.ended) for attempt in hall.logged] == [(0, Ended.DROP)]


# -- a key as it is: bouncing, repeating ----------------------------------------------------------------------


@pytest.mark.parametrize("pause_s", [0.25, 0.3, 0.41, 0.46, 0.48, 0.5, 0.66])
@pytest.mark.parametrize("rate_hz", [15, 30, 50])
def test_a_pedal_held_at_start_and_end_makes_one_attempt(tmp_path: Path, pause_s: float, rate_hz: int) -> None:
    # the count-in of two beats at 240 lasts 0.55 s: the first beat falls among the repeats
    hall, first_s = begun(tmp_path, "3", 240, Way(count_in_beats=2))
    hall.press(*(1.0 + each for each in BOUNCES_S))
    hall.press(*(1.0 + pause_s + n / rate_hz for n in range(8)))
    drop_s = first_s + 4.05
    hall.press(drop_s, *(drop_s + each for each in BOUNCES_S))
    hall.press(*(drop_s + pause_s + n / rate_hz for n in range(20)))
    hall.to(drop_s + 6)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.catches) == (Ended.DROP, catches_due("3", (4.05 - REACTION_S) * 4) - 1)
    assert hall.view.state is State.ARMED
    assert hall.transport.failure is None


def test_what_sounds_goes_on_after_a_tap_that_is_taken_back(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Way(count_in_beats=0))
    hall.to(first_s + 0.01)
    hall.press(1.3)  # a first repeat, for a moment taken for the end
    assert hall.view.state is State.ENDED
    hall.to(1.33)
    assert hall.performance.stop_frame is not None
    hall.press(1.333)
    assert hall.view.state is State.RUNNING
    hall.to(1.4)
    assert hall.performance.stop_frame is None


def test_the_end_key_ends_a_run_and_starts_none(hall: Hall) -> None:
    hall.session.press_end(0.5)
    assert hall.view.state is State.ARMED
    hall.press(1.0)
    end_s = hall.first_beat_s(1.0) + 3
    hall.to(end_s)
    hall.session.press_end(end_s)
    hall.to(end_s + 0.2)
    hall.session.press_end(end_s + 0.2)
    hall.to(end_s + 1)
    assert hall.logged[0].ended is Ended.COLLECTED


# -- by taps --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pattern", THROWN)
@pytest.mark.parametrize("unit", TapsUnit)
def test_by_taps_each_tap_counts_its_catches_and_quiet_ends_the_run(
    tmp_path: Path, pattern: str, unit: TapsUnit
) -> None:
    period, throws = THROWN[pattern]
    per_tap = {TapsUnit.CATCH: 1, TapsUnit.RIGHT: 2, TapsUnit.ROUND: len(throws)}[unit]
    hall, first_s = begun(tmp_path, pattern, 120, Way(counted_by=CountedBy.TAPS, taps_unit=unit))
    every_s = float(Fraction(per_tap * period, len(throws)) * 60 / 120)
    taps_s = [first_s + 0.7 + n * every_s for n in range(7)]
    for tap_s in taps_s:
        hall.press(tap_s, *(tap_s + each for each in BOUNCES_S))
    assert hall.view.state is State.RUNNING
    assert hall.view.catches == 7 * per_tap
    hall.to(taps_s[-1] + 2.5 * every_s + 4)
    (attempt,) = hall.logged
    assert (attempt.catches, attempt.ended, attempt.taps_unit) == (7 * per_tap, Ended.DROP, unit)
    assert attempt.seconds == pytest.approx(taps_s[-1] - first_s, abs=1e-3)


def test_by_taps_a_held_pedal_is_one_catch(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 60, Way(counted_by=CountedBy.TAPS))
    for tap_s in (first_s + 1, first_s + 3, first_s + 5):
        hall.press(tap_s, *(tap_s + 0.4 + n / 30 for n in range(20)))
    hall.to(first_s + 12)
    assert [attempt.catches for attempt in hall.logged] == [3]


def test_by_taps_a_pedal_held_from_the_start_on_leaves_the_quiet_as_it_is(tmp_path: Path) -> None:
    # the first beat falls between the first repeat (1.5 s) and the second (1.56 s), which takes it back
    hall, first_s = begun(tmp_path, "3", 240, Way(counted_by=CountedBy.TAPS, count_in_beats=2))
    assert 1.5 < first_s < 1.56
    hall.press(1.5, 1.56, 1.6, first_s + 2, first_s + 2.5)
    assert hall.view.state is State.RUNNING
    hall.to(8)
    assert [attempt.catches for attempt in hall.logged] == [2]


def test_by_taps_a_run_without_a_tap_is_given_up(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Way(counted_by=CountedBy.TAPS))
    hall.to(first_s + 8)
    assert [(attempt.catches, attempt.ended) for attempt in hall.logged] == [(0, Ended.GIVEN_UP)]


# -- by hand --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pattern", THROWN)
def test_by_hand_the_count_is_what_is_typed(tmp_path: Path, pattern: str) -> None:
    hall, first_s = begun(tmp_path, pattern, 240, Way(counted_by=CountedBy.HAND))
    hall.press(first_s + 3)
    hall.to(first_s + 4)
    assert hall.view.typed == ""
    assert hall.logged[0].catches is None
    for digit in "129":
        hall.session.last_try.type_digit(digit)
    hall.session.last_try.erase_digit()
    hall.session.last_try.confirm()
    assert hall.view.typed is None
    assert [(attempt.catches, attempt.counted_by) for attempt in hall.logged] == [(12, CountedBy.HAND)]


def test_the_last_count_is_corrected_up_and_down_and_never_below_nothing(hall: Hall) -> None:
    hall.session.last_try.add(1)
    hall.press(1.0)
    drop_s = hall.first_beat_s(1.0) + 1.05
    hall.press(drop_s)
    hall.session.last_try.add(1)  # while it is not written down there is nothing to correct
    hall.to(drop_s + 1)
    before = hall.logged[0].catches
    assert before == catches_due("3", 3.0) - 1
    for difference in (1, 1, -5):
        hall.session.last_try.add(difference)
    assert hall.logged[0].catches == 0
    assert [each.before for each in hall.logbook.corrections(1)] == [before, before + 1, before + 2]


def test_while_a_second_run_ends_the_first_is_not_corrected(hall: Hall) -> None:
    hall.press(1.0, 6.0)
    hall.to(10)
    hall.press(10, 15.0)
    assert hall.view.state is State.ENDED
    first = hall.logged[0].catches
    hall.session.last_try.add(1)
    hall.to(16)
    assert hall.logged[0].catches == first


def test_a_count_typed_wrongly_is_undone_and_asked_for_again(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Way(counted_by=CountedBy.HAND))
    hall.press(first_s + 3)
    hall.to(first_s + 4)
    last = hall.session.last_try
    last.type_digit("9")
    last.confirm()
    assert (hall.view.typed, hall.view.best) == (None, 9)
    last.undo()
    assert (hall.view.typed, hall.view.best, hall.logged[0].catches) == ("", None, None)
    last.type_digit("8")
    last.confirm()
    assert hall.logged[0].catches == 8
    assert [(each.before, each.after) for each in hall.logbook.corrections(1)] == [(None, 9), (9, None), (None, 8)]


def test_a_try_marked_as_not_fair_is_no_best_until_it_is_a_fair_one_again(hall: Hall) -> None:
    hall.press(1.0, 6.0)
    hall.to(7)
    best = hall.view.best
    assert best
    hall.session.last_try.toggle_fair()
    assert (hall.logged[0].fair, hall.view.best, hall.logged[0].catches) == (False, None, best)
    hall.session.last_try.toggle_fair()
    assert (hall.logged[0].fair, hall.view.best) == (True, best)
    hall.session.last_try.undo()
    hall.session.last_try.undo()
    assert (hall.logged[0].fair, hall.view.best) == (True, best)
    assert hall.session.last_try.undo() is None


def test_while_a_run_is_under_way_nothing_is_set_right_marked_or_undone(hall: Hall) -> None:
    last = hall.session.last_try
    assert last.toggle_fair() is last.undo() is last.add(1) is last.confirm() is None
    hall.press(1.0, 6.0)
    hall.to(7)
    last.add(1)
    before = hall.logged
    hall.press(10.0)
    hall.to(13)
    assert hall.view.state is State.RUNNING
    assert last.toggle_fair() is last.undo() is last.add(1) is last.confirm() is None
    assert hall.logged == before


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
    assert not np.concatenate(hall.output.played[-50:]).any()
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
    assert hall.session.tempo_bpm == 240


def test_another_way_of_counting_waits_for_the_next_attempt(hall: Hall) -> None:
    hall.press(1.0)
    hall.session.set_way(Way(counted_by=CountedBy.TAPS))
    drop_s = hall.first_beat_s(1.0) + 2
    hall.press(drop_s)
    hall.to(drop_s + 4)
    assert hall.logged[0].counted_by is CountedBy.BEAT
    assert hall.session.way.counted_by is CountedBy.TAPS
    hall.press(hall.now_s, hall.now_s + 3, hall.now_s + 3.5)
    hall.to(hall.now_s + 3)
    assert [(each.counted_by, each.catches) for each in hall.logged[1:]] == [(CountedBy.TAPS, 2)]


def test_another_way_of_counting_asked_for_in_a_count_in_that_is_given_up_is_the_next_attempts(hall: Hall) -> None:
    hall.press(1.0)
    hall.session.set_way(Way(counted_by=CountedBy.TAPS))
    hall.session.give_up(hall.now_s)
    assert hall.session.way.counted_by is CountedBy.TAPS


def test_another_kit_and_another_dwell_take_effect_while_it_runs(hall: Hall) -> None:
    hall.press(1.0)
    hall.to(3)
    before = [hall.performance.frame_at(beat) for beat in range(20)]
    hall.session.set_dwell(Fraction(1, 2))
    hall.session.set_bank(other := type(BANK)(BANK.kit, RATE_HZ))
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
    assert (hall.view.state, hall.logged) == (State.ARMED, ())
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
    assert not np.concatenate(hall.output.played[-100:]).any()


def test_leaving_just_after_the_end_keeps_the_end(hall: Hall) -> None:
    hall.press(1.0, 5.0)
    hall.session.leave(5.1)
    assert [attempt.ended for attempt in hall.logged] == [Ended.DROP]


def test_each_attempt_is_in_the_logbook_before_the_next_can_start(hall: Hall) -> None:
    for turn in range(3):
        start_s = 1.0 + turn * 10
        hall.press(start_s, start_s + 5)
        hall.to(start_s + 5 + SETTLE_S + 0.05)
        assert hall.view.state is State.REST
        assert len(hall.logged) == turn + 1
    assert [attempt.id for attempt in hall.logged] == [1, 2, 3]


def test_a_rest_ends_by_itself_or_with_a_press(hall: Hall) -> None:
    hall.press(1.0, 5.0)
    hall.to(5.0 + SETTLE_S + 1)
    assert hall.view.counts_down_s == pytest.approx(1.0, abs=0.01)
    hall.press(hall.now_s)
    assert hall.view.state is State.ARMED
    hall.press(8.0, 12.0)
    hall.to(12.0 + SETTLE_S + 2.05)
    assert hall.view.state is State.ARMED


def test_a_pattern_of_empty_hands_cannot_be_started(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "0")
    with pytest.raises(TrainerError, match="nothing to throw"):
        hall.press(1.0)
    hall.to(5)
    assert (hall.view.state, hall.logged) == (State.ARMED, ())


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
    way = Way(counted_by=CountedBy.TAPS, taps_unit=TapsUnit.RIGHT, hearing=Hearing(Hear.BOTH))
    hall, first_s = begun(tmp_path, "3", 120, way)
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
    assert [each.field for each in hall.logbook.corrections(1)] == ["note"] * 4


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
