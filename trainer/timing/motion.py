"""Motion: where every object and every hand of a score is at a beat.

Positions are metres in the picture: to the right of its middle, and above the height of throws and catches. In the
air an object is on its parabola, or goes to the floor and back; in a hand it is where the hand is. Throws, catches
and floor hits are at the beats of the score, so they are seen when they are heard.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

from trainer.timing import flight
from trainer.timing.arrangement import JugglerPlace
from trainer.timing.bounce import Bounce
from trainer.timing.flight import GRAVITY_M_S2
from trainer.timing.hands import OUTSIDE_M, SCOOP_M, HandPaths, Manner, hand_index
from trainer.timing.score import EventKind, Score, Twos
from trainer.timing.tempo import TempoMap

IN_THE_AIR = -1
SPREAD_M = 0.12
"""Distance at the top between two objects that leave one hand together for the same place."""

ELBOW_M, ELBOW_DOWN_M = 0.24, 0.30
"""Where a forearm begins: outward from the middle of the body, and below the hands."""

LATE = 1e-9
"""Two times are the same if they differ by less, in beats."""


class Spot(NamedTuple):
    """A position in metres. hand: the hand that is there, as counted by hand_index, or IN_THE_AIR."""

    x_m: float
    y_m: float
    hand: int = IN_THE_AIR


class Trip(NamedTuple):
    """One flight of an object.

    start, stop: beats. from_hand, to_hand: as counted by hand_index. aside: how far it flies aside, in SPREAD_M, where
    several objects leave together.
    """

    start: float
    stop: float
    value: int
    from_hand: int
    to_hand: int
    aside: float = 0.0


class _Leg(NamedTuple):
    """A throw of an orbit: beats from the orbit's first throw, and its index in the pattern's throws."""

    start: int
    throw: int


@dataclass(frozen=True)
class Motion:
    """A score in motion.

    tempo: the height of a throw follows from the tempo on its own beat, so a later change bends no flight. places: one
    for each juggler. bounces: values that go to the floor, each with its bounce; the floor is hit on the beat that the
    score gives. hand_m: height of the hands above the floor.
    """

    score: Score
    tempo: TempoMap
    manner: Manner = Manner.PLAIN
    places: tuple[JugglerPlace, ...] = (JugglerPlace(),)
    bounces: tuple[tuple[int, Bounce], ...] = ()
    hand_m: float = 1.0

    def things(self, beat: Fraction | float) -> tuple[Spot, ...]:
        """Return where each object is, by its number in the score."""
        at = float(beat)
        return tuple(self._thing(thing, at) for thing in range(self.score.pattern.objects))

    def hands(self, beat: Fraction | float) -> tuple[Spot, ...]:
        """Return where each hand is, in the order of hand_index."""
        at = float(beat)
        return tuple(self._hand(index, at) for index in range(2 * self.score.pattern.jugglers))

    @property
    def elbows(self) -> tuple[Spot, ...]:
        """Where the forearm of each hand begins, in the order of hand_index."""
        return tuple(
            Spot(place.x_m + place.width * side * ELBOW_M, -ELBOW_DOWN_M, 2 * number + (side < 0))
            for number, place in enumerate(self.places)
            for side in (1, -1)
        )

    def trip(self, thing: int, beat: float) -> Trip | int:
        """Return the flight that an object is on at a beat, or the hand that holds it."""
        lead = self._leads.get(thing, ())
        first_beat, first_hand = self._firsts[thing]
        if beat < first_beat - LATE:
            place = bisect_right(lead, (beat + LATE, float("inf"))) - 1
            if place < 0:
                return lead[0].from_hand if lead else first_hand
            return lead[place] if beat < lead[place].stop - LATE else lead[place].to_hand
        orbit, phase = self._orbit_of[thing]
        legs, length = self._orbits[orbit]
        since = (beat + LATE - phase) % length
        leg = legs[bisect_right(legs, (since, len(self.score.pattern.throws))) - 1]
        start = round(beat + LATE - since + leg.start)
        throw = self.score.pattern.throws[leg.throw]
        turn = (start - throw.beat) // self.score.pattern.period
        to_hand = self._paths.index_of(throw.to_juggler, throw.to_hand, turn)
        stop = start + self._lengths[leg.throw]
        if beat >= stop - LATE:
            return to_hand
        from_hand = self._paths.index_of(throw.juggler, throw.hand, turn)
        return Trip(float(start), stop, throw.value, from_hand, to_hand, self._asides[leg.throw])

    def apex_m(self, value: int, beat: float = 0.0) -> float:
        """Return the height above the hands of a toss of that value made on a beat."""
        segments = self.tempo.segments
        bpm = self.tempo.tempo_at(Fraction(round(beat))) if len(segments) > 1 else segments[0].tempo_bpm
        apex_m = self._apexes.get((value, bpm))
        if apex_m is None:
            seconds = flight.flight_s(value, self.score.dwell, bpm)
            apex_m = self._apexes[value, bpm] = flight.apex_m(seconds)
        return apex_m

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """The edges of the picture, left, right, bottom and top, in metres; body and floor are within."""
        bounces = dict(self.bounces)
        values = {throw.value for throw in self.score.pattern.throws if self.score.flight(throw)}
        tops = [bounces[value].top_m if value in bounces else self.apex_m(value, 1e9) for value in values]
        releases = [bounce.release_m_s for bounce in bounces.values() if bounce.release_m_s > 0]
        tops += [speed * speed / (2 * GRAVITY_M_S2) for speed in releases]
        left = min(place.x_m - abs(place.width) * OUTSIDE_M for place in self.places)
        right = max(place.x_m + abs(place.width) * OUTSIDE_M for place in self.places)
        bottom = -max(self.hand_m if bounces else 0.0, ELBOW_DOWN_M, SCOOP_M)
        return left, right, bottom, max(tops, default=0.0)

    # -- inside ---------------------------------------------------------------------------------------------

    def _hand(self, index: int, beat: float) -> Spot:
        place = self.places[index // 2]
        across_m, up_m = self._paths.at(index, beat)
        return Spot(place.x_m + place.width * across_m, up_m, index)

    def _thing(self, thing: int, beat: float) -> Spot:
        trip = self.trip(thing, beat)
        if isinstance(trip, int):
            return self._hand(trip, beat)
        start, stop = self._hand(trip.from_hand, trip.start), self._hand(trip.to_hand, trip.stop)
        done = (beat - trip.start) / (trip.stop - trip.start)
        bow = 4 * done * (1 - done)
        x_m = start.x_m + (stop.x_m - start.x_m) * done + trip.aside * SPREAD_M * bow
        y_m = start.y_m + (stop.y_m - start.y_m) * done
        if trip.value in self._bounces:
            return Spot(x_m, y_m + self._bounced_m(trip, beat))
        return Spot(x_m, y_m + self.apex_m(trip.value, trip.start) * bow)

    def _bounced_m(self, trip: Trip, beat: float) -> float:
        """Return the height of a bouncing object, which hits the floor on the beat that the score gives."""
        bounce, floor = self._bounces[trip.value]
        since = beat - trip.start
        if since < floor:
            at_s = since / floor * bounce.floor_s
            return bounce.release_m_s * at_s - GRAVITY_M_S2 * at_s * at_s / 2
        at_s = (since - floor) / (trip.stop - trip.start - floor) * bounce.back_s
        return -self.hand_m + bounce.rebound_m_s * at_s - GRAVITY_M_S2 * at_s * at_s / 2

    @cached_property
    def _paths(self) -> HandPaths:
        return HandPaths(self.score, self.manner)

    @cached_property
    def _bounces(self) -> dict[int, tuple[Bounce, float]]:
        """Value → its bounce, and the beats from the throw to the floor."""
        floor_beats = dict(self.score.floor_beats)
        return {value: (bounce, float(floor_beats[value])) for value, bounce in self.bounces if value in floor_beats}

    @cached_property
    def _apexes(self) -> dict[tuple[int, Fraction], float]:
        return {}

    @cached_property
    def _lengths(self) -> tuple[float, ...]:
        return tuple(float(self.score.flight(throw)) for throw in self.score.pattern.throws)

    @cached_property
    def _orbits(self) -> tuple[tuple[tuple[_Leg, ...], int], ...]:
        """Each orbit as its throws and its length in beats."""
        throws = self.score.pattern.throws
        found = []
        for orbit in self.score.pattern.orbits():
            *starts, length = accumulate((throws[index].value for index in orbit), initial=0)
            found.append((tuple(map(_Leg, starts, orbit)), length))
        return tuple(found)

    @cached_property
    def _orbit_of(self) -> tuple[tuple[int, int], ...]:
        """For each object the index of its orbit, and a beat on which it makes the orbit's first throw."""
        pattern = self.score.pattern
        return tuple(
            (number, pattern.throws[orbit[0]].beat + turn * pattern.period)
            for number, orbit in enumerate(pattern.orbits())
            for turn in range(pattern.orbit_objects(orbit))
        )

    @cached_property
    def _asides(self) -> tuple[float, ...]:
        """For each throw how far aside it flies: 0 unless others leave with it for the same place."""
        together: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for index, t in enumerate(self.score.pattern.throws):
            together[t.beat, t.juggler, t.hand, t.value, t.to_juggler, t.to_hand].append(index)
        asides = {
            index: place - (len(mates) - 1) / 2 for mates in together.values() for place, index in enumerate(mates)
        }
        return tuple(asides[index] for index in range(len(asides)))

    @cached_property
    def _firsts(self) -> tuple[tuple[float, int], ...]:
        """For each object the beat and the hand of its first throw or hold in the pattern."""
        found: dict[int, tuple[float, int]] = {}
        for event in self.score.events(0, self.score.pattern.period + self.score.pattern.highest):
            if event.kind in (EventKind.THROW, EventKind.HOLD) and event.hand is not None:
                found.setdefault(event.thing, (float(event.beat), hand_index(event.juggler, event.hand)))
        return tuple(found[thing] for thing in range(self.score.pattern.objects))

    @cached_property
    def _leads(self) -> dict[int, tuple[Trip, ...]]:
        """For each object its throws of the entry, up to its first throw in the pattern."""
        wanted = dict(enumerate(self._firsts))
        found: dict[int, tuple[Trip, ...]] = {}
        for trip in sorted(self._entry_trips(), reverse=True):
            due = (trip.start + trip.value, trip.to_hand)
            thing = next((thing for thing, slot in wanted.items() if slot == due), None)
            if thing is not None:
                found[thing] = (trip, *found.get(thing, ()))
                wanted[thing] = (trip.start, trip.from_hand)
        return found

    def _entry_trips(self) -> Iterator[Trip]:
        score = self.score
        for beat, value, hand, to_hand in score.entry_throws:
            held = value == 2 and hand is to_hand and score.twos is Twos.HELD
            length = 0.0 if held else float(flight.flight_beats(value, score.dwell))
            yield Trip(float(beat), beat + length, value, hand_index(0, hand), hand_index(0, to_hand))
