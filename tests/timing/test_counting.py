"""Counting: flash and qualify, which catch is on which beat, and the windows in which all is up."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import islice, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import parse
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.throws import Rhythm
from trainer.timing.counting import Goals, Window, all_up, all_up_spans, beat_of_catch, catches_by
from trainer.timing.score import EventKind, Score, Twos

FOUND = [
    text
    for objects in (1, 2, 3, 5)
    for period in (1, 2, 3, 4)
    for rhythm in (Rhythm.ASYNC, Rhythm.SYNC)
    if rhythm is Rhythm.ASYNC or period % 2 == 0
    for text in islice(find_patterns(SearchQuery(objects, period, highest=12, rhythm=rhythm)), 15)
]
OTHERS = [
    "0",
    "2",
    "z",
    "97531",
    "(4,2x)*",
    "[33]33",
    "24[54]",
    "[22]2",
    "<3p3|3p3>",
    "<3p|3p>",
    "7700000",
    "(8,8)(0,0)",
]
scores = st.builds(
    Score,
    st.sampled_from([*FOUND, *OTHERS]).map(parse),
    st.fractions(F(1, 12), F(11, 12), max_denominator=12),
    twos=st.sampled_from(Twos),
)


@pytest.mark.parametrize(
    ("text", "goals"),
    [
        ("3", Goals(1, 3, 6)),
        ("4", Goals(1, 4, 8)),
        ("3 mess", Goals(6, 6, 12)),
        ("5", Goals(1, 5, 10)),
        ("531", Goals(3, 3, 6)),
        ("441", Goals(3, 3, 6)),
        ("42", Goals(1, 3, 6)),
        ("97531", Goals(5, 5, 10)),
        ("(4,2x)*", Goals(4, 4, 8)),
    ],
)
def test_flash_and_qualify(text: str, goals: Goals) -> None:
    """Flash = max(objects, catches in a round), qualify = twice that; the first three rows are common practice."""
    assert Goals.of(Score(parse(text))) == goals


@pytest.mark.parametrize("objects", range(1, 14))
def test_a_qualifying_run_is_twice_as_many_catches_as_objects(objects: int) -> None:
    """Source: the published rules of the International Jugglers' Association, for a plain cascade or fountain."""
    assert Goals.of(Score(parse("0123456789abcdef"[objects]), twos=Twos.ACTIVE)).qualify == 2 * objects


def test_goals_are_reached_at_their_number() -> None:
    goals = Goals.of(Score(parse("3")))
    assert [goals.reached(catches) for catches in (0, 2, 3, 5, 6)] == [
        (),
        (),
        ("flash",),
        ("flash",),
        ("flash", "qualify"),
    ]


@given(scores, st.fractions(-3, 60, max_denominator=12))
@settings(max_examples=60, database=None)
def test_catches_by_a_beat_are_those_in_the_score(score: Score, beat: F) -> None:
    heard = [event.beat for event in score.events(0, 70) if event.kind is EventKind.CATCH]
    assert catches_by(score, beat) == sum(at <= beat for at in heard)
    for at in heard[:40]:
        assert catches_by(score, at) == sum(other <= at for other in heard)


@given(scores)
@settings(max_examples=60, database=None)
def test_the_beat_of_a_catch_is_that_in_the_score(score: Score) -> None:
    heard = [event.beat for event in score.events(0, 90) if event.kind is EventKind.CATCH]
    assert [beat_of_catch(score, number) for number in range(1, len(heard) + 1)] == heard
    assert beat_of_catch(score, 0) is None
    if not score.catch_cells:
        assert beat_of_catch(score, 1) is None


def test_a_catch_after_hours() -> None:
    """By hand: every beat from 5/3 on a 3 is caught."""
    assert beat_of_catch(Score(parse("3")), 1_000_000) == 999_999 + F(5, 3)


def windows_from_events(score: Score) -> list[tuple[F, F]]:
    """The stretches of three settled periods in which nothing is in a hand, event by event."""
    pattern = score.pattern
    start = pattern.period * (2 * pattern.highest // pattern.period + 2)
    stop = start + 3 * pattern.period
    holders: dict[int, bool] = {}
    changes: list[tuple[F, int, bool]] = []
    for event in score.events(0, stop + 1):
        if event.kind in {EventKind.THROW, EventKind.CATCH, EventKind.HOLD}:
            changes.append((event.beat, event.thing, event.kind is not EventKind.THROW))
    edges = sorted({F(start), F(stop), *(beat for beat, _, _ in changes if start < beat < stop)})
    found: list[tuple[F, F]] = []
    at = 0
    for one, other in pairwise(edges):
        while at < len(changes) and changes[at][0] <= one:
            holders[changes[at][1]] = changes[at][2]
            at += 1
        if holders and not any(holders.values()):
            if found and found[-1][1] == one:
                found[-1] = (found[-1][0], other)
            else:
                found.append((one, other))
    middle = (start + pattern.period, start + 2 * pattern.period)
    return [(begin, end) for begin, end in found if middle[0] <= begin < middle[1]]


@given(scores)
@settings(max_examples=120, database=None)
def test_all_up_is_when_no_hand_holds_anything(score: Score) -> None:
    period = score.pattern.period
    expected = sorted((begin % period, end - begin) for begin, end in windows_from_events(score))
    assert sorted((window.start_beat, window.beats) for window in all_up(score)) == expected


def test_all_up_by_hand() -> None:
    """Three 5s in a row and two empty beats: the last 5 leaves on beat 2 and the first is back at 5 - 4/3 = 11/3."""
    assert all_up(Score(parse("55500"))) == (Window(F(2), F(5, 3)),)
    assert all_up(Score(parse("3"))) == ()
    assert all_up(Score(parse("0"))) == ()


@given(scores)
@settings(max_examples=120, database=None)
def test_all_up_in_a_run_is_when_everything_was_thrown_and_nothing_is_back(score: Score) -> None:
    stop = 3 * score.pattern.period + score.pattern.highest
    held = dict.fromkeys(range(score.pattern.objects), True)
    changes: dict[F, dict[int, bool]] = {}
    for event in score.events(0, stop + score.pattern.highest + score.pattern.period):
        if event.kind in {EventKind.THROW, EventKind.CATCH, EventKind.HOLD}:
            changes.setdefault(event.beat, {})[event.thing] = event.kind is not EventKind.THROW
    found, empty_from = [], None
    for beat in sorted(changes):
        held |= changes[beat]
        if empty_from is not None and any(held.values()):
            found.append((empty_from, beat - empty_from))
            empty_from = None
        if empty_from is None and held and not any(held.values()):
            empty_from = beat
    spans = all_up_spans(score, F(0), F(stop))
    assert [(span.start_beat, span.beats) for span in spans] == [each for each in found if each[0] < stop]
