"""Climbs and plan runs in the logbook: begun, saved, ended, listed. Their tries are attempts that name them."""

from __future__ import annotations

import sqlite3
from dataclasses import fields
from datetime import date, datetime
from typing import Any, TypeVar

from trainer.logbook import rows
from trainer.logbook.connection import LogbookConnection
from trainer.logbook.errors import LogbookError
from trainer.logbook.figures import FIGURE, named
from trainer.logbook.opening import storable
from trainer.records.courses import LoggedClimb, PlanRun
from trainer.records.totals import Figure

Course = TypeVar("Course", LoggedClimb, PlanRun)


class Courses(LogbookConnection):
    """What the logbook does for climbs and plan runs."""

    def begin_climb(self, climb: LoggedClimb) -> int:
        """Write that a climb began; its number."""
        with self.at_once():
            return self.insert("climbs", self._begun("climbs", climb) | {
                "kind": str(climb.kind), "rule": str(climb.rule), "pattern": climb.pattern,
                "name": rows.name(climb.name), "prop_id": self._named("props", climb.prop),
                "counted_by": str(climb.counted_by), "start": str(climb.start), "step": climb.step,
                "target": rows.plain(climb.target), "goal": climb.goal, "up_after": climb.up_after,
                "down_after": climb.down_after, "rung_by": climb.rung_by,
                "threshold": climb.threshold, "spread": climb.spread,
            })  # fmt: skip

    def finish_climb(
        self, number: int, *, ended_at: datetime | None, threshold: float | None = None, spread: float | None = None
    ) -> LoggedClimb:
        """End a climb, with what its staircase found; ended_at None takes that back. LogbookError if there is none."""
        with self.at_once() as connection:
            connection.execute(
                "UPDATE climbs SET ended_utc_s = ?, threshold = ?, spread = ? WHERE id = ?",
                (ended_at and ended_at.timestamp(), threshold, spread, number),
            )
            return self.climb(number)

    def climb(self, number: int) -> LoggedClimb:
        """One climb; LogbookError if there is none of that number."""
        return self._single(self._climbs("WHERE c.id = ?", (number,)), f"There was no climb {number}.")

    def climbs(self) -> tuple[LoggedClimb, ...]:
        """All climbs, in the order they were begun; one without `ended_at` was broken off."""
        return self._climbs("ORDER BY c.id")

    def thresholds(self, figure: Figure) -> tuple[tuple[date, float], ...]:
        """The day and the threshold, in beats per minute, of each tempo climb that has one and tries of the figure."""
        found = self.read(
            f"""SELECT c.started_utc_s, c.utc_offset_s, c.threshold FROM climbs c
            WHERE c.kind = 'tempo' AND c.threshold IS NOT NULL AND EXISTS (
                SELECT 1 FROM attempts a WHERE a.climb_id = c.id AND a.removed = 0
                AND a.figure_id IN (SELECT id FROM figures WHERE {FIGURE}))
            ORDER BY c.id""",
            named(figure),
        )
        return tuple((rows.moment(utc_s, offset_s).date(), threshold) for utc_s, offset_s, threshold in found)

    def begin_plan_run(self, run: PlanRun) -> int:
        """Write that a plan run began; its number."""
        with self.at_once():
            return self.insert("plan_runs", self._begun("plan_runs", run) | {
                "name": storable(run.name), "plan": storable(run.plan), "block": run.block, "elapsed_s": run.elapsed_s,
            })  # fmt: skip

    def save_plan_run(self, number: int, *, block: int, elapsed_s: float, ended_at: datetime | None = None) -> PlanRun:
        """Write where a plan run stands: its block, from 0, and the seconds spent in it; or that it ended.

        LogbookError if there is none of that number.
        """
        with self.at_once() as connection:
            connection.execute(
                "UPDATE plan_runs SET block = ?, elapsed_s = ?, ended_utc_s = ? WHERE id = ?",
                (block, elapsed_s, None if ended_at is None else ended_at.timestamp(), number),
            )
            return self.plan_run(number)

    def plan_run(self, number: int) -> PlanRun:
        """One plan run; LogbookError if there is none of that number."""
        return self._single(self._plan_runs("WHERE id = ?", (number,)), f"There was no run {number} of a plan.")

    def plan_runs(self) -> tuple[PlanRun, ...]:
        """All plan runs, in the order they were begun."""
        return self._plan_runs("ORDER BY id")

    def open_plan_runs(self) -> tuple[PlanRun, ...]:
        """The plan runs that have not ended and can be taken up again, the latest first."""
        return self._plan_runs("WHERE ended_utc_s IS NULL ORDER BY id DESC")

    def _begun(self, table: str, record: LoggedClimb | PlanRun) -> dict[str, Any]:
        return rows.instant(record.started_at) | {
            "uid": self._uid(table, record), "session_id": record.session_id,
            "ended_utc_s": None if record.ended_at is None else record.ended_at.timestamp(),
        }  # fmt: skip

    def _single(self, found: tuple[Course, ...], otherwise: str) -> Course:
        if not found:
            raise LogbookError(self.path, None, "", otherwise)
        return found[0]

    def _climbs(self, where: str, values: tuple[Any, ...] = ()) -> tuple[LoggedClimb, ...]:
        found = self.read(f"SELECT c.*, p.name AS prop FROM climbs c JOIN props p ON p.id = c.prop_id {where}", values)
        return tuple(
            LoggedClimb(**_fields(row, LoggedClimb) | {
                "start": rows.exact(row["start"]),
                "target": None if row["target"] is None else rows.exact(row["target"]),
            })
            for row in found
        )  # fmt: skip

    def _plan_runs(self, where: str, values: tuple[Any, ...] = ()) -> tuple[PlanRun, ...]:
        return tuple(PlanRun(**_fields(row, PlanRun)) for row in self.read(f"SELECT * FROM plan_runs {where}", values))


def _fields(row: sqlite3.Row, record: type[LoggedClimb] | type[PlanRun]) -> dict[str, Any]:
    """A row's columns that are fields of the record, and its two moments."""
    names = {field.name for field in fields(record)}
    ended = row["ended_utc_s"]
    return {name: row[name] for name in row.keys() if name in names} | {  # noqa: SIM118 - a Row is no mapping
        "uid": rows.uid_text(row["uid"]),
        "started_at": rows.moment(row["started_utc_s"], row["utc_offset_s"]),
        "ended_at": None if ended is None else rows.moment(ended, row["utc_offset_s"]),
    }
