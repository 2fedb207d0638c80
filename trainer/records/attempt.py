"""One attempt, and one correction of an attempt, as the logbook holds them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import TypedDict

from trainer.records.counting import CountedBy as CountedBy
from trainer.records.counting import Ended as Ended
from trainer.records.counting import TapsUnit as TapsUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One attempt; one without `ended` is under way. Enums may be given by their words. ValueError if it can't be."""

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
    climb_uid: str | None = None
    plan_run_uid: str | None = None
    block: int | None = None  # of the plan, from 0
    removed: bool = False  # counts nowhere, and can be restored
    session_id: int = 0  # its number in the logbook it was read from, as id is: another file may mean another by it
    id: int | None = None
    uid: str | None = None  # the same in every logbook; given by the logbook to an attempt that has none
    best: bool = False  # the logbook works it out

    def __post_init__(self) -> None:
        take_words(self, {"counted_by": CountedBy, "taps_unit": TapsUnit, "ended": Ended})
        refuse_no_offset(self.started_at)
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
    """Those fields of an attempt that are set right."""

    catches: int | None
    ended: Ended
    fair: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """One field of an attempt that was set right. before, after: its values as the logbook stores them."""

    attempt_id: int
    corrected_at: datetime
    field: str
    before: str | int | None
    after: str | int | None


def take_words(record: object, kinds: Mapping[str, type[StrEnum]]) -> None:
    """Turn the fields of a frozen record that were given by their words into enums; ValueError for another word."""
    for field, kind in kinds.items():
        value = getattr(record, field)
        if value is not None and type(value) is not kind:
            object.__setattr__(record, field, kind(value))


def refuse_no_offset(at: datetime) -> None:
    """ValueError for a moment without an offset from UTC."""
    if at.utcoffset() is None:
        raise ValueError("started_at has no offset from UTC")
