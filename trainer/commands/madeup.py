"""A made-up practice group: invented people of an invented place, and the tries a seeded chance gives them.

Nothing in it was measured on anybody. Each juggler has drills; a drill's mean catches grow with practice by a power
law, single tries fall off as runs with one chance of a miss do, and there are bad days, breaks and things said.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from math import exp
from random import Random
from typing import Final

from trainer.library.chosen import Chosen
from trainer.practice.climbs.climb import STAIRCASE, Climb
from trainer.practice.climbs.ladder import TempoLadder, TempoStep
from trainer.practice.guide import Aim
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.records.courses import ClimbKind, LoggedClimb

SEED: Final = 20
SIGN: Final = "DEMO: the Thursday group of Lanternfold. Place, people and tries are made up."


@dataclass(frozen=True, slots=True)
class Drill:
    """What a juggler practises, as the library names it, from so many weeks ago on.

    first: mean catches at the very start; exponent: of their growth; tries: on a usual day.
    step_bpm: how much faster the tempo gets every six weeks; 0 for no such course, and no climbs then.
    """

    pattern: str
    prop: str
    counted_by: CountedBy
    weeks: int
    first: float
    exponent: float
    tries: int
    step_bpm: int = 0


@dataclass(frozen=True, slots=True)
class Juggler:
    """One of the group. days: of the week with practice, Monday is 0; away: weeks ago without any, from and to."""

    name: str
    hour: int
    days: tuple[int, ...]
    away: tuple[int, int]
    drills: tuple[Drill, ...]
    notes: tuple[str, ...]


BEAT, TAPS, HAND = CountedBy

GROUP: Final = (
    Juggler("Mira", 18, (0, 1, 3, 5), (21, 18), (
        Drill("5 cascade", "balls", BEAT, 32, 3.5, 0.26, 10, 5),
        Drill("Mills Mess", "balls", BEAT, 30, 2.0, 0.42, 8),
        Drill("531", "balls", BEAT, 12, 3.0, 0.35, 6),
    ), ("tired, stopped early", "new beanbags", "throws drift to the left", "felt easy today")),
    Juggler("Юна", 7, (0, 1, 2, 3, 4), (10, 9), (
        Drill("3 cascade", "clubs", BEAT, 30, 2.5, 0.38, 7),
        Drill("4 fountain", "clubs", BEAT, 20, 2.0, 0.33, 7),
    ), ("слишком низкий потолок", "левая рука устала", "хороший день")),
    Juggler("ひかり", 20, (1, 3, 6), (30, 28), (
        Drill("4 fountain", "rings", TAPS, 28, 4.0, 0.30, 9, 5),
        Drill("441", "balls", BEAT, 15, 3.0, 0.36, 8),
    ), ("風が強かった", "調子がいい")),
    Juggler("نور", 17, (2, 3, 5), (6, 5), (
        Drill("3 cascade", "balls", BEAT, 26, 2.2, 0.45, 15),
        Drill("423", "balls", BEAT, 14, 3.0, 0.30, 8),
    ), ("الضوء كان ضعيفا", "يوم جيد")),
    Juggler("Łucja", 16, (0, 2, 3, 4), (99, 99), (
        Drill("3 cascade", "scarves", HAND, 2, 2.0, 0.30, 10),
        Drill("3 cascade", "balls", HAND, 1, 1.5, 0.20, 12),
    ), ("pierwsze sześć!", "na trawie lepiej")),
)  # fmt: skip
"""Each course has something to see: a long one, one with a break, one by taps, one too short for a curve."""


@dataclass(frozen=True, slots=True)
class Climbed:
    """A staircase from its start to what it found, and its tries."""

    climb: LoggedClimb
    attempts: tuple[Attempt, ...]


@dataclass(frozen=True, slots=True)
class Evening:
    """One juggler's practice of one day. Its attempts and climbs have no session yet: its number is 0."""

    began: datetime
    attempts: tuple[Attempt, ...]
    climbs: tuple[Climbed, ...] = ()


def evenings(chance: Random, now: datetime, drilled: dict[str, Chosen]) -> Iterator[Evening]:
    """The whole group's practice up to `now` (with its offset), oldest first. drilled: every pattern in GROUP."""
    practice = {(juggler.name, drill): 0.0 for juggler in GROUP for drill in juggler.drills}
    weeks = max(drill.weeks for juggler in GROUP for drill in juggler.drills)
    for back in range(7 * weeks, -1, -1):
        day = now - timedelta(days=back)
        for juggler in sorted(GROUP, key=lambda one: one.hour):
            began = day.replace(hour=juggler.hour, minute=chance.randrange(40), second=0, microsecond=0)
            from_week, to_week = juggler.away
            if day.weekday() not in juggler.days or to_week <= back / 7 <= from_week or chance.random() < 0.1:
                if back == 7 * to_week:  # what a break takes
                    practice.update({key: 0.7 * done for key, done in practice.items() if key[0] == juggler.name})
                continue
            attempts = tuple(_evening(chance, juggler, began, back, practice, drilled))
            if attempts and began + timedelta(hours=2) <= now:
                yield Evening(began, attempts, tuple(_climbs(chance, juggler, began, back, drilled)))


def _evening(
    chance: Random, juggler: Juggler, began: datetime, back: int,
    practice: dict[tuple[str, Drill], float], drilled: dict[str, Chosen],
) -> Iterator[Attempt]:  # fmt: skip
    shape = chance.lognormvariate(0, 0.15) * (0.55 if chance.random() < 0.08 else 1)
    at = began
    for drill in juggler.drills:
        if back > 7 * drill.weeks:
            continue
        for _ in range(max(3, round(chance.gauss(drill.tries, drill.tries / 4)))):
            practice[juggler.name, drill] += 1
            mean = shape * drill.first * practice[juggler.name, drill] ** drill.exponent
            steps = (7 * drill.weeks - back) // 42  # every six weeks
            tempo = drilled[drill.pattern].tempo_bpm + drill.step_bpm * steps
            attempt = _attempt(chance, juggler, drill, at, mean, drilled[drill.pattern], tempo)
            at += timedelta(seconds=25 + (attempt.seconds or 0))
            yield attempt


def _attempt(
    chance: Random, juggler: Juggler, drill: Drill, at: datetime, mean: float, chosen: Chosen, tempo: Fraction
) -> Attempt:
    catches = int(chance.expovariate(1 / mean) + 0.5)
    given_up = chance.random() < 0.02
    clean = catches >= chosen.goals.qualify and chance.random() < 0.25
    return Attempt(
        started_at=at,
        pattern=chosen.choice.pattern.text,
        name=chosen.choice.name,
        objects=chosen.choice.pattern.objects,
        tempo=tempo,
        dwell=chosen.score.dwell,
        flash_at=chosen.goals.flash,
        qualify_at=chosen.goals.qualify,
        prop=drill.prop,
        counted_by=drill.counted_by,
        taps_unit=TapsUnit.CATCH if drill.counted_by is TAPS else None,
        juggler=juggler.name,
        catches=None if given_up else catches,
        seconds=round(60 / float(tempo) * (catches + chosen.choice.pattern.objects), 2),
        ended=Ended.GIVEN_UP if given_up else Ended.COLLECTED if clean else Ended.DROP,
        note=chance.choice(juggler.notes) if chance.random() < 0.015 else "",
        fair=chance.random() > 0.01,
    )


def _climbs(
    chance: Random, juggler: Juggler, began: datetime, back: int, drilled: dict[str, Chosen]
) -> Iterator[Climbed]:
    """Every three weeks, on one of the days with practice, a staircase of each drill that has a course of tempo."""
    for drill in juggler.drills:
        week = back // 7
        if drill.step_bpm and week <= drill.weeks and week % 3 == 1 and began.weekday() == juggler.days[1]:
            weeks_on = drill.weeks - week
            held_bpm = float(drilled[drill.pattern].tempo_bpm) * (0.9 + 0.004 * weeks_on) + chance.gauss(0, 4)
            yield _climb(chance, juggler, drill, began + timedelta(hours=1), held_bpm, drilled[drill.pattern])


def _climb(chance: Random, juggler: Juggler, drill: Drill, began: datetime, held_bpm: float, chosen: Chosen) -> Climbed:
    """A staircase carried out try by try; held_bpm: the tempo made up to be held 70.7 times in 100."""
    start_bpm = Fraction(round(held_bpm) - 15)
    aim = Aim(catches=chosen.goals.qualify)
    climb = Climb(TempoLadder(chosen.choice, start_bpm, TempoStep(Fraction(5)), aim), STAIRCASE, drill.counted_by)
    attempts: list[Attempt] = []
    at = began
    while not climb.done:
        tempo = climb.rung.tempo_bpm
        held = chance.random() < 1 / (1 + exp((float(tempo) - held_bpm) / 8 - 0.88))
        caught = chosen.goals.qualify if held else chance.randrange(chosen.goals.qualify)
        attempt = replace(
            _attempt(chance, juggler, drill, at, 1, chosen, tempo),
            catches=caught, ended=Ended.GOAL if held else Ended.DROP, note="", fair=True,
        )  # fmt: skip
        attempts.append(attempt)
        climb = climb.after(attempt, 0)
        at += timedelta(seconds=20)
    found = climb.threshold
    return Climbed(
        LoggedClimb(
            started_at=began, kind=ClimbKind.TEMPO, rule=STAIRCASE.kind,
            pattern=chosen.choice.pattern.text, name=chosen.choice.name, prop=drill.prop, counted_by=drill.counted_by,
            start=start_bpm, step="5", goal="qualify", up_after=STAIRCASE.up_after, down_after=STAIRCASE.down_after,
            threshold=found.tempo_bpm if found else None, spread=found.spread if found else None, ended_at=at,
        ),
        tuple(attempts),
    )  # fmt: skip
