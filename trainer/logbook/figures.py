"""Figures: what attempts are summed up by and bests are kept apart by, their totals day by day, and their bests.

A figure is a pattern under its name, with a prop, by one way of counting, of one juggler. `days` holds a figure's
totals of a day and `attempts.best` marks each best; both are worked out anew, from the attempts, inside the change
that touches an attempt, so they cannot drift.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from fractions import Fraction
from typing import Any, Final

from trainer.logbook import rows
from trainer.logbook.connection import LogbookConnection
from trainer.logbook.migrations import TOTALS
from trainer.records.attempt import Attempt, CountedBy
from trainer.records.totals import DayTotal, Figure, FigureTotal, Tally, Total, figure_of

MARKS: Final = """UPDATE attempts SET best = 1 - best WHERE id IN (
    SELECT id FROM (SELECT id, best, COALESCE(fair AND catches > MAX(:before, COALESCE(
            MAX(CASE WHEN fair THEN catches END) OVER (ORDER BY day, id
                ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0)), 0) AS is_best
        FROM attempts WHERE figure_id = :figure_id AND day >= :day AND (day, id) >= (:day, :id)
            AND removed = 0 AND ended IS NOT NULL)
    WHERE is_best <> best)"""
"""Marks the bests of a figure from one attempt on, in the order of day and number. A best has a catch, and more catches
than every fair attempt of its figure before; :before has the most catches of those before that one."""

MOST_BEFORE: Final = """SELECT catches FROM attempts WHERE figure_id = :figure_id AND best = 1
    AND day <= :day AND (day, id) < (:day, :id) ORDER BY day DESC, id DESC LIMIT 1"""

JUGGLER: Final = "COALESCE((SELECT name FROM jugglers WHERE id = juggler_id), '') = COALESCE(:juggler, '')"
FIGURE: Final = f"""pattern = :pattern AND COALESCE(name, '') = COALESCE(:name, '') AND counted_by = :counted_by
    AND prop_id = (SELECT id FROM props WHERE name = :prop) AND {JUGGLER}"""
FIGURE_COLUMNS: Final = "f.pattern, f.name, p.name AS prop, f.counted_by, j.name AS juggler"
NAMES: Final = "JOIN props p ON p.id = f.prop_id LEFT JOIN jugglers j ON j.id = f.juggler_id"
SUMS: Final = """SUM(tries) AS tries, SUM(tries_ms) AS tries_ms, SUM(catches) AS catches, SUM(flashes) AS flashes,
    SUM(qualifies) AS qualifies, MAX(most) AS most, SUM(drops) AS drops"""


class Figures(LogbookConnection):
    """What the logbook does for figures."""

    def best_catches(self, figure: Figure) -> int | None:
        """The most catches of a fair attempt of one figure; None if none was counted."""
        of = f"figure_id IN (SELECT id FROM figures WHERE {FIGURE})"
        best: int | None = self.read_one(f"SELECT MAX(catches) FROM attempts WHERE best = 1 AND {of}", named(figure))
        if best is None:  # no best without a catch
            best = self.read_one(f"SELECT 0 FROM days WHERE tries > 0 AND {of} LIMIT 1", named(figure))
        return best

    def tried(self) -> tuple[Figure, ...]:
        """The figures that have tries: the one practised last first, of equals the one practised more that day."""
        found = self.read(
            f"""SELECT {FIGURE_COLUMNS} FROM (SELECT *, (SELECT MAX(day) FROM days WHERE figure_id = id) AS last_day
                FROM figures WHERE EXISTS (SELECT 1 FROM days WHERE figure_id = id AND tries > 0)) f {NAMES}
            GROUP BY f.pattern, f.name, p.name, f.counted_by, j.name
            ORDER BY MAX(last_day) DESC,
                MAX((SELECT SUM(attempts) FROM days WHERE figure_id = f.id AND day = last_day)) DESC, MIN(f.id)"""
        )
        return tuple(_to_figure(row) for row in found)

    def standings(self) -> tuple[FigureTotal, ...]:
        """The totals of each figure with attempts: the one practised last first, of equals the one practised more."""
        found = self.read(
            f"""SELECT {FIGURE_COLUMNS}, s.*, (SELECT MIN(day) FROM days d WHERE d.figure_id = s.figure_id
                AND d.most = s.most) AS best_day
            FROM (SELECT figure_id, SUM(attempts) AS attempts, SUM(attempts_ms) AS attempts_ms, MAX(day) AS last_day,
                {SUMS} FROM days GROUP BY figure_id) s JOIN figures f ON f.id = s.figure_id {NAMES}
            ORDER BY last_day DESC, attempts DESC, s.figure_id"""
        )
        return tuple(
            FigureTotal(
                _to_figure(row), row["attempts"], row["attempts_ms"] / 1000, _to_total(row),
                None if row["best_day"] is None else rows.to_date(row["best_day"]), rows.to_date(row["last_day"]),
            )
            for row in found
        )  # fmt: skip

    def tallies(self, figure: Figure) -> tuple[Tally, ...]:
        """The tries of one figure, a tally for each day that had some, oldest first."""
        found = self.read(
            f"""SELECT day, {SUMS} FROM days WHERE figure_id IN (SELECT id FROM figures WHERE {FIGURE})
            GROUP BY day HAVING SUM(tries) ORDER BY day""",
            named(figure),
        )
        return tuple(Tally(figure, rows.to_date(row["day"]), _to_total(row)) for row in found)

    def tempos(self, figure: Figure) -> dict[Fraction, Total]:
        """The tries of one figure by tempo, in beats per minute."""
        found = self.read(
            f"""SELECT tempo, {SUMS} FROM days WHERE figure_id IN (SELECT id FROM figures WHERE {FIGURE})
            GROUP BY tempo HAVING SUM(tries)""",
            named(figure),
        )
        return {rows.exact(row["tempo"]): _to_total(row) for row in found}

    def practised(self, juggler: str | None = None) -> tuple[DayTotal, ...]:
        """What was done each day there was practice, oldest first; of one juggler, or of everybody."""
        of = "1" if juggler is None else f"figure_id IN (SELECT id FROM figures WHERE {JUGGLER})"
        found = self.read(
            f"""SELECT day, SUM(attempts) AS attempts, SUM(attempts_ms) AS attempts_ms, {SUMS}
            FROM days WHERE {of} GROUP BY day ORDER BY day""",
            {"juggler": rows.name(juggler)},
        )
        return tuple(
            DayTotal(rows.to_date(row["day"]), row["attempts"], row["attempts_ms"] / 1000, _to_total(row))
            for row in found
        )

    def qualified(self, juggler: str | None = None) -> tuple[tuple[str, str | None], ...]:
        """The patterns of which a fair attempt of a juggler has qualified: text, and name where the library has one.

        juggler: None for attempts of nobody named.
        """
        found = self.read(
            f"""SELECT DISTINCT pattern, name FROM figures f WHERE {JUGGLER}
            AND EXISTS (SELECT 1 FROM days WHERE figure_id = f.id AND qualifies > 0) ORDER BY 1, 2""",
            {"juggler": rows.name(juggler)},
        )
        return tuple((row["pattern"], row["name"]) for row in found)

    def _figure_of(self, attempt: Attempt) -> int:
        """The number of an attempt's figure, entered if new; called inside a change."""
        of = {"objects": attempt.objects, **named(figure_of(attempt))}
        number: int | None = self.read_one(f"SELECT id FROM figures WHERE objects = :objects AND {FIGURE}", of)
        return number or self.insert("figures", {
            "pattern": attempt.pattern, "name": rows.name(attempt.name), "objects": attempt.objects,
            "prop_id": self._named("props", attempt.prop), "counted_by": str(attempt.counted_by),
            "juggler_id": self._named("jugglers", attempt.juggler),
        })  # fmt: skip

    def new_row(self, attempt: Attempt, day_before: int | None) -> dict[str, Any]:
        """All columns of a new attempt but its owner; called inside a change. day_before: see rows.day_of.

        One of a climb or plan run that is not here belongs to none."""
        return rows.begun_values(attempt) | rows.ended_values(attempt) | {
            "uid": self._uid("attempts", attempt), "figure_id": self._figure_of(attempt),
            "day": rows.day_of(attempt.started_at, day_before), "note_id": self._noted(attempt.note),
            "climb_id": self.number_of("climbs", attempt.climb_uid),
            "plan_run_id": self.number_of("plan_runs", attempt.plan_run_uid),
            "removed": int(attempt.removed), "best": 0,
        }  # fmt: skip

    def sum_up(self, numbers: Iterable[int]) -> None:
        """Bring days and bests in line with attempts that were written or changed; called inside a change."""
        first: dict[int, tuple[int, int]] = {}  # of each figure: where it changed first
        days = set()
        for number in numbers:
            figure, day, counts = self.read(
                "SELECT figure_id, day, removed = 0 AND ended IS NOT NULL FROM attempts WHERE id = ?", (number,)
            )[0]
            if not counts:
                self.connection.execute("UPDATE attempts SET best = 0 WHERE id = ?", (number,))
            days.add((figure, day))
            first[figure] = min(first.get(figure, (day, number)), (day, number))
        for figure, day in days:
            self.connection.execute("DELETE FROM days WHERE figure_id = ? AND day = ?", (figure, day))
            self.connection.execute(
                f"""INSERT INTO days {TOTALS} WHERE figure_id = ? AND day = ? AND ended IS NOT NULL AND removed = 0
                GROUP BY figure_id, day, tempo""",
                (figure, day),
            )
        for figure, (day, number) in first.items():
            place = {"figure_id": figure, "day": day, "id": number}
            before = self.read_one(MOST_BEFORE, place) or 0
            self.connection.execute(MARKS, place | {"before": before})


def named(figure: Figure) -> dict[str, Any]:
    """The values of the query FIGURE."""
    return {
        "pattern": figure.pattern, "name": rows.name(figure.name), "counted_by": str(figure.counted_by),
        "prop": rows.name(figure.prop), "juggler": rows.name(figure.juggler),
    }  # fmt: skip


def _to_figure(row: sqlite3.Row) -> Figure:
    return Figure(row["pattern"], row["name"], row["prop"], CountedBy(row["counted_by"]), row["juggler"])


def _to_total(row: sqlite3.Row) -> Total:
    return Total(
        tries=row["tries"], flashes=row["flashes"], qualifies=row["qualifies"], catches=row["catches"],
        best=row["most"] or 0, seconds=row["tries_ms"] / 1000, drops=row["drops"],
    )  # fmt: skip
