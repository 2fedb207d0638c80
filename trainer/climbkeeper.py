"""Keeps a climb in the logbook: it begins with its first try, each try says which climb it is of, and its end is kept.

Where a climb stands is never stored: it is a fold over its attempts. A climb without an end was broken off.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from trainer.journal import Journal
from trainer.logbook import records
from trainer.logbook.records import Attempt, ClimbKind
from trainer.practice.climb import Climb
from trainer.practice.guide import Guide
from trainer.practice.ladder import Rung, TempoLadder

End = tuple[float | None, float | None]


class ClimbKeeper:
    """Of one climb. goal: as the juggler asked for it. rung_by: what stays the same in an object climb, None in others.

    now: gives the time of day with its offset. Where the logbook can't be written the tries belong to no climb there.
    """

    def __init__(
        self, journal: Journal, now: Callable[[], datetime], prop: str, goal: str = "", rung_by: str | None = None
    ) -> None:
        self._journal, self._now = journal, now
        self._prop, self._goal, self._rung_by = prop, goal, rung_by
        self.number: int | None = None
        self._end: End | None = None  # as it stands in the logbook

    def stamp(self, guide: Guide, attempt: Attempt) -> Attempt:
        """An attempt about to begin; the first one begins the climb."""
        assert isinstance(guide, Climb)
        if self.number is None:
            climb = self._to_record(guide, attempt)
            self.number = self._journal.ask(
                lambda book: book.begin_climb(replace(climb, session_id=self._journal.session_in(book))), None
            )
        return replace(attempt, climb_id=self.number)

    def keep(self, guide: Guide, now_s: float) -> None:
        """Its end, with the threshold that a staircase found; none any more, or another, once a try is set right."""
        assert isinstance(guide, Climb)
        number, end = self.number, _end(guide)
        if number is None or end == self._end:
            return
        ended_at = self._now() if end else None
        threshold, spread = end or (None, None)
        kept = self._journal.ask(
            lambda book: book.finish_climb(number, ended_at=ended_at, threshold=threshold, spread=spread), None
        )
        if kept is not None:
            self._end = end

    def _to_record(self, guide: Climb, attempt: Attempt) -> records.Climb:
        first, ladder = guide.ladder.rung(0), guide.ladder
        last = ladder.rung(ladder.last) if ladder.last is not None else None
        endless = isinstance(ladder, TempoLadder) and ladder.target_bpm is None
        return records.Climb(
            session_id=attempt.session_id,
            started_at=attempt.started_at,
            kind=ladder.kind,
            rule=guide.rule.kind,
            pattern=first.choice.pattern.text,
            name=first.choice.entry.title if first.choice.entry else None,
            start=_measure(first, ladder.kind),
            target=None if last is None or endless else _measure(last, ladder.kind),
            step=str(ladder.step) if isinstance(ladder, TempoLadder) else "1",
            goal=self._goal or str(first.aim),
            up_after=guide.rule.up_after,
            down_after=guide.rule.down_after,
            prop=self._prop,
            counted_by=guide.counted_by,
            rung_by=self._rung_by,
        )


def _end(guide: Climb) -> End | None:
    """The threshold and its spread, both None where no staircase found one; None for a climb that is not done."""
    if not guide.done:
        return None
    found = guide.threshold
    return (found.tempo_bpm, found.spread) if found else (None, None)


def _measure(rung: Rung, kind: ClimbKind) -> Fraction:
    return rung.tempo_bpm if kind is ClimbKind.TEMPO else Fraction(rung.choice.pattern.objects)
