"""The score: any cutting gives the whole; every object goes from hand to hand as juggling has it."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction as F
from itertools import islice, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.throws import Hand, Rhythm
from trainer.timing.score import Event, EventKind, Score, Twos
from trainer.timing.tempo import TempoError

FOUND = [
    text
    for objects in (1, 2, 3, 4)
    for period in (1, 2, 3, 4)
    for text in islice(find_patterns(SearchQuery(objects, period, highest=9)), 12)
]
FOUND += [
    text
    for objects in (2, 3, 4, 5)
    for period in (2, 4)
    for text in islice(find_patterns(SearchQuery(objects, period, highest=10, rhythm=Rhythm.SYNC)), 12)
]
OTHERS = [
    "0",
    "2",
    "3",
    "z",
    "51",
    "531",
    "97531",
    "b97531",
    "2222",
    "501",
    "(4,2x)*",
    "(6x,4)*",
    "([44],4)",
    "[33]33",
    "24[54]",
    "[22]2",
    "531?mess",
    "(2,2)",
]
PASSING = ["<3p3|3p3>", "<333p|333p>", "<3p|3p>", "<(4xp,4)(4,4xp)|(4,4xp)(4xp,4)>", "<3p2 3|3p3 3|3p1 3>"]
TEXTS = [*FOUND, *(text.replace("?", " ") for text in OTHERS), *PASSING]


@st.composite
def merged(draw: st.DrawFn) -> str:
    """Two patterns of one period thrown together, a multiplex of both; it fits because each of them does."""
    period = draw(st.integers(1, 4))
    both = [draw(st.sampled_from([text for text in FOUND if len(text) == period])) for _ in range(2)]
    slots = ["".join(digits).replace("0", "") for digits in zip(*both, strict=True)]
    return "".join(slot if len(slot) == 1 else f"[{slot}]" if slot else "0" for slot in slots)


scores = st.builds(
    Score,
    st.one_of(st.sampled_from(TEXTS), merged()).map(parse),
    st.fractions(F(1, 20), F(19, 20), max_denominator=20),
    st.sampled_from(Hand),
    st.sampled_from(Twos),
)
HELD = {EventKind.THROW, EventKind.HOLD}


def settled(pattern: Pattern) -> int:
    """A beat at the start of a period by which everything has been thrown and caught."""
    return pattern.period * (2 * pattern.highest // pattern.period + 2)


@given(scores, st.lists(st.fractions(0, 40, max_denominator=12), max_size=8))
@settings(max_examples=70, database=None)
def test_any_cutting_gives_the_whole(score: Score, cuts: list[F]) -> None:
    edges = [F(0), *sorted(cuts), F(40)]
    pieces = [event for start, stop in pairwise(edges) for event in score.events(start, stop)]
    whole = list(score.events(0, 40))
    assert pieces == whole
    assert [event.beat for event in whole] == sorted(event.beat for event in whole)
    assert all(0 <= event.beat < 40 for event in whole)


def test_without_an_end_it_goes_on() -> None:
    endless = Score(parse("3")).events(1000)
    assert [next(endless).beat for _ in range(4)][:2] == [1000, 1000]


@given(scores)
@settings(max_examples=90, database=None)
def test_every_object_is_thrown_caught_and_thrown_on_from_there(score: Score) -> None:
    stop = settled(score.pattern) + 4 * score.pattern.highest
    stories: dict[int, list[Event]] = {}
    for event in score.events(0, stop):
        if event.kind in {EventKind.THROW, EventKind.HOLD, EventKind.CATCH}:
            stories.setdefault(event.thing, []).append(event)
    assert set(stories) == set(range(score.pattern.objects))
    for story in stories.values():
        assert story[0].kind in HELD
        for one, following in pairwise(story):
            if one.kind is EventKind.THROW:
                thrown = score.pattern.throws[one.throw]
                assert following.kind is EventKind.CATCH
                assert following.beat == one.beat + score.flight(thrown)
                assert (following.hand is one.hand) != thrown.crosses
                assert (following.juggler, following.throw) == (thrown.to_juggler, one.throw)
            else:
                assert following.kind in HELD
                assert (following.juggler, following.hand) == (one.juggler, one.hand)
                assert following.beat > one.beat


@given(scores)
@settings(max_examples=100, database=None)
def test_every_hand_acts_when_it_should(score: Score) -> None:
    """Async hands take turns for ever, whatever the period; sync hands act together every second beat."""
    pattern = score.pattern
    acts = [event for event in score.events(0, 30) if event.kind in HELD | {EventKind.GAP}]
    for event in acts:
        assert event.hand is not None
        if pattern.rhythm is Rhythm.ASYNC:
            assert event.hand is (score.start_hand if event.beat % 2 == 0 else score.start_hand.other)
    thrown = Counter((event.beat, event.juggler, event.hand) for event in acts)
    hands = 2 if pattern.rhythm is Rhythm.SYNC else 1
    assert len(thrown) == pattern.jugglers * hands * len(range(0, 30, pattern.beat_step))


@given(scores)
@settings(max_examples=60, database=None)
def test_the_objects_in_the_air_average_what_the_flights_say(score: Score) -> None:
    """Every throw of a period is in the air for its flight: Little's law, counted over one settled period."""
    pattern = score.pattern
    start = settled(pattern)
    events = list(score.events(0, start + 2 * pattern.period + pattern.highest))
    thrown = sorted(event.beat for event in events if event.kind is EventKind.THROW)
    caught = sorted(event.beat for event in events if event.kind is EventKind.CATCH)
    stop = start + pattern.period
    in_air = sum((max(F(0), stop - max(F(start), beat)) for beat in thrown), F(0))
    in_air -= sum(max(F(0), stop - max(F(start), beat)) for beat in caught)
    assert in_air == sum(score.flight(throw) for throw in pattern.throws)


@pytest.mark.parametrize(("text", "every"), [("3", 1), ("531", 3), ("3 mess", 6), ("(4,2x)*", 4)])
def test_rounds_begin(text: str, every: int) -> None:
    """A mess comes round after 6 throws. Common practice."""
    rounds = [event.beat for event in Score(parse(text)).events(0, 24) if event.kind is EventKind.ROUND]
    assert rounds == list(range(0, 24, every))


def test_531_by_hand() -> None:
    """Dwell 2/3: a 5 flies 3 2/3 beats, a 3 1 2/3, a 1 1/3. By hand from F(n) = n - r · min(n, 2)."""
    events = [event for event in Score(parse("531")).events(0, 5) if event.kind is not EventKind.ROUND]
    R, L = Hand.RIGHT, Hand.LEFT
    assert [(event.beat, str(event.kind), event.hand, event.value) for event in events] == [
        (0, "throw", R, 5),
        (1, "throw", L, 3),
        (2, "throw", R, 1),
        (F(7, 3), "catch", L, 1),
        (F(8, 3), "catch", R, 3),
        (3, "throw", L, 5),
        (F(11, 3), "catch", L, 5),
        (4, "throw", R, 3),
    ]


def test_a_two_is_held_unless_asked_for() -> None:
    kinds = {twos: {event.kind for event in Score(parse("2"), twos=twos).events(2, 8)} for twos in Twos}
    assert kinds[Twos.HELD] == {EventKind.ROUND, EventKind.HOLD}
    assert kinds[Twos.ACTIVE] == {EventKind.ROUND, EventKind.THROW, EventKind.CATCH}


@pytest.mark.parametrize("dwell", [F(0), F(1), F(-1), F(2)])
def test_dwell_is_checked(dwell: F) -> None:
    with pytest.raises(TempoError):
        Score(parse("3"), dwell)
