"""Climbs and plan runs in the logbook: begun, saved, ended, listed. Their tries are attempts that name them."""

from __future__ import annotations

import sqlite3
from dataclasses import fields
from datetime import date
from typing import Any, TypeVar

from trainer.logbook import rows
from trainer.logbook.connection import LogbookConnection
from trainer.logbook.errors import LogbookError
from trainer.logbook.figures import FIGURE, named
from trainer.logbook.opening import storable
from trainer.records.courses import LoggedClimb, PlanRun
from trainer.records.totals import Figure

Course = TypeVar("Course", LoggedClimb, PlanRun, LoggedClimb | PlanRun)


class Courses(LogbookConnection):
    """What the logbook does for climbs and plan runs: what the two have in common is called a course."""

    def keep(self, record: Course) -> Course:
        """Write a climb or a plan run as it stands: how far it is, over the row of its identity, or all of it."""
        with self.at_once():
            if isinstance(record, LoggedClimb):
                return self.climb(self._keep("climbs", record, ("ended_utc_s", "threshold", "spread"), {
                    "kind": str(record.kind), "rule": str(record.rule), "pattern": record.pattern,
                    "name": rows.name(record.name), "prop_id": self._named("props", record.prop),
                    "counted_by": str(record.counted_by), "start": str(record.start), "step": record.step,
                    "target": rows.plain(record.target), "goal": record.goal, "up_after": record.up_after,
                    "down_after": record.down_after, "rung_by": record.rung_by,
                    "threshold": record.threshold, "spread": record.spread,
                }))  # fmt: skip
            return self.plan_run(self._keep("plan_runs", record, ("ended_utc_s", "block", "elapsed_s"), {
                "name": storable(record.name), "plan": storable(record.plan), "block": record.block,
                "elapsed_s": record.elapsed_s,
            }))  # fmt: skip

    def climb(self, uid: str) -> LoggedClimb:
        """One climb; LogbookError if there is none of that identity."""
        return self._single(self._climbs("WHERE c.uid = ?", (rows.uid_number(uid),)), f"There was no climb {uid}.")

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

    def plan_run(self, uid: str) -> PlanRun:
        """One plan run; LogbookError if there is none of that identity."""
        return self._single(self._plan_runs("WHERE uid = ?", (rows.uid_number(uid),)), f"There was no plan run {uid}.")

    def plan_runs(self) -> tuple[PlanRun, ...]:
        """All plan runs, in the order they were begun."""
        return self._plan_runs("ORDER BY id")

    def open_plan_runs(self) -> tuple[PlanRun, ...]:
        """The plan runs that have not ended and can be taken up again, the latest first."""
        return self._plan_runs("WHERE ended_utc_s IS NULL ORDER BY id DESC")

    def _keep(self, table: str, record: Course, changing: tuple[str, ...], values: dict[str, Any]) -> str:
        """Write `changing` columns over the row of a record, or a new row; its identity. Called inside a change."""
        row = values | rows.instant(record.started_at) | {
            "uid": self._uid(table, record), "session_id": record.session_id,
            "ended_utc_s": None if record.ended_at is None else record.ended_at.timestamp(),
        }  # fmt: skip
        sets = ", ".join(f"{column} = :{column}" for column in changing)
        if self.connection.execute(f"UPDATE {table} SET {sets} WHERE uid = :uid", row).rowcount == 0:
            self.insert(table, row)
        return rows.uid_text(row["uid"])

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
