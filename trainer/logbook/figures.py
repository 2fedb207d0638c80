"""Figures: what attempts are summed up by and bests are kept apart by, their totals day by day, and their bests.

A figure is a pattern under its name, with a prop, by one way of counting, of one juggler. `days` holds a figure's
totals of a day and `attempts.best` marks each best; both are worked out anew, from the attempts, inside the change
that touches an attempt, so they cannot drift.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from trainer.logbook import rows
from trainer.logbook.book import Book
from trainer.logbook.migrations import TOTALS
from trainer.logbook.records import Attempt, CountedBy

# A best beats every fair attempt of its figure before it, and the first one needs a catch. In order of day and
# number, from one attempt on; what came before it is summed up in the most catches till then.
MARKS: Final = """UPDATE attempts SET best = 1 - best WHERE id IN (
    SELECT id FROM (SELECT id, best, COALESCE(counts AND catches > MAX(:before, COALESCE(
            MAX(CASE WHEN counts THEN catches END) OVER (ORDER BY day, id
                ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0)), 0) AS is_best
        FROM (SELECT id, day, best, catches, fair AND NOT removed AS counts FROM attempts
            WHERE figure_id = :figure_id AND (day, id) >= (:day, :id)))
    WHERE is_best <> best)"""
MOST_BEFORE: Final = """SELECT catches FROM attempts WHERE figure_id = :figure_id AND best = 1
    AND (day, id) < (:day, :id) ORDER BY day DESC, id DESC LIMIT 1"""


class Figures(Book):
    """What the logbook does for figures."""

    def best_catches(
        self, pattern: str, prop: str, counted_by: CountedBy | str, name: str | None = None,
        juggler: str | None = None,
    ) -> int | None:  # fmt: skip
        """The most catches of a fair attempt of one figure; None if none was counted.

        name: of the pattern in the library, None for none: throws alike in text, tossed, bounced or on the run, are
        figures of their own. juggler: None for attempts of nobody named.
        """
        found: int | None = self._one(
            """SELECT MAX(d.most) FROM figures f JOIN days d ON d.figure_id = f.id
            WHERE f.pattern = ? AND f.name IS ? AND f.counted_by = ?
            AND f.prop_id = (SELECT id FROM props WHERE name = ?)
            AND f.juggler_id IS (SELECT id FROM jugglers WHERE name = ?)""",
            (pattern, rows.name(name), str(counted_by), rows.name(prop), rows.name(juggler)),
        )
        return found

    def qualified(self) -> tuple[tuple[str, str | None], ...]:
        """The patterns of which a fair attempt has qualified: text, and name where the library has one."""
        found = self._rows(
            """SELECT DISTINCT f.pattern, f.name FROM figures f JOIN days d ON d.figure_id = f.id
            WHERE d.qualifies > 0 ORDER BY 1, 2"""
        )
        return tuple((row["pattern"], row["name"]) for row in found)

    def _figure(self, attempt: Attempt) -> int:
        """The number of an attempt's figure, entered if new; called inside a change."""
        values = {
            "pattern": attempt.pattern, "name": rows.name(attempt.name), "objects": attempt.objects,
            "prop_id": self._named("props", attempt.prop), "counted_by": str(attempt.counted_by),
            "juggler_id": self._named("jugglers", attempt.juggler),
        }  # fmt: skip
        number: int | None = self._one(
            """SELECT id FROM figures WHERE pattern = :pattern AND COALESCE(name, '') = COALESCE(:name, '')
            AND objects = :objects AND prop_id = :prop_id AND counted_by = :counted_by
            AND COALESCE(juggler_id, 0) = COALESCE(:juggler_id, 0)""",
            values,
        )
        return self._insert("figures", values) if number is None else number

    def _sum_up(self, numbers: Iterable[int]) -> None:
        """Bring days and bests in line with attempts that were written or changed; called inside a change."""
        first: dict[int, tuple[int, int]] = {}  # of each figure: where it changed first
        days = set()
        for number in numbers:
            figure, day = self._rows("SELECT figure_id, day FROM attempts WHERE id = ?", (number,))[0]
            days.add((figure, day))
            first[figure] = min(first.get(figure, (day, number)), (day, number))
        for figure, day in days:
            self._connection.execute("DELETE FROM days WHERE figure_id = ? AND day = ?", (figure, day))
            self._connection.execute(
                f"""INSERT INTO days {TOTALS} WHERE figure_id = ? AND day = ? AND ended IS NOT NULL AND removed = 0
                GROUP BY figure_id, day, tempo""",
                (figure, day),
            )
        for figure, (day, number) in first.items():
            place = {"figure_id": figure, "day": day, "id": number}
            before = self._one(MOST_BEFORE, place) or 0
            self._connection.execute(MARKS, place | {"before": before})
