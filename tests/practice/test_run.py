"""The run: each (state, signal) pair, the double tap, the tap taken back, and what time alone brings about."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.each import each
from trainer.practice.pedal import REPEAT_S
from trainer.practice.run import COLLECT_S, NO_TAP_S, SETTLE_S, Limit, Run, RunState, Signal
from trainer.records.attempt import CountedBy, Ended

LISTED = {
    # what the drawing of the run says; whatever is not here must change nothing
    (RunState.ARMED, Signal.TAP): RunState.COUNT_IN,
    (RunState.COUNT_IN, Signal.FIRST_BEAT): RunState.RUNNING,
    (RunState.COUNT_IN, Signal.GIVE_UP): RunState.ARMED,
    (RunState.RUNNING, Signal.TAP): RunState.ENDED,
    (RunState.RUNNING, Signal.END): RunState.ENDED,
    (RunState.RUNNING, Signal.QUIET): RunState.ENDED,
    (RunState.RUNNING, Signal.GOAL): RunState.ENDED,
    (RunState.RUNNING, Signal.TIME): RunState.ENDED,
    (RunState.RUNNING, Signal.GIVE_UP): RunState.ENDED,
    (RunState.ENDED, Signal.SETTLED): RunState.REST,
    (RunState.REST, Signal.RESTED): RunState.ARMED,
    (RunState.REST, Signal.TAP): RunState.ARMED,
}
SECOND_TAPS = {(RunState.ENDED, Signal.TAP), (RunState.ENDED, Signal.END)}


def run_in(state: RunState, counted_by: CountedBy = CountedBy.BEAT) -> Run:
    """A run that came to a state the usual way: armed at 0, counting in from 1, running from 3, ended at 9."""
    run = Run(counted_by, 2.0, 1.5)
    steps = {
        RunState.COUNT_IN: [(Signal.TAP, 1.0)],
        RunState.RUNNING: [(Signal.FIRST_BEAT, 3.0)],
        RunState.ENDED: [(Signal.END, 9.0)],
        RunState.REST: [(Signal.SETTLED, 9.0 + SETTLE_S)],
    }
    for reached, signals in steps.items():
        if list(RunState).index(reached) > list(RunState).index(state):
            break
        for signal, at_s in signals:
            run = run.signal(signal, at_s)
    assert run.state is state
    return run


@each(product(RunState, Signal, CountedBy))
def test_every_signal_in_every_state(state: RunState, signal: Signal, counted_by: CountedBy) -> None:
    before = run_in(state, counted_by)
    after = before.signal(signal, 20.0)
    if counted_by is CountedBy.TAPS and (state, signal) == (RunState.RUNNING, Signal.TAP):
        assert after == replace(before, taps_s=(20.0,))
    elif (state, signal) in LISTED:
        assert after.state is LISTED[state, signal]
        assert after.since_s == 20.0
    else:  # a second tap this late is no clean finish: it changes nothing either
        assert after == before


@pytest.mark.parametrize("second", [Signal.TAP, Signal.END])
@pytest.mark.parametrize(
    ("wait_s", "ended"),
    [(REPEAT_S, Ended.COLLECTED), (0.25, Ended.COLLECTED), (0.39, Ended.COLLECTED), (0.41, Ended.DROP)],
)
def test_a_second_tap_within_four_tenths_is_a_clean_finish(second: Signal, wait_s: float, ended: Ended) -> None:
    run = run_in(RunState.RUNNING).signal(Signal.TAP, 10.0).signal(second, 10.0 + wait_s)
    assert (run.state, run.ended, run.ended_s) == (RunState.ENDED, ended, 10.0)
    assert COLLECT_S == 0.4


def test_a_third_tap_changes_nothing() -> None:
    run = run_in(RunState.RUNNING).signal(Signal.TAP, 10.0).signal(Signal.TAP, 10.2)
    assert run.signal(Signal.TAP, 10.3) == run


def test_a_given_up_run_is_never_a_clean_finish() -> None:
    run = run_in(RunState.RUNNING).signal(Signal.GIVE_UP, 10.0).signal(Signal.TAP, 10.2)
    assert (run.state, run.ended) == (RunState.ENDED, Ended.GIVEN_UP)


@pytest.mark.parametrize("counted_by", CountedBy)
@pytest.mark.parametrize("signal", [Signal.TAP, Signal.END])
@pytest.mark.parametrize("state", RunState)
def test_a_tap_taken_back_leaves_no_trace_in_any_state(state: RunState, signal: Signal, counted_by: CountedBy) -> None:
    before = run_in(state, counted_by)
    assert before.signal(signal, 9.2).take_back() == before


@pytest.mark.parametrize("state", RunState)
def test_nothing_is_taken_back_twice(state: RunState) -> None:
    once = run_in(state).signal(Signal.TAP, 9.2).take_back()
    assert once.take_back() == once


@pytest.mark.parametrize(
    ("state", "signal", "after"),
    [
        # a repeat heard as a tap just before time moves the run on, and known for a repeat just after
        (RunState.COUNT_IN, Signal.FIRST_BEAT, RunState.RUNNING),
        (RunState.ENDED, Signal.SETTLED, RunState.REST),
    ],
)
def test_a_tap_taken_back_leaves_alone_what_time_brought_about_meanwhile(
    state: RunState, signal: Signal, after: RunState
) -> None:
    run = run_in(state)
    without = run.signal(signal, 9.47)
    taken_back = run.signal(Signal.TAP, 9.45).signal(signal, 9.47).take_back()
    assert taken_back.state is after
    assert replace(taken_back, before=None) == replace(without, before=None)


def test_a_tap_whose_attempt_has_begun_or_is_written_down_cannot_be_taken_back() -> None:
    begun = run_in(RunState.ARMED).signal(Signal.TAP, 1.0).signal(Signal.FIRST_BEAT, 1.05)
    assert begun.take_back() == begun
    written = run_in(RunState.RUNNING).signal(Signal.TAP, 9.0).signal(Signal.SETTLED, 9.6)
    assert written.take_back() == written


def test_other_settings_outlive_a_tap_taken_back() -> None:
    run = run_in(RunState.REST).signal(Signal.TAP, 9.7).adjusted(CountedBy.TAPS, 7.0, 3.0).take_back()
    assert (run.state, run.counted_by, run.rest_s, run.quiet_s) == (RunState.REST, CountedBy.TAPS, 7.0, 3.0)


def test_when_the_taps_stop_the_run_ended_at_the_last() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS).signal(Signal.TAP, 4.0).signal(Signal.TAP, 5.0)
    assert run.next_change() == (5.0 + run.quiet_s, Signal.QUIET)
    assert run.step(6.49) is None
    ended = run.step(6.5)
    assert ended is not None
    assert (ended.state, ended.ended, ended.ended_s, ended.taps_s) == (RunState.ENDED, Ended.DROP, 5.0, (4.0, 5.0))


def test_a_run_without_a_tap_is_given_up_later() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS)
    assert run.next_change() == (3.0 + NO_TAP_S + run.quiet_s, Signal.QUIET)
    ended = run.step(20.0)
    assert ended is not None
    assert (ended.state, ended.ended) == (RunState.ENDED, Ended.GIVEN_UP)


@pytest.mark.parametrize("counted_by", [CountedBy.BEAT, CountedBy.HAND])
def test_only_counted_by_taps_does_quiet_end_a_run(counted_by: CountedBy) -> None:
    assert run_in(RunState.RUNNING, counted_by).next_change() is None


def test_an_ended_run_settles_rests_and_is_armed_again_by_itself() -> None:
    run = run_in(RunState.ENDED)
    states = []
    while (after := run.step(100.0)) is not None:
        run = after
        states.append((run.state, run.since_s))
    assert states == [(RunState.REST, 9.0 + SETTLE_S), (RunState.ARMED, 9.0 + SETTLE_S + run.rest_s)]


def test_a_second_tap_can_come_and_be_taken_back_until_the_run_settles() -> None:
    assert SETTLE_S >= COLLECT_S + REPEAT_S


def test_the_next_attempt_begins_with_nothing_of_the_last() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS).signal(Signal.TAP, 4.0).signal(Signal.END, 5.0)
    run = run.signal(Signal.SETTLED, 6.0).signal(Signal.RESTED, 8.0).signal(Signal.TAP, 9.0)
    assert (run.state, run.taps_s, run.ended, run.ended_s) == (RunState.COUNT_IN, (), None, None)


@given(
    st.sampled_from(CountedBy),
    st.lists(st.tuples(st.sampled_from([*Signal, "take back"]), st.floats(0.01, 3)), max_size=60),
)
def test_no_order_of_signals_leads_out_of_the_table(counted_by: CountedBy, signals: list[tuple[str, float]]) -> None:
    run, at_s = Run(counted_by, 2.0, 1.5), 0.0
    for signal, wait_s in signals:
        at_s += wait_s
        before = run
        run = run.take_back() if signal == "take back" else run.signal(Signal(signal), at_s)
        if signal != "take back" and run.state is not before.state:
            assert LISTED[before.state, Signal(signal)] is run.state
        if run.state in (RunState.ENDED, RunState.REST):
            assert run.ended is not None
            assert run.ended_s is not None


# -- what ends by itself --------------------------------------------------------------------------------------

HELD = {Signal.GOAL: Ended.GOAL, Signal.TIME: Ended.TIME}


@pytest.mark.parametrize("counted_by", [CountedBy.BEAT, CountedBy.HAND])
@pytest.mark.parametrize("signal", HELD)
def test_a_mark_that_is_held_ends_the_run_at_its_own_moment(signal: Signal, counted_by: CountedBy) -> None:
    run = run_in(RunState.RUNNING, counted_by).limited(Limit(signal, 7.0, 0.8))
    assert run.next_change() == (7.8, signal)
    assert run.step(7.79) is None
    ended = run.step(7.8)
    assert ended is not None
    assert (ended.state, ended.ended, ended.ended_s, ended.since_s) == (RunState.ENDED, HELD[signal], 7.0, 7.8)
    assert ended.next_change() == (7.8 + SETTLE_S, Signal.SETTLED)


@pytest.mark.parametrize("pressed", [Signal.TAP, Signal.END, Signal.GIVE_UP])
def test_a_press_before_it_is_held_ends_the_run_as_ever(pressed: Signal) -> None:
    run = run_in(RunState.RUNNING).limited(Limit(Signal.GOAL, 7.0, 0.8)).signal(pressed, 7.5)
    assert run.ended is (Ended.GIVEN_UP if pressed is Signal.GIVE_UP else Ended.DROP)
    after = run.step(100.0)
    assert after is not None
    assert after.state is RunState.REST


def test_a_press_taken_back_leaves_the_mark_to_end_the_run() -> None:
    run = run_in(RunState.RUNNING).signal(Signal.TAP, 6.9).limited(Limit(Signal.GOAL, 7.0, 0.2)).take_back().step(7.2)
    assert run is not None
    assert (run.ended, run.ended_s) == (Ended.GOAL, 7.0)


def test_a_press_after_the_end_is_no_drop_and_no_clean_finish() -> None:
    run = run_in(RunState.RUNNING).limited(Limit(Signal.GOAL, 7.0, 0.8)).step(7.8)
    assert run is not None
    for signal in (Signal.TAP, Signal.END, Signal.GIVE_UP, Signal.GOAL, Signal.TIME):
        assert run.signal(signal, 7.9) == run


def test_the_tap_that_makes_the_number_ends_the_run_and_can_be_taken_back() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS).limited(Limit(Signal.GOAL, taps=2)).signal(Signal.TAP, 4.0)
    assert run.state is RunState.RUNNING
    ended = run.signal(Signal.TAP, 5.0)
    assert (ended.state, ended.ended, ended.ended_s, ended.taps_s) == (RunState.ENDED, Ended.GOAL, 5.0, (4.0, 5.0))
    assert ended.take_back() == run


def test_by_taps_time_ends_the_run_with_the_first_tap_from_then_on() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS).limited(Limit(Signal.TIME, 7.0, 0.8)).signal(Signal.TAP, 6.5)
    assert run.next_change() == (6.5 + run.quiet_s, Signal.QUIET)
    ended = run.signal(Signal.TAP, 7.1)
    assert (ended.ended, ended.ended_s) == (Ended.TIME, 7.1)
    dropped = run.step(20.0)
    assert dropped is not None
    assert (dropped.ended, dropped.ended_s) == (Ended.DROP, 6.5)


def test_taps_that_go_on_after_the_number_start_nothing_until_they_stop() -> None:
    run = run_in(RunState.RUNNING, CountedBy.TAPS).limited(Limit(Signal.GOAL, taps=1))
    for at_s in (4.0, 5.0, 6.0, 7.0):
        while (after := run.step(at_s)) is not None:
            run = after
        run = run.signal(Signal.TAP, at_s)
    assert (run.state, run.taps_s, run.ended_s) == (RunState.ENDED, (4.0,), 4.0)
    assert run.next_change() == (7.0 + run.quiet_s, Signal.SETTLED)


def test_a_tap_that_may_begin_nothing_can_be_taken_back_too() -> None:
    run = run_in(RunState.ARMED).untouched()
    assert run == run_in(RunState.ARMED) == run.take_back()


def test_the_next_attempt_has_no_mark_of_the_last() -> None:
    run = run_in(RunState.RUNNING).limited(Limit(Signal.GOAL, 7.0, 0.8))
    for signal, at_s in ((Signal.GOAL, 7.8), (Signal.SETTLED, 8.3), (Signal.RESTED, 10.3), (Signal.TAP, 11.0)):
        run = run.signal(signal, at_s)
    assert (run.state, run.limit) == (RunState.COUNT_IN, None)
