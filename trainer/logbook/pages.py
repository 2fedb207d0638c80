"""The list of attempts page by page, filtered and sorted, as fast with a million of them as with ten.

Three things make it so. Texts are matched against the figures, which are few, and against the notes, which are kept
once each; attempts are counted in `days`; and a page begins where the last one ended, not so many rows later.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from trainer.logbook import rows
from trainer.logbook.ahead import Ahead
from trainer.logbook.filters import EVERYTHING, LISTED, Filter, PageEnd, Selection, Sort
from trainer.records.attempt import Attempt

ALL_DAYS: Final = (-(10**7), 10**7)
TRIED: Final = 400  # first attempts in the order of time, of which most filters let enough through


@dataclass(frozen=True, slots=True)
class AttemptPage:
    """Attempts in the order asked for. end: where the next page begins; None if this was the last."""

    attempts: tuple[Attempt, ...]
    end: PageEnd | None


class Pages(Ahead):
    """What the logbook does for lists."""

    def page(
        self, wanted: Filter = EVERYTHING, sort: Sort = Sort.NEWEST, limit: int = 50, after: PageEnd | None = None
    ) -> AttemptPage:
        """At most `limit` attempts, from the start or after the end of another page of the same filter and order."""
        order = Order(sort, after, _days(wanted) | {"limit": limit + 1})
        parts, found = self._parts(wanted), []
        if (ordered := self._read(sort)) is not None:
            known = [part for part in parts if part.notes is not None or not sort.by_time]
            parts = [part for part in parts if part not in known]
            found = ordered.first(known, order.days, limit + 1, after) if known else []
        for part in parts:
            if sort.by_time and part.notes is None and part.figures is not None:
                found += self._of_figures(part.figures, order)
            else:
                found += map(tuple, self._rows(_all_at_once(part, order), order.values | _noted(part)))
        found.sort(reverse=sort.greatest_first)
        places = found[:limit]
        numbers = [int(place[-1]) for place in places]
        shown = {attempt.id: attempt for attempt in self._numbered(numbers)}
        end = places[-1] if len(found) > limit else None
        return AttemptPage(tuple(shown[number] for number in numbers if number in shown), end)

    def count(self, wanted: Filter = EVERYTHING) -> int:
        """How many attempts a filter lets through."""
        total, parts, days = 0, self._parts(wanted), _days(wanted)
        if (ordered := self._read()) is not None:
            total = ordered.count([part for part in parts if part.notes is not None], (days["since"], days["until"]))
            parts = [part for part in parts if part.notes is None]
        for part in parts:
            if part.notes is not None:
                query = f"SELECT COUNT(*) FROM attempts a INDEXED BY attempts_by_note WHERE {_condition(part)}"
                total += self._one(query, days | _noted(part))
            elif (wanted.since, wanted.until) == (None, None):
                counts = self._counts()
                figures = counts.keys() if part.figures is None else counts.keys() & set(part.figures)
                total += sum(counts[figure].attempts for figure in figures)
            else:
                of = "1" if part.figures is None else f"figure_id IN ({_listed(part.figures)})"
                query = f"SELECT COALESCE(SUM(attempts), 0) FROM days WHERE {of} AND day BETWEEN :since AND :until"
                total += self._one(query, days)
        return total

    def removed(self, limit: int = 50) -> tuple[Attempt, ...]:
        """The attempts that were removed, the last one first."""
        found = self._rows("SELECT id FROM attempts WHERE removed = 1 ORDER BY id DESC LIMIT ?", (limit,))
        return self._numbered([row["id"] for row in found])[::-1]

    def _numbered(self, numbers: list[int]) -> tuple[Attempt, ...]:
        return self._select(f"WHERE a.id IN ({_listed(numbers)}) ORDER BY a.id", {})

    def _select(self, where: str, values: Mapping[str, Any]) -> tuple[Attempt, ...]:
        query = f"SELECT {rows.COLUMNS} FROM attempts a {rows.JOINS} {where}"
        return tuple(rows.to_attempt(row, self.path) for row in self._rows(query, dict(values)))

    def _of_figures(self, figures: tuple[int, ...], order: Order) -> list[PageEnd]:
        """The sort keys of the first attempts of some figures in an order of time, as many as its limit."""
        values, limit, among = dict(order.values), int(order.values["limit"]), frozenset(figures)
        by = f"{order.beyond} ORDER BY {order.by_name} LIMIT"
        first = self._rows(f"SELECT a.day, a.id, a.figure_id FROM attempts a WHERE {by} {TRIED}", values)
        found: list[PageEnd] = [(day, number) for day, number, figure in first if figure in among]
        if len(found) < limit and len(first) == TRIED:
            found, latest_first = [], order.sort.greatest_first
            query = f"SELECT a.day, a.id FROM attempts a WHERE a.figure_id = :figure AND {by} :limit"
            ends = {figure: each.last if latest_first else each.first for figure, each in (self._counted or {}).items()}
            # In the order of their own first ones: soon what is found leaves nothing to look for in the others.
            for figure in sorted(figures, key=lambda figure: ends.get(figure) or 0, reverse=latest_first):
                end = ends.get(figure)
                if end is not None and (end < values["since"] if latest_first else end > values["until"]):
                    continue
                found += map(tuple, self._rows(query, values | {"figure": figure}))
                found.sort(reverse=latest_first)
                del found[limit:]
                if len(found) == limit:
                    values["since" if latest_first else "until"] = found[-1][0]
        return found


class Order:
    """An order of the list, from a place on, as the pieces of a query need it."""

    def __init__(self, sort: Sort, after: PageEnd | None, values: dict[str, int]) -> None:
        self.sort = sort
        way, sign = ("DESC", "<") if sort.greatest_first else ("ASC", ">")
        self.values: dict[str, int | float] = dict(values)
        self.days = values["since"], values["until"]
        self.beyond = f"a.day BETWEEN :since AND :until AND {LISTED}"
        if after is not None:
            places = [f":k{n}" for n in range(len(after))]
            self.values |= {f"k{n}": key for n, key in enumerate(after)}
            self.beyond += f" AND ({sort.keys}) {sign} ({', '.join(places)})"
            if sort.by_time:  # said twice: an index is used for this, not for the comparison of two keys
                first, last = self.values["since"], self.values["until"]
                self.values |= {"since": max(first, after[0])} if sign == ">" else {"until": min(last, after[0])}
        self.by_number = ", ".join(f"{n} {way}" for n in range(1, sort.length + 1))
        self.by_name = f"a.day {way}, a.id {way}"
        self.index = "INDEXED BY attempts_by_figure" if sort is Sort.CATCHES else ""


def _all_at_once(part: Selection, order: Order) -> str:
    index = order.index if part.notes is None else "INDEXED BY attempts_by_note"
    return f"""SELECT {order.sort.keys} FROM attempts a {index} WHERE {order.beyond} AND {_chosen(part)}
        ORDER BY {order.by_number} LIMIT :limit"""


def _condition(part: Selection) -> str:
    return f"a.day BETWEEN :since AND :until AND {LISTED} AND {_chosen(part)}"


def _chosen(part: Selection) -> str:
    figures = "1" if part.figures is None else f"a.figure_id IN ({_listed(part.figures)})"
    if part.notes is None:
        return figures
    # The plus keeps SQLite from looking each note up with each figure.
    return f"+{figures} AND a.note_id IN (SELECT value FROM json_each(:notes))"


def _noted(part: Selection) -> dict[str, Any]:
    return {} if part.notes is None else {"notes": json.dumps(list(part.notes))}


def _listed(numbers: tuple[int, ...] | list[int]) -> str:
    return ", ".join(map(str, numbers))


def _days(wanted: Filter) -> dict[str, int]:
    since, until = wanted.since, wanted.until
    return {
        "since": ALL_DAYS[0] if since is None else since.toordinal() - rows.EPOCH_DAY,
        "until": ALL_DAYS[1] if until is None else until.toordinal() - rows.EPOCH_DAY,
    }
