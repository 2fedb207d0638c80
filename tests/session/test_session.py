"""A session: timed presses give exactly the catches that the formulas say, and every attempt lands in the logbook."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from tests.logbook.tried import uid_of
from tests.session.begun import BOUNCES_S, DWELL, REACTION_S, THROWN, begun, catches_due
from tests.session.hall import MORNING, Hall
from trainer.config import Settings
from trainer.practice.run import RunState, Signal
from trainer.records.attempt import CountedBy, Ended, TapsUnit


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    hall = Hall(tmp_path, "3")
    yield hall
    hall.logbook.close()


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
    assert hall.view.state is RunState.COUNT_IN
    first_s = hall.first_beat_s(collect_from_s)
    collect_s = first_s + 4.321
    hall.press(collect_s, collect_s + 0.2)
    hall.to(collect_s + 1)
    dropped, collected = hall.logged
    assert (dropped.ended, dropped.catches) == (Ended.DROP, max(0, expected - 1))
    assert (collected.ended, collected.catches) == (Ended.COLLECTED, expected)
    assert dropped.seconds == pytest.approx(4.321, abs=1e-3)


def test_an_attempt_in_the_logbook_says_all_about_itself(tmp_path: Path) -> None:
    settings = Settings(prop="clubs", juggler="Ada of the north hall")  # an invented juggler
    hall, first_s = begun(tmp_path, "531", 240, settings)
    hall.press(first_s + 3)
    hall.to(first_s + 4)
    (attempt,) = hall.logged
    assert (attempt.pattern, attempt.objects, attempt.prop, attempt.juggler) == ("531", 3, "clubs", settings.juggler)
    assert (attempt.tempo, attempt.dwell, attempt.flash_at, attempt.qualify_at) == (240, DWELL, 3, 6)
    assert (attempt.counted_by, attempt.taps_unit) == (CountedBy.BEAT, None)
    assert attempt.flash
    assert attempt.started_at.utcoffset() == MORNING.utcoffset()
    assert (attempt.started_at - MORNING).total_seconds() == pytest.approx(first_s, abs=0.05)


@pytest.mark.parametrize("reaction_s", [0.0, 0.15, 1.0])
def test_a_slower_reaction_counts_less(tmp_path: Path, reaction_s: float) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Settings(reaction_s=reaction_s))
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
    hall, first_s = begun(tmp_path, "3", 240, Settings(count_in_beats=2))
    hall.press(*(1.0 + each for each in BOUNCES_S))
    hall.press(*(1.0 + pause_s + n / rate_hz for n in range(8)))
    drop_s = first_s + 4.05
    hall.press(drop_s, *(drop_s + each for each in BOUNCES_S))
    hall.press(*(drop_s + pause_s + n / rate_hz for n in range(20)))
    hall.to(drop_s + 4)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.catches) == (Ended.DROP, catches_due("3", (4.05 - REACTION_S) * 4) - 1)
    assert hall.view.state is RunState.ARMED
    assert hall.transport.failure is None


def test_what_sounds_goes_on_after_a_tap_that_is_taken_back(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Settings(count_in_beats=0))
    hall.to(first_s + 0.01)
    hall.press(1.3)  # a first repeat, for a moment taken for the end
    assert hall.view.state is RunState.ENDED
    hall.to(1.33)
    assert hall.performance.stop_frame is not None
    hall.press(1.333)
    assert hall.view.state is RunState.RUNNING
    hall.to(1.4)
    assert hall.performance.stop_frame is None


def test_the_end_key_ends_a_run_and_starts_none(hall: Hall) -> None:
    hall.session.press(0.5, signal=Signal.END)
    assert hall.view.state is RunState.ARMED
    hall.press(1.0)
    end_s = hall.first_beat_s(1.0) + 3
    hall.to(end_s)
    hall.session.press(end_s, signal=Signal.END)
    hall.to(end_s + 0.2)
    hall.session.press(end_s + 0.2, signal=Signal.END)
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
    hall, first_s = begun(tmp_path, pattern, 120, Settings(counted_by=CountedBy.TAPS, taps_count=unit))
    every_s = float(Fraction(per_tap * period, len(throws)) * 60 / 120)
    taps_s = [first_s + 0.7 + n * every_s for n in range(7)]
    for tap_s in taps_s:
        hall.press(tap_s, *(tap_s + each for each in BOUNCES_S))
    assert hall.view.state is RunState.RUNNING
    assert hall.view.catches == 7 * per_tap
    hall.to(taps_s[-1] + 2.5 * every_s + 4)
    (attempt,) = hall.logged
    assert (attempt.catches, attempt.ended, attempt.taps_unit) == (7 * per_tap, Ended.DROP, unit)
    assert attempt.seconds == pytest.approx(taps_s[-1] - first_s, abs=1e-3)


def test_by_taps_a_held_pedal_is_one_catch(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 60, Settings(counted_by=CountedBy.TAPS))
    for tap_s in (first_s + 1, first_s + 3, first_s + 5):
        hall.press(tap_s, *(tap_s + 0.4 + n / 30 for n in range(20)))
    hall.to(first_s + 12)
    assert [attempt.catches for attempt in hall.logged] == [3]


def test_by_taps_a_pedal_held_from_the_start_on_leaves_the_quiet_as_it_is(tmp_path: Path) -> None:
    # the first beat falls between the first repeat (1.5 s) and the second (1.56 s), which takes it back
    hall, first_s = begun(tmp_path, "3", 240, Settings(counted_by=CountedBy.TAPS, count_in_beats=2))
    assert 1.5 < first_s < 1.56
    hall.press(1.5, 1.56, 1.6, first_s + 2, first_s + 2.5)
    assert hall.view.state is RunState.RUNNING
    hall.to(8)
    assert [attempt.catches for attempt in hall.logged] == [2]


def test_by_taps_a_run_without_a_tap_is_given_up(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Settings(counted_by=CountedBy.TAPS))
    hall.to(first_s + 8)
    assert [(attempt.catches, attempt.ended) for attempt in hall.logged] == [(0, Ended.GIVEN_UP)]


# -- by hand --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pattern", THROWN)
def test_by_hand_the_count_is_what_is_typed(tmp_path: Path, pattern: str) -> None:
    hall, first_s = begun(tmp_path, pattern, 240, Settings(counted_by=CountedBy.HAND))
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
    assert [each.before for each in hall.logbook.corrections(uid_of(hall.logbook, 1))] == [
        before,
        before + 1,
        before + 2,
    ]


def test_while_a_second_run_ends_the_first_is_not_corrected(hall: Hall) -> None:
    hall.press(1.0, 6.0)
    hall.to(10)
    hall.press(10, 15.0)
    assert hall.view.state is RunState.ENDED
    first = hall.logged[0].catches
    hall.session.last_try.add(1)
    hall.to(16)
    assert hall.logged[0].catches == first


def test_a_count_typed_wrongly_is_undone_and_asked_for_again(tmp_path: Path) -> None:
    hall, first_s = begun(tmp_path, "3", 240, Settings(counted_by=CountedBy.HAND))
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
    assert [(each.before, each.after) for each in hall.logbook.corrections(uid_of(hall.logbook, 1))] == [
        (None, 9),
        (9, None),
        (None, 8),
    ]


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
    assert hall.view.state is RunState.RUNNING
    assert last.toggle_fair() is last.undo() is last.add(1) is last.confirm() is None
    assert hall.logged == before
