"""The list of attempts page by page, filtered and sorted, as fast with a million of them as with ten.

Texts are matched against the figures, which are few, and against the notes, which are kept once each; attempts are
counted in `days`; a page begins where the last one ended. Each order has an index that holds the figure and the note
of every attempt too, so that a page looks at no row but those it shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from trainer.logbook import rows
from trainer.logbook.filters import EVERYTHING, Filter, PageEnd, Sort
from trainer.logbook.matching import Match, Matching
from trainer.records.attempt import Attempt

LISTED: Final = "a.removed = 0 AND a.ended IS NOT NULL"  # word for word the condition of the indices
WHOLE: Final = "a.figure_id IN (SELECT value FROM json_each(:whole))"

FEW: Final = 3000
"""At most so many attempts that fit are sorted; more are found sooner in the index of the order."""


@dataclass(frozen=True, slots=True)
class AttemptPage:
    """Attempts in the order asked for. end: where the next page begins; None if this was the last."""

    attempts: tuple[Attempt, ...]
    end: PageEnd | None


@dataclass(slots=True)
class Amounts:
    """How many attempts each figure has, and each filter counted so far, in one state of the file."""

    state: tuple[int, int]
    of_figures: dict[int, int]
    of_filters: dict[Filter, int] = field(default_factory=dict)


class Pages(Matching):
    """What the logbook does for lists."""

    def _forget(self) -> None:
        super()._forget()
        self._amounts: Amounts | None = None

    def page(
        self, wanted: Filter = EVERYTHING, sort: Sort = Sort.NEWEST, limit: int = 50, after: PageEnd | None = None
    ) -> AttemptPage:
        """At most `limit` attempts, from the start or after the end of another page of the same filter and order."""
        match = self._match(wanted)
        conditions, values = _days(wanted)
        if after is not None:
            sign = "<" if sort.way == "DESC" else ">"
            values |= {f"key_{place}": key for place, key in enumerate(after)}
            # The first key is compared twice: SQLite finds a place in an index of expressions by a single one only.
            conditions.append(f"{sort.keys[0]} {sign}= :key_0")
            conditions.append(f"({', '.join(sort.keys)}) {sign} ({', '.join(f':key_{n}' for n in range(len(after)))})")
        keys = ", ".join(sort.keys)
        # By figure first, which is quick: the notes of many attempts are counted once the page is seen.
        if match.whole is None or self._count_by_figure(wanted) > FEW or self.count(wanted) > FEW:
            query = _select(keys, sort.index, [*conditions, _fitting(match)])
        else:
            query = _select(keys, "attempts_by_figure", [*conditions, WHOLE])
            if match.by_note:
                query += f" UNION ALL {_select(keys, 'attempts_by_note', [*conditions, _fitting_by_note(match)])}"
        order = ", ".join(f"{place} {sort.way}" for place in range(1, len(sort.keys) + 1))
        found = self.read(f"{query} ORDER BY {order} LIMIT {limit + 1}", values | match.numbers)
        places = [tuple(place) for place in found[:limit]]
        shown = {attempt.id: attempt for attempt in self._numbered(place[-1] for place in places)}
        end = places[-1] if len(found) > limit else None
        return AttemptPage(tuple(shown[place[-1]] for place in places if place[-1] in shown), end)

    def count(self, wanted: Filter = EVERYTHING) -> int:
        """How many attempts a filter lets through."""
        amounts = self._amounts_now()
        if wanted not in amounts.of_filters:
            amounts.of_filters[wanted] = self._count_by_figure(wanted) + self._count_by_note(wanted)
        return amounts.of_filters[wanted]

    def removed(self, limit: int = 50) -> tuple[Attempt, ...]:
        """The attempts that were removed, the last one first."""
        found = self.read("SELECT id FROM attempts WHERE removed = 1 ORDER BY id DESC LIMIT ?", (limit,))
        return self._numbered(row["id"] for row in found)[::-1]

    def _count_by_figure(self, wanted: Filter) -> int:
        """How many attempts a filter lets through for their figure alone."""
        whole = self._match(wanted).whole
        conditions, values = _days(wanted)
        if conditions:
            conditions.append("1" if whole is None else WHOLE)
            query = f"SELECT COALESCE(SUM(attempts), 0) FROM days a WHERE {' AND '.join(conditions)}"
            return int(self.read_one(query, values | self._match(wanted).numbers))
        of_figures = self._amounts_now().of_figures
        return sum(of_figures.get(figure, 0) for figure in (of_figures if whole is None else whole))

    def _count_by_note(self, wanted: Filter) -> int:
        """How many attempts a filter lets through for their note, and not for their figure alone."""
        match = self._match(wanted)
        if not match.by_note:
            return 0
        conditions, values = _days(wanted)
        query = _select("COUNT(*)", "attempts_by_note", [*conditions, _fitting_by_note(match)])
        return int(self.read_one(query, values | match.numbers))

    def _amounts_now(self) -> Amounts:
        # The first number changes with what other connections write, the second with what this one writes.
        state = (self.read_one("PRAGMA data_version"), self.connection.total_changes)
        if self._amounts is None or self._amounts.state != state:
            totals = self.read("SELECT figure_id, SUM(attempts) FROM days GROUP BY figure_id")
            self._amounts = Amounts(state, dict(map(tuple, totals)))
        return self._amounts

    def _numbered(self, numbers: Iterable[int]) -> tuple[Attempt, ...]:
        return self._attempts(f"WHERE a.id IN ({', '.join(map(str, numbers))}) ORDER BY a.id", {})

    def _attempts(self, where: str, values: Mapping[str, Any]) -> tuple[Attempt, ...]:
        query = f"SELECT {rows.COLUMNS} FROM attempts a {rows.JOINS} {where}"
        return tuple(rows.to_attempt(row, self.path) for row in self.read(query, dict(values)))


def _select(found: str, index: str, conditions: list[str]) -> str:
    return f"SELECT {found} FROM attempts a INDEXED BY {index} WHERE {' AND '.join([LISTED, *conditions])}"


def _days(wanted: Filter) -> tuple[list[str], dict[str, Any]]:
    """The conditions for the days of a filter, and their values."""
    days = {"since": (">=", wanted.since), "until": ("<=", wanted.until)}
    given: dict[str, Any] = {
        name: day.toordinal() - rows.EPOCH_DAY for name, (_, day) in days.items() if day is not None
    }
    return [f"a.day {days[name][0]} :{name}" for name in given], given


def _fitting(match: Match) -> str:
    """The condition for an attempt of any figure."""
    if match.whole is None:
        return "1"
    return f"({WHOLE} OR {_fitting_by_note(match)})" if match.by_note else WHOLE


def _fitting_by_note(match: Match) -> str:
    """The condition for an attempt that fits by its note, and not for its figure alone."""
    words = [
        f"(+a.figure_id IN (SELECT value FROM json_each(:figures_{place}))"
        f" OR +a.note_id IN (SELECT value FROM json_each(:notes_{place})))"
        for place in range(match.words)
    ]
    # A plus keeps SQLite from looking each note up with each figure.
    among = ["+a.figure_id IN (SELECT value FROM json_each(:among))"] if "among" in match.numbers else []
    notes = "a.note_id IN (SELECT value FROM json_each(:notes))"
    return " AND ".join(["a.note_id IS NOT NULL", notes, *words, *among, f"NOT +{WHOLE}"])
