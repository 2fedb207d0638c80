"""What tries are made in a row for: a climb as it was set, and one run of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from trainer.records.attempt import CountedBy, refuse_no_offset, take_words


class ClimbKind(StrEnum):
    """What a climb climbs: the tempo of one pattern, or the number of objects of a family."""

    TEMPO = "tempo"
    OBJECTS = "objects"


class ClimbRule(StrEnum):
    """When a climb steps: after so many in a row either way, or as a staircase that tells a threshold."""

    PLAIN = "plain"
    STAIRCASE = "staircase"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedClimb:
    """A climb as it was set; where it stands follows from its attempts, in their order. Words are taken for the enums.

    start, target: beats per minute, or objects. step: of the tempo, such as '5' or '3%'; of the objects, '1'.
    goal: of each attempt, such as 'flash', 'qualify', '12 catches', '10 s'. threshold, spread: of a staircase that has
    ended, in beats per minute.
    """

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
    session_id: int = 0  # its number in the logbook it was read from, as id is: another file may mean another by it
    id: int | None = None
    uid: str | None = None  # the same in every logbook; given by the logbook to a record that has none

    def __post_init__(self) -> None:
        take_words(self, {"kind": ClimbKind, "rule": ClimbRule, "counted_by": CountedBy})
        refuse_no_offset(self.started_at)
        if min(self.up_after, self.down_after) < 1:
            raise ValueError("a climb steps after 1 or more in a row")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRun:
    """One time through a plan. block: where it stands, from 0. elapsed_s: seconds of that block that are done."""

    started_at: datetime  # with an offset from UTC
    name: str
    plan: str  # its TOML as it was when the run began
    block: int = 0
    elapsed_s: float = 0.0
    ended_at: datetime | None = None
    session_id: int = 0  # its number in the logbook it was read from, as id is: another file may mean another by it
    id: int | None = None
    uid: str | None = None  # the same in every logbook; given by the logbook to a record that has none

    def __post_init__(self) -> None:
        refuse_no_offset(self.started_at)
        if self.block < 0 or self.elapsed_s < 0:
            raise ValueError("a plan's run stands at block 0 or later, at 0 s or later")
