"""Explanation: a pattern at a tempo with what the library says of it, and its figures as JSON."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from trainer.library.catalogue import difficulty_of
from trainer.library.chosen import Chosen
from trainer.siteswap import states
from trainer.siteswap.throws import Hand, Throw
from trainer.timing import flight
from trainer.timing.counting import all_up
from trainer.timing.score import Score
from trainer.timing.tempo import to_number


@dataclass(frozen=True, slots=True)
class Explanation:
    """A choice as it is practised, with all that the library says of it. stride_m: length of a step on the run."""

    chosen: Chosen
    stride_m: float

    def beats_to_s(self, beats: Fraction | int) -> float:
        """Return how many seconds some beats last."""
        return float(beats * 60 / self.chosen.tempo_bpm)

    def flight_s(self, throw: Throw) -> float:
        """Return the seconds that a throw is in the air; 0 for a held 2 and an empty hand."""
        return self.beats_to_s(self.chosen.score.flight(throw))

    def dwell_s(self, throw: Throw) -> float:
        """Return the seconds that the object then rests in the hand; of a held 2, all the time that it stays there."""
        return self.beats_to_s(throw.value - self.chosen.score.flight(throw))


def to_json(explained: Explanation) -> dict[str, Any]:
    """Return the figures with the keys that the README lists: beats from 0, jugglers from 1, seconds and metres."""
    choice, score = explained.chosen.choice, explained.chosen.score
    pattern, entry, goals = choice.pattern, choice.entry, explained.chosen.goals
    difficulty = difficulty_of(choice)
    return {
        "pattern": pattern.text,
        "names": list(entry.names) if entry else [],
        "kind": pattern.kind.value,
        "jugglers": pattern.jugglers,
        "objects": pattern.objects,
        "period": pattern.period,
        "highest": pattern.highest,
        "round": pattern.round,
        "ground": states.is_ground(pattern),
        "prime": states.is_prime(pattern),
        "symmetric": pattern.symmetric,
        "flash": goals.flash,
        "qualify": goals.qualify,
        "tempo": to_number(explained.chosen.tempo_bpm),
        "dwell": float(score.dwell),
        "throws": [_throw_to_json(explained, throw) for throw in pattern.throws],
        "orbits": [list(orbit) for orbit in pattern.orbits()],
        "all_up": [
            {
                "start_beat": to_number(window.start_beat),
                "beats": to_number(window.beats),
                "seconds": explained.beats_to_s(window.beats),
            }
            for window in all_up(score)
        ],
        **({"cues": list(map(str, entry.cues))} if entry and entry.cues else {}),
        **_carried_to_json(explained),
        "difficulty": {"points": difficulty.points, "parts": {part.name: part.points for part in difficulty.parts}},
    }


def _throw_to_json(explained: Explanation, throw: Throw) -> dict[str, Any]:
    score = explained.chosen.score
    seconds = explained.flight_s(throw)
    return {
        "beat": throw.beat,
        "hand": score.hand(throw.hand, 0).value,
        "juggler": throw.juggler + 1,
        "value": throw.value,
        "crosses": throw.crosses,
        "to_hand": score.hand(throw.to_hand, 0).value,
        "to_juggler": throw.to_juggler + 1,
        "held": score.is_held(throw),
        "flight_s": seconds,
        "dwell_s": explained.dwell_s(throw),
        "apex_m": flight.apex_m(seconds),
    }


def _carried_to_json(explained: Explanation) -> dict[str, Any]:
    """Return the figures of floor and feet; none for a pattern that is tossed standing."""
    score, tempo_bpm, carriage = explained.chosen.score, explained.chosen.tempo_bpm, explained.chosen.carriage
    figures: dict[str, Any] = {}
    if carriage.bounce is not None:
        figures["bounce"] = {
            "way": carriage.bounce.value,
            "hand_m": carriage.hand_m,
            "restitution": carriage.restitution,
            "throws": [
                {
                    "value": value,
                    "release_m_s": bounce.release_m_s,
                    "floor_s": bounce.floor_s,
                    "caught": bounce.caught.value,
                    "top_m": bounce.top_m,
                }
                for value, bounce in carriage.bounces(score, tempo_bpm).items()
            ],
            "trouble": explained.chosen.trouble,
        }
    cadence = carriage.steps_a_minute(tempo_bpm)
    if cadence is not None:
        figures["steps_a_minute"] = to_number(cadence)
        figures["pace_km_h"] = carriage.pace_km_h(tempo_bpm, explained.stride_m)
    return figures


def start_hands(score: Score) -> dict[tuple[int, Hand], int]:
    """Count the objects that each hand of each juggler holds before the first throw of the pattern as written.

    An excited pattern starts from these too: its hands then hold as many objects as its first throws take.
    """
    pattern = score.pattern
    held: dict[tuple[int, Hand], int] = {}
    for (juggler, side), row in zip(states.channels(pattern), states.state_before(pattern, 0), strict=True):
        for offset, count in enumerate(row):
            hand = score.hand(Hand(side) if side else (Hand.RIGHT if offset % 2 == 0 else Hand.LEFT), 0)
            held[juggler, hand] = held.get((juggler, hand), 0) + count
    return held
