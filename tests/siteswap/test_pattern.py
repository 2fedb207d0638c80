"""What follows from the throws of a pattern: rounds, orbits, symmetry."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import Hand, Rhythm


@pytest.mark.parametrize(
    ("text", "round_beats"),
    [("3", 1), ("3 mess", 6), ("531 mess", 6), ("3 reverse", 1), ("53 mess", 6), ("7333 mess", 12)],
)
def test_rounds(text: str, round_beats: int) -> None:
    """Mills Mess comes round after 6 throws; of period p after lcm(p, 6). Common practice."""
    assert parse(text).round == round_beats


def unrolled(pattern: Pattern, beats: int, mirrored: bool) -> Counter[tuple[int, int, Hand, int, int, Hand]]:
    found: Counter[tuple[int, int, Hand, int, int, Hand]] = Counter()
    for turn in range(beats // pattern.period):
        for throw in pattern.throws:
            beat = turn * pattern.period + throw.beat
            hand, to_hand = throw.hand, throw.to_hand
            if pattern.rhythm is Rhythm.ASYNC and turn * pattern.period % 2 == 1:
                hand, to_hand = hand.other, to_hand.other
            if mirrored:
                hand, to_hand = hand.other, to_hand.other
            found[(beat, throw.juggler, hand, throw.value, throw.to_juggler, to_hand)] += 1
    return found


def is_symmetric_by_trial(pattern: Pattern) -> bool:
    """Whether the pattern seen in a mirror is the pattern begun at some other beat."""
    cycle = 2 * pattern.period
    here, mirror = unrolled(pattern, cycle, False), unrolled(pattern, cycle, True)
    return any(
        Counter({((beat + shift) % cycle, *rest): count for (beat, *rest), count in mirror.items()}) == here
        for shift in range(cycle)
    )


@given(data=st.data())
@settings(max_examples=100, database=None)
def test_symmetry_is_what_a_mirror_shows(data: st.DataObject, patterns: st.SearchStrategy[str]) -> None:
    pattern = parse(data.draw(patterns))
    assert pattern.symmetric == is_symmetric_by_trial(pattern)


@pytest.mark.parametrize(
    ("text", "symmetric"),
    [
        ("3", True),
        ("531", True),
        ("51", False),
        ("(4,2x)*", True),
        ("(4x,2x)", False),
        ("([44],4)", False),
        ("4", True),
        ("6631", False),
        ("633", True),
        ("53", False),
        ("<3p3|3p3>", False),
        ("<333p|333p>", True),
    ],
)
def test_symmetry(text: str, symmetric: bool) -> None:
    assert parse(text).symmetric == symmetric == is_symmetric_by_trial(parse(text))


@given(data=st.data())
@settings(max_examples=100, database=None)
def test_orbits_share_out_the_throws_and_the_objects(data: st.DataObject, patterns: st.SearchStrategy[str]) -> None:
    pattern = parse(data.draw(patterns))
    orbits = pattern.orbits()
    indexes = [index for orbit in orbits for index in orbit]
    assert sorted(indexes) == [index for index, throw in enumerate(pattern.throws) if throw.value]
    assert sum(map(pattern.orbit_objects, orbits)) == pattern.objects
    for orbit in orbits:
        assert pattern.orbit_objects(orbit) >= 1
        for one, following in zip(orbit, (*orbit[1:], orbit[0]), strict=True):
            throw, after = pattern.throws[one], pattern.throws[following]
            assert (throw.lands - after.beat) % pattern.period == 0
            assert throw.to_juggler == after.juggler
            if pattern.rhythm is Rhythm.SYNC:
                assert throw.to_hand is after.hand


def test_orbits_of_531() -> None:
    """5 comes down where 1 is thrown and 1 where 5 is: two objects; the 3 is one by itself. By hand."""
    assert {frozenset(orbit) for orbit in parse("531").orbits()} == {frozenset({0, 2}), frozenset({1})}


def test_crossing_and_holding() -> None:
    """Odd values cross, even ones come back; a 2 to the same hand can be held. Common practice."""
    assert [throw.crosses for throw in parse("5241").throws] == [True, False, False, True]
    assert [throw.held for throw in parse("5241").throws] == [False, True, False, False]
    assert [throw.held for throw in parse("(4x,2x)").throws] == [False, False]
    assert [throw.held for throw in parse("(4,2)").throws] == [False, True]
