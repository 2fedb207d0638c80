"""Hearing: what practice leaves out is left out, and what is heard again stands exactly in its place."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.audio.hearing import LEAST_GAIN, AllUp, Hands, Hear, Hearing, Heights
from trainer.audio.kit import DEFAULT_KIT
from trainer.audio.kitfiles import find_kit
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.files.places import bundled
from trainer.siteswap.families import parse_any
from trainer.siteswap.throws import Hand
from trainer.timing.counting import catches_by
from trainer.timing.score import EventKind, Score
from trainer.timing.tempo import TempoMap, second_to_frame

RATE_HZ = 44_100
BANK = Bank(find_kit(DEFAULT_KIT, [bundled("sounds")]), RATE_HZ)


def perform(pattern: str, hearing: Hearing, tempo_bpm: int = 240) -> Performance:
    score = Score(parse_any(pattern))
    return Performance(
        score, TempoMap.steady(Fraction(tempo_bpm), -4), BANK, Fraction(240, tempo_bpm), 4, hearing=hearing
    )


def heard(performance: Performance, beats: int, *kinds: EventKind) -> list[tuple[Fraction, Hand | None, int]]:
    return [
        (placed.event.beat, placed.event.hand, placed.event.value)
        for placed in performance.placed_events(-4, beats)
        if placed.voice is not None and placed.event.kind in kinds
    ]


def test_one_hand_only() -> None:
    throws = heard(perform("531", Hearing(hands=Hands.LEFT)), 12, EventKind.THROW)
    assert [beat for beat, _, _ in throws] == [1, 3, 5, 7, 9, 11]
    assert {hand for _, hand, _ in throws} == {Hand.LEFT}


def test_top_throws_only() -> None:
    throws = heard(perform("531", Hearing(heights=Heights.TOP)), 12, EventKind.THROW)
    assert throws == [(beat, Hand.RIGHT if beat % 2 == 0 else Hand.LEFT, 5) for beat in range(0, 12, 3)]


def test_silent_rounds_come_and_go_and_the_count_in_stays() -> None:
    hearing = Hearing(heard_rounds=2, silent_rounds=3)
    performance = perform("531", hearing)
    assert [int(beat) for beat, _, _ in heard(performance, 33, EventKind.THROW)] == [
        *range(6),
        *range(15, 21),
        *range(30, 33),
    ]
    assert len(heard(performance, 33, EventKind.COUNT_IN)) == 4


def test_the_first_beat_after_silence_is_in_its_place_to_the_frame() -> None:
    performance = perform("531", Hearing(heard_rounds=1, silent_rounds=7), tempo_bpm=173)
    first_again = next(
        placed.at_frame
        for placed in performance.placed_events(3, 40)
        if placed.voice and placed.event.kind is EventKind.THROW
    )
    # Exact second × rate, rounded half up, computed here a second way.
    assert first_again == second_to_frame(Fraction((4 + 24) * 60, 173), RATE_HZ)
    silence = performance.render(first_again - 4410, 4410)
    assert not silence.any()
    assert performance.render(first_again, 1)[0].any()


def test_a_fading_click_halves_and_never_goes_out() -> None:
    performance = perform("3", Hearing(fade_rounds=10))
    gains = [placed.gain for placed in performance.placed_events(0, 200) if placed.event.kind is EventKind.THROW]
    assert gains[0] == 1.0
    assert gains[10] == pytest.approx(0.5)
    assert gains[20] == pytest.approx(0.25)
    assert gains[-1] == LEAST_GAIN
    assert all(after <= before for before, after in pairwise(gains))


def test_catches_alone() -> None:
    performance = perform("531", Hearing(Hear.CATCHES))
    assert not heard(performance, 12, EventKind.THROW, EventKind.HOLD)
    assert len(heard(performance, 12, EventKind.CATCH)) == catches_by(performance.score, Fraction(12))


@given(
    st.lists(st.integers(1, 5000), min_size=1, max_size=6),
    st.sampled_from(["3", "531", "[43]23", "(4x,2x)", "<3p 3|3p 3>"]),
    st.integers(0, 3),
    st.integers(0, 4),
)
@settings(max_examples=25)
def test_any_cutting_gives_the_same_frames(cuts: list[int], pattern: str, silent: int, fade: int) -> None:
    performance = perform(pattern, Hearing(Hear.BOTH, heard_rounds=1, silent_rounds=silent, fade_rounds=fade), 480)
    whole = performance.render(30_000, sum(cuts))
    at, parts = 30_000, []
    for length in cuts:
        parts.append(replace(performance).render(at, length))
        at += length
    assert np.array_equal(np.concatenate(parts), whole)


def test_a_glide_goes_by_equal_steps_moves_nothing_before_it_and_arrives() -> None:
    performance = perform("3", Hearing(), 120)
    at_frame = performance.frame_at(10) - 100
    glided = performance.with_glide(Fraction(180), 6, at_frame)
    assert [glided.frame_at(beat) for beat in range(-4, 11)] == [performance.frame_at(beat) for beat in range(-4, 11)]
    assert [glided.tempo.tempo_at(Fraction(beat)) for beat in range(9, 18)] == [
        120,
        130,
        140,
        150,
        160,
        170,
        180,
        180,
        180,
    ]


def test_a_glide_of_no_beats_is_a_change_at_the_next_beat() -> None:
    performance = perform("3", Hearing(), 120)
    turned = performance.with_tempo(Fraction(180), 100_000)
    assert performance.with_glide(Fraction(180), 0, 100_000).tempo == turned.tempo != performance.tempo


# -- empty hands ----------------------------------------------------------------------------------------------


def sounded(pattern: str, hearing: Hearing, beats: int) -> list[tuple[EventKind, Fraction]]:
    performance = perform(pattern, hearing)
    return [(kind, beat) for kind in (EventKind.UP, EventKind.DOWN) for beat, _, _ in heard(performance, beats, kind)]


def test_empty_hands_sound_from_the_last_throw_to_the_first_catch() -> None:
    """By hand: of 55500 the last 5 leaves on beat 2, the first is back at 5 - 4/3 = 11/3, and so on every 5 beats."""
    F = Fraction
    assert sounded("55500", Hearing(all_up=AllUp.HEARD), 10) == [
        (EventKind.UP, F(2)),
        (EventKind.UP, F(7)),
        (EventKind.DOWN, F(11, 3)),
        (EventKind.DOWN, F(26, 3)),
    ]


@pytest.mark.parametrize(
    ("pattern", "hearing"),
    [
        ("55500", Hearing()),  # not asked for
        ("3", Hearing(all_up=AllUp.HEARD)),  # some hand always holds something
        ("51", Hearing(all_up=AllUp.HEARD)),  # a third of a beat: no time for anything
    ],
)
def test_where_there_is_no_empty_handed_beat_nothing_is_added(pattern: str, hearing: Hearing) -> None:
    assert sounded(pattern, hearing, 12) == []


def test_empty_hands_sound_in_silent_rounds_too() -> None:
    hearing = Hearing(heard_rounds=1, silent_rounds=1, all_up=AllUp.HEARD)
    assert sounded("55500", hearing, 15) == sounded("55500", Hearing(all_up=AllUp.HEARD), 15)


def test_no_window_is_told_before_every_object_is_up_once() -> None:
    """(6,6)(6,0)(0,0): between beats 0 and 2 the third object still waits in a hand."""
    ups = [beat for kind, beat in sounded("(6,6)(6,0)(0,0)", Hearing(all_up=AllUp.HEARD), 13) if kind is EventKind.UP]
    assert ups == [2, 8]


def test_empty_hands_are_heard_to_the_frame_in_any_cutting() -> None:
    performance = perform("55500", Hearing(all_up=AllUp.HEARD), 244)
    whole = performance.render(0, 4 * RATE_HZ)
    cut = np.concatenate([performance.render(at, 1260) for at in range(0, 4 * RATE_HZ, 1260)])
    assert np.array_equal(whole, cut)
    silent = perform("55500", Hearing(), 244).render(0, 4 * RATE_HZ)
    first = np.flatnonzero((whole != silent).any(axis=1))[0]
    assert first == second_to_frame(Fraction(6 * 60, 244), RATE_HZ)  # four beats of count-in, then beat 2
