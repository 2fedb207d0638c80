"""The fields of exported climbs, plan runs and corrections, which only the JSON format has."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from trainer.files import texts
from trainer.logbook import fields as kinds
from trainer.logbook.fields import Column, WrongValue, as_json, read_given, read_one
from trainer.records.attempt import Correction, CountedBy
from trainer.records.courses import ClimbKind, ClimbRule, LoggedClimb, PlanRun

COURSE: Final = (
    Column("uid", "uid", kinds.uid, must=True),
    Column("session_started_at", "session_started_at", kinds.moment, must=True),
    Column("started_at", "started_at", kinds.moment, must=True),
    Column("ended_at", "ended_at", kinds.moment),
)
CLIMB: Final = (
    *COURSE,
    Column("kind", "kind", kinds.one_of(ClimbKind), must=True),
    Column("rule", "rule", kinds.one_of(ClimbRule), must=True),
    Column("pattern", "pattern", kinds.of_kind(texts.PATTERN), must=True),
    Column("name", "name", kinds.of_kind(texts.PATTERN_NAME)),
    Column("prop", "prop", kinds.of_kind(texts.PROP), must=True),
    Column("counted_by", "counted_by", kinds.one_of(CountedBy), must=True),
    Column("start", "start", kinds.exact, must=True),  # beats per minute, or objects
    Column("step", "step", kinds.of_kind(texts.STEP), must=True),
    Column("target", "target", kinds.exact),
    Column("goal", "goal", kinds.of_kind(texts.WORD), must=True),
    Column("up_after", "up_after", kinds.whole, must=True),
    Column("down_after", "down_after", kinds.whole, must=True),
    Column("rung_by", "rung_by", kinds.of_kind(texts.STEP)),
    Column("threshold_bpm", "threshold", kinds.seconds),
    Column("spread_bpm", "spread", kinds.seconds),
)
PLAN_RUN: Final = (
    *COURSE,
    Column("name", "name", kinds.of_kind(texts.PLAN_STEM), must=True),
    Column("plan_toml", "plan", kinds.of_kind(texts.PLAN_FILE), must=True),
    Column("block", "block", kinds.whole, must=True),
    Column("elapsed_s", "elapsed_s", kinds.seconds, must=True),
)
COURSES: Final[Mapping[str, tuple[type[LoggedClimb] | type[PlanRun], tuple[Column, ...]]]] = {
    "climbs": (LoggedClimb, CLIMB),
    "plan_runs": (PlanRun, PLAN_RUN),
}
"""The lists of a file that hold courses → their records and fields."""

CORRECTED_AT: Final = Column("corrected_at", "corrected_at", kinds.moment, must=True)
CORRECTION: Final = ("corrected_at", "field", "before", "after")
CORRECTED: Final[dict[str, tuple[type, ...]]] = {
    "catches": (int, type(None)),
    "ended": (str,),
    "fair": (int,),
    "note": (str,),
    "removed": (int,),
}
"""Each field of an attempt that can be corrected, and the types of its values before and after."""


def course_values(record: LoggedClimb | PlanRun, session_started_at: datetime) -> dict[str, Any]:
    """The fields of a climb or plan run in order, each as JSON has it."""
    return {
        field.name: as_json(session_started_at if field.of == "session_started_at" else getattr(record, field.of))
        for field in (CLIMB if isinstance(record, LoggedClimb) else PLAN_RUN)
    }


def to_course(kind: str, values: Mapping[str, Any]) -> tuple[LoggedClimb | PlanRun, datetime]:
    """A climb or plan run and when its session began; WrongValue if that can't be. kind: one of COURSES."""
    record, fields = COURSES[kind]
    given = read_given(values, fields)
    began = given.pop("session_started_at")
    for name in ("up_after", "down_after"):
        if given.get(name) == 0:
            raise WrongValue(name, "A climb steps after 1 or more in a row.")
    return record(**given), began


def correction_values(correction: Correction) -> dict[str, Any]:
    """The fields of a correction in order, as JSON has them."""
    return {name: as_json(getattr(correction, name)) for name in CORRECTION}


def to_corrections(values: Any) -> tuple[Correction, ...]:
    """The corrections of an attempt, oldest first; WrongValue if they can't be."""
    if not isinstance(values, list):
        raise WrongValue("corrections", "The value was no list.")
    return tuple(_to_correction(each) for each in values)


def _to_correction(values: Any) -> Correction:
    if not isinstance(values, dict) or set(values) != set(CORRECTION):
        raise WrongValue("corrections", f"A correction was no table of {', '.join(CORRECTION)}.")
    field = values["field"]
    if not isinstance(field, str) or field not in CORRECTED:
        raise WrongValue("corrections.field", f"The value was none of {', '.join(CORRECTED)}.")
    for name in ("before", "after"):
        value = values[name]
        if type(value) not in CORRECTED[field] or (isinstance(value, int) and not 0 <= value < 10**9):
            raise WrongValue(f"corrections.{name}", f"The value could not be one of “{field}”.")
        if isinstance(value, str):
            read_one({name: value}, Column(name, name, kinds.of_kind(texts.NOTE)))
    given = read_given({"corrected_at": values["corrected_at"]}, (CORRECTED_AT,))
    return Correction(attempt_id=0, field=field, before=values["before"], after=values["after"], **given)
