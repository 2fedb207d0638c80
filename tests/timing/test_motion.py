"""Where objects and hands are: on the parabola of the model, without a jump, at the very times of the score."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from trainer.siteswap.families import parse_any
from trainer.siteswap.states import find_entry
from trainer.siteswap.throws import Hand
from trainer.timing.arrangement import arrange
from trainer.timing.bounce import BounceStyle
from trainer.timing.carrying import Carriage
from trainer.timing.hands import Manner, hand_index
from trainer.timing.motion import IN_THE_AIR, Motion, Spot, Trip
from trainer.timing.score import EventKind, Score, Twos
from trainer.timing.tempo import TempoMap

TEMPO = TempoMap.steady(Fraction(200))
PATTERNS = (
    "3", "5", "4", "51", "531", "441", "97531", "7", "423", "42", "40", "330", "3 mess", "531 mess", "4 mess",
    "3 reverse", "(4,4)", "(4x,2x)", "(4,2x)*", "(6x,4)*", "(4,4)(4,0)", "[43]23", "[33]33", "([44],[44])",
    "<3p 3|3p 3>", "<3p2 3|3p3 3|3p1 3>", "<4p 2|3 3p>",
)  # fmt: skip


def motion_of(text: str, manner: Manner | None = None, **changes: object) -> Motion:
    pattern = parse_any(text)
    manner = manner or (Manner(pattern.style) if pattern.style else Manner.PLAIN)
    return Motion(Score(pattern, **changes), TEMPO, manner, arrange(pattern.jugglers))  # type: ignore[arg-type]


def bouncing(text: str, way: BounceStyle, bpm: int) -> Motion:
    carriage = Carriage(way, 0.9, 0.88)
    score = carriage.apply(Score(parse_any(text)), Fraction(bpm))
    bounces = tuple(carriage.bounces(score, Fraction(bpm)).items())
    return Motion(score, TempoMap.steady(Fraction(bpm)), Manner.REVERSE, bounces=bounces, hand_m=0.9)


def apart_m(one: Spot, other: Spot) -> float:
    return max(abs(one.x_m - other.x_m), abs(one.y_m - other.y_m))


@pytest.mark.parametrize("text", PATTERNS)
@pytest.mark.parametrize("twos", Twos)
def test_every_object_is_thrown_and_caught_at_the_events_of_the_score(text: str, twos: Twos) -> None:
    motion = motion_of(text, twos=twos)
    before = Fraction(1, 10**6)
    for event in motion.score.events(0, 40):
        if event.kind not in (EventKind.THROW, EventKind.CATCH, EventKind.HOLD) or event.hand is None:
            continue
        hand = hand_index(event.juggler, event.hand)
        earlier = motion.things(event.beat - before)[event.thing]
        now = motion.things(event.beat)[event.thing]
        at_hand = motion.hands(event.beat)[hand]
        if event.kind is EventKind.CATCH:
            assert (earlier.hand, now.hand) == (IN_THE_AIR, hand)
        elif event.kind is EventKind.THROW:
            assert (earlier.hand, now.hand) == (hand, IN_THE_AIR)
        else:
            assert (earlier.hand, now.hand) == (hand, hand)
        assert apart_m(now, at_hand) < 1e-9


@pytest.mark.parametrize("text", PATTERNS)
def test_nothing_jumps(text: str) -> None:
    """In a hundredth of a beat nothing goes farther than its speed lets it: v = g F / 2 upward, a hand's width across.

    Throws and catches are looked at from both sides, a millionth of a beat away.
    """
    motion = motion_of(text)
    step_s = 60 / 200 / 100
    limit_m = 1.5 * step_s * (9.80665 / 2 * motion.score.pattern.highest * 60 / 200 + 4.0)
    everything = [(*motion.things(n / 100), *motion.hands(n / 100)) for n in range(-150, 600)]
    for now, later in pairwise(everything):
        assert all(apart_m(one, other) < limit_m for one, other in zip(now, later, strict=True)), text
    nearly = Fraction(1, 10**6)
    for event in motion.score.events(0, 30):
        before, after = motion.things(event.beat - nearly), motion.things(event.beat + nearly)
        assert all(apart_m(one, other) < 1e-3 for one, other in zip(before, after, strict=True)), (text, event)


@pytest.mark.parametrize("text", PATTERNS)
def test_in_the_air_an_object_is_on_the_parabola_of_the_model(text: str) -> None:
    """h = g (F · 60 / T)² / 8 at the middle of the flight; y = 4 h u (1 − u) between (constant gravity, no drag)."""
    motion, dice = motion_of(text), random.Random(text)
    score = motion.score
    for event in score.events(0, 24):
        if event.kind is not EventKind.THROW:
            continue
        length = score.flight(score.pattern.throws[event.throw])
        apex_m = 9.80665 * float(length * 60 / 200) ** 2 / 8
        for share in (0.0, 0.5, dice.random(), 1.0):
            spot = motion.things(float(event.beat) + share * float(length))[event.thing]
            assert spot.y_m == pytest.approx(4 * apex_m * share * (1 - share), abs=1e-6)


@pytest.mark.parametrize("text", PATTERNS)
def test_what_is_in_a_hand_is_where_the_hand_is_and_no_object_is_lost(text: str) -> None:
    motion, dice = motion_of(text), random.Random(text)
    for _ in range(50):
        beat = dice.uniform(-4, 400)
        things, hands = motion.things(beat), motion.hands(beat)
        assert len(things) == motion.score.pattern.objects
        for spot in things:
            assert spot.hand == IN_THE_AIR or apart_m(spot, hands[spot.hand]) < 1e-9


def test_before_the_first_throw_every_object_is_in_the_hand_that_throws_it_first() -> None:
    assert [spot.hand for spot in motion_of("3").things(-1)] == [0, 1, 0]
    assert [spot.hand for spot in motion_of("3", start_hand=Hand.LEFT).things(-1)] == [1, 0, 1]


@pytest.mark.parametrize(
    ("manner", "thrown_m", "caught_m"),
    [(Manner.PLAIN, 0.10, -0.38), (Manner.REVERSE, 0.38, -0.10)],
)
def test_a_cascade_is_thrown_inside_and_caught_outside_and_reversed_the_other_way(
    manner: Manner, thrown_m: float, caught_m: float
) -> None:
    """Common practice: the scoop of a cascade goes from the outside in."""
    motion = motion_of("3", manner)
    assert motion.things(2)[motion_thing(motion, 2)].x_m == pytest.approx(thrown_m)
    assert motion.things(2 + 5 / 3)[motion_thing(motion, 2)].x_m == pytest.approx(caught_m)


def motion_thing(motion: Motion, beat: int) -> int:
    return next(event.thing for event in motion.score.events(beat) if event.kind is EventKind.THROW)


def test_a_fountain_circles_outward() -> None:
    motion = motion_of("4")
    thing = motion_thing(motion, 2)
    start, stop = motion.things(2)[thing], motion.things(2 + 8 / 3)[thing]
    assert 0 < start.x_m < stop.x_m


def test_a_shower_goes_round_one_way() -> None:
    """51: up from the outside of the right hand, down to the outside of the left, straight across low and back."""
    motion = motion_of("51")
    high, low = motion_thing(motion, 4), motion_thing(motion, 5)
    assert motion.things(4)[high].x_m > 0.3
    assert motion.things(4 + 11 / 3)[high].x_m < -0.3
    assert -0.2 < motion.things(5)[low].x_m < 0 < motion.things(5 + 1 / 3)[low].x_m < 0.2


@pytest.mark.parametrize(("text", "columns"), [("(4,4)(4,0)", 3), ("(4,4)", 4), ("4", 4), ("(6,6)", 6)])
def test_in_columns_each_object_stays_in_a_place_of_its_own(text: str, columns: int) -> None:
    motion = motion_of(text, Manner.COLUMNS)
    seen: dict[int, set[float]] = {}
    for number in range(8 * 60):
        for thing, spot in enumerate(motion.things(4 + number / 8)):
            if spot.hand == IN_THE_AIR:
                seen.setdefault(thing, set()).add(round(spot.x_m, 6))
    assert all(len(places) == 1 for places in seen.values())
    assert len(set.union(*seen.values())) == columns


def test_arms_of_a_mess_cross_and_uncross_twice_in_six_throws() -> None:
    motion = motion_of("3 mess")
    crossed = [motion.hands(6 + n / 20)[0].x_m < motion.hands(6 + n / 20)[1].x_m for n in range(120)]
    turns = sum(one != other for one, other in zip(crossed, crossed[1:] + crossed[:1], strict=True))
    assert turns == 4
    for beat in (6.3, 8.9, 10.25):
        right, left = motion.hands(beat)
        later_right, later_left = motion.hands(beat + 3)
        assert later_left.x_m == pytest.approx(-right.x_m)
        assert later_right.x_m == pytest.approx(-left.x_m)


def test_two_that_leave_together_for_one_place_are_seen_beside_each_other() -> None:
    motion = motion_of("[33]33")
    together = [event.thing for event in motion.score.events(3, 4) if event.kind is EventKind.THROW]
    one, other = (motion.things(3 + 5 / 6)[thing] for thing in together)
    assert abs(one.x_m - other.x_m) == pytest.approx(0.12)
    assert one.y_m == pytest.approx(other.y_m)


@pytest.mark.parametrize(
    ("text", "way", "bpm"), [("3", BounceStyle.LIFT, 90), ("3", BounceStyle.FORCE, 160), ("51", BounceStyle.LIFT, 120)]
)
def test_a_bounce_is_on_the_floor_when_it_is_heard_there(text: str, way: BounceStyle, bpm: int) -> None:
    motion = bouncing(text, way, bpm)
    hits = [event for event in motion.score.events(0, 40) if event.kind is EventKind.FLOOR]
    assert hits
    for event in hits:
        assert motion.things(event.beat)[event.thing].y_m == pytest.approx(-0.9, abs=1e-6)
    for event in motion.score.events(4, 30):
        if event.kind in (EventKind.THROW, EventKind.CATCH):
            assert motion.things(event.beat)[event.thing].y_m == pytest.approx(0, abs=1e-4)
    lowest = min(spot.y_m for n in range(4000) for spot in motion.things(n / 100))
    assert lowest >= -0.9 - 1e-9


def test_a_change_of_tempo_bends_no_throw_already_made() -> None:
    motion = motion_of("5")
    faster = replace(motion, tempo=TEMPO.with_tempo(Fraction(8), Fraction(300)))
    assert motion.things(8.7)[motion_thing(motion, 6)] == faster.things(8.7)[motion_thing(motion, 6)]
    thing = motion_thing(motion, 9)
    assert faster.things(10)[thing].y_m == pytest.approx(motion.things(10)[thing].y_m * (200 / 300) ** 2)


@pytest.mark.parametrize("text", ["51", "7131", "97531", "(6x,2x)", "[43]23"])
def test_the_entry_hands_over_every_object_without_a_jump(text: str) -> None:
    pattern = parse_any(text)
    link = find_entry(pattern)
    assert link is not None
    score = Score(pattern, entry=link)
    motion = Motion(score, TEMPO)
    beats = [Fraction(number, 200) for number in range(-200 * (score.lead_beats + 2), 200 * 8)]
    last = motion.things(beats[0])
    assert all(spot.hand != IN_THE_AIR for spot in last)
    for beat in beats[1:]:
        now = motion.things(beat)
        assert all(apart_m(one, other) < 0.12 for one, other in zip(last, now, strict=True)), beat
        last = now
    thrown = {
        (thing, trip)
        for thing in range(pattern.objects)
        for event in score.events(-score.lead_beats, 0)
        if isinstance(trip := motion.trip(thing, float(event.beat)), Trip) and trip.start == event.beat
    }
    assert len(thrown) == len(link.throws)


@pytest.mark.parametrize("jugglers", range(2, 7))
@pytest.mark.parametrize(
    "arrangement", ["", "face to face", "side by side", "one behind the other", "back to back", "feed", "line"]
)
def test_no_juggler_stands_before_another_and_no_hands_in_one_place(jugglers: int, arrangement: str) -> None:
    places = arrange(jugglers, arrangement)
    assert len(places) == jugglers
    across = sorted(place.x_m for place in places)
    assert all(right - left > 0.4 for left, right in pairwise(across))
    assert all(abs(place.width) >= 0.35 for place in places)


def test_two_face_to_face_are_seen_from_behind_and_from_the_front() -> None:
    left, right = arrange(2, "face to face")
    assert left.x_m < 0 < right.x_m
    assert left.width * right.width < 0
    assert [place.width for place in arrange(2, "side by side")] == [1.0, 1.0]
