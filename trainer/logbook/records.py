"""What the logbook holds, as plain values: one attempt, a correction of one, and what `log --json` prints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import TypedDict

from trainer.datafile import DataError


class LogbookError(DataError):
    """Why the logbook could not be read or written; str() is one line that begins with the file."""


class CountedBy(StrEnum):
    """The three ways to count catches, never mixed in one figure."""

    BEAT = "beat"
    TAPS = "taps"
    HAND = "hand"


class TapsUnit(StrEnum):
    """What one tap counts."""

    CATCH = "catch"
    RIGHT = "right"
    ROUND = "round"


class ClimbKind(StrEnum):
    """What a climb climbs: the tempo of one pattern, or the number of objects of a family."""

    TEMPO = "tempo"
    OBJECTS = "objects"


class ClimbRule(StrEnum):
    """When a climb steps: after so many in a row either way, or as a staircase that tells a threshold."""

    PLAIN = "plain"
    STAIRCASE = "staircase"


class Ended(StrEnum):
    """How an attempt ended."""

    DROP = "drop"
    COLLECTED = "collected"
    GOAL = "goal"
    GIVEN_UP = "given-up"
    TIME = "time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One attempt; without `ended` it is under way. Words are taken for the enums. ValueError if it can't be."""

    session_id: int
    started_at: datetime  # with an offset from UTC
    pattern: str  # canonical text
    objects: int
    tempo: Fraction  # beats per minute
    dwell: Fraction  # share of a hand's cycle
    flash_at: int  # catches
    qualify_at: int  # catches
    prop: str = "balls"
    counted_by: CountedBy = CountedBy.BEAT
    taps_unit: TapsUnit | None = None
    name: str | None = None  # of the pattern, if the library has one
    juggler: str | None = None
    catches: int | None = None  # None until typed in, or if nobody knows
    seconds: float | None = None  # from the first throw to the end
    ended: Ended | None = None
    hiccups: int = 0  # of the sound while it ran
    note: str = ""
    fair: bool = True  # an unfair one is kept, and counts for no best
    climb_id: int | None = None
    plan_run_id: int | None = None
    block: int | None = None  # of the plan, from 0
    removed: bool = False  # counts nowhere, and can be restored
    id: int | None = None  # the logbook gives it
    uid: str | None = None  # the logbook gives it: the same in every logbook the attempt is imported into
    best: bool = False  # the logbook works it out

    def __post_init__(self) -> None:
        _take_words(self, {"counted_by": CountedBy, "taps_unit": TapsUnit, "ended": Ended})
        _refuse_no_offset(self.started_at)
        if not self.pattern or not self.prop:
            raise ValueError("pattern and prop are texts, not empty")
        if min(self.objects, self.hiccups, self.catches or 0) < 0 or (self.seconds or 0) < 0:
            raise ValueError("a count is below 0")
        if not 0 < self.flash_at <= self.qualify_at:
            raise ValueError("flash_at is above 0 and at most qualify_at")
        if not 0 < self.dwell < 1 or self.tempo <= 0:
            raise ValueError("dwell is between 0 and 1, and tempo above 0")

    @property
    def flash(self) -> bool:
        """Whether it was flashed."""
        return self.catches is not None and self.catches >= self.flash_at

    @property
    def qualify(self) -> bool:
        """Whether it was qualified."""
        return self.catches is not None and self.catches >= self.qualify_at


class Corrected(TypedDict, total=False):
    """The fields of an attempt that can be set right, those of them that are."""

    catches: int | None
    ended: Ended
    fair: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """A climb as it was set; where it stands follows from its attempts, in their order. Words are taken for the enums.

    start, target: beats per minute, or objects. step: of the tempo, such as '5' or '3%'; of the objects, '1'.
    goal: of one attempt, such as 'flash', 'qualify', '12 catches', '10 s'. threshold, spread: of a staircase that has
    ended, in beats per minute.
    """

    session_id: int
    started_at: datetime  # with an offset from UTC
    kind: ClimbKind
    rule: ClimbRule
    pattern: str
    start: Fraction
    step: str
    goal: str
    up_after: int  # successes in a row
    down_after: int  # misses in a row
    target: Fraction | None = None
    prop: str = "balls"
    counted_by: CountedBy = CountedBy.BEAT
    name: str | None = None  # of the pattern, if the library has one
    rung_by: str | None = None  # of an object climb: what stays the same from rung to rung
    threshold: float | None = None
    spread: float | None = None
    ended_at: datetime | None = None
    id: int | None = None  # the logbook gives it
    uid: str | None = None  # the logbook gives it

    def __post_init__(self) -> None:
        _take_words(self, {"kind": ClimbKind, "rule": ClimbRule, "counted_by": CountedBy})
        _refuse_no_offset(self.started_at)
        if min(self.up_after, self.down_after) < 1:
            raise ValueError("a climb steps after 1 or more in a row")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRun:
    """One time through a plan: which block it stands in, from 0, and how many seconds of it are done."""

    session_id: int
    started_at: datetime  # with an offset from UTC
    name: str
    plan: str  # its TOML as it was when the run began
    block: int = 0
    elapsed_s: float = 0.0
    ended_at: datetime | None = None
    id: int | None = None  # the logbook gives it
    uid: str | None = None  # the logbook gives it

    def __post_init__(self) -> None:
        _refuse_no_offset(self.started_at)
        if self.block < 0 or self.elapsed_s < 0:
            raise ValueError("a plan's run stands at block 0 or later, at 0 s or later")


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """One field of an attempt set right afterwards; `before` and `after` are as the logbook stores them."""

    attempt_id: int
    corrected_at: datetime
    field: str
    before: str | int | None
    after: str | int | None


def log_json(attempts: Iterable[Attempt]) -> list[dict[str, str | int | float | bool | None]]:
    """The attempts as rows for JSON: plain texts and numbers, in the order given."""
    return [
        {
            "id": attempt.id,
            "started_at": attempt.started_at.isoformat(),
            "pattern": attempt.pattern,
            "name": attempt.name,
            "objects": attempt.objects,
            "prop": attempt.prop,
            "juggler": attempt.juggler,
            "tempo": _number(attempt.tempo),
            "dwell": _number(attempt.dwell),
            "counted_by": str(attempt.counted_by),
            "catches": attempt.catches,
            "seconds": attempt.seconds,
            "ended": None if attempt.ended is None else str(attempt.ended),
            "flash": attempt.flash,
            "qualify": attempt.qualify,
            "best": attempt.best,
            "fair": attempt.fair,
            "note": attempt.note,
        }
        for attempt in attempts
    ]


def _take_words(record: object, kinds: Mapping[str, type[StrEnum]]) -> None:
    for field, kind in kinds.items():
        value = getattr(record, field)
        if value is not None and type(value) is not kind:
            object.__setattr__(record, field, kind(value))


def _refuse_no_offset(at: datetime) -> None:
    if at.utcoffset() is None:
        raise ValueError("started_at has no offset from UTC")


def _number(exact: Fraction) -> int | float:
    return exact.numerator if exact.denominator == 1 else float(exact)
