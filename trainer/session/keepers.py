"""Keepers: each writes one guide to the logbook and tells each try what it is part of, a climb or a plan's run.

A climb's row says how it was set and, once it has ended, how; where it stands is never stored, as it follows from its
attempts. A climb without an end was broken off. A plan's row says which block the run stands in, and for how long.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from trainer.logbook.rows import new_identity
from trainer.practice.climbs.climb import Climb
from trainer.practice.climbs.ladder import Rung, TempoLadder
from trainer.practice.plans.run import PlanGuide
from trainer.records.attempt import Attempt
from trainer.records.courses import ClimbKind, LoggedClimb, PlanRun
from trainer.session.tries import Tries

End = tuple[float | None, float | None]


class ClimbKeeper:
    """Keeps one climb. goal: as the juggler typed it. rung_by: what stays the same in an object climb, None in others.

    now: gives the time of day with its offset. climb: as it was last kept, None before its first try.
    """

    def __init__(
        self, tries: Tries, now: Callable[[], datetime], prop: str, goal: str = "", rung_by: str | None = None
    ) -> None:
        self._tries, self._now = tries, now
        self._prop, self._goal, self._rung_by = prop, goal, rung_by
        self.climb: LoggedClimb | None = None
        self._end: End | None = None  # as it stands in the logbook

    def stamp(self, guide: Climb, attempt: Attempt) -> Attempt:
        """An attempt about to begin, marked with its climb; the first one begins the climb's row."""
        if self.climb is None:
            self.climb = self._to_record(guide, attempt)
            self._tries.keep(self.climb)
        return replace(attempt, climb_uid=self.climb.uid)

    def keep(self, guide: Climb, now_s: float) -> None:
        """Write the climb's end and threshold, where they differ from what was written last."""
        end = _end(guide)
        if self.climb is None or end == self._end:
            return
        threshold, spread = end or (None, None)
        ended_at = self._now() if end else None
        self.climb = replace(self.climb, ended_at=ended_at, threshold=threshold, spread=spread)
        if self._tries.keep(self.climb):
            self._end = end

    def _to_record(self, guide: Climb, attempt: Attempt) -> LoggedClimb:
        first, ladder = guide.ladder.rung(0), guide.ladder
        last = ladder.rung(ladder.last) if ladder.last is not None else None
        endless = isinstance(ladder, TempoLadder) and ladder.target_bpm is None
        return LoggedClimb(
            uid=new_identity(attempt.started_at),
            started_at=attempt.started_at,
            kind=ladder.kind,
            rule=guide.rule.kind,
            pattern=first.choice.pattern.text,
            name=first.choice.name,
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
    """Threshold and spread of a climb that is done, both None if it found none; None for a climb that goes on."""
    if not guide.done:
        return None
    found = guide.threshold
    return (found.tempo_bpm, found.spread) if found else (None, None)


def _measure(rung: Rung, kind: ClimbKind) -> Fraction:
    return rung.tempo_bpm if kind is ClimbKind.TEMPO else Fraction(rung.choice.pattern.objects)


class PlanKeeper:
    """Keeps one run of a plan, and the climbs in it. run: the one to go on with; None for a new run."""

    def __init__(self, tries: Tries, name: str, text: str, now: Callable[[], datetime], run: PlanRun | None) -> None:
        self._tries, self._name, self._text, self._now = tries, name, text, now
        self.run = run
        self._climbs: dict[int, ClimbKeeper] = {}

    def stamp(self, guide: PlanGuide, attempt: Attempt) -> Attempt:
        """An attempt about to begin, marked with the run, its block and its climb."""
        run = self.run or self._keep(guide, 0.0)
        if guide.climb is not None:
            attempt = self._climb_of(guide, attempt.prop).stamp(guide.climb, attempt)
        return replace(attempt, plan_run_uid=run.uid, block=guide.block)

    def keep(self, guide: PlanGuide, now_s: float) -> None:
        """Write where the run stands; a run whose clock has never run is not written."""
        if guide.since_s is None and not guide.tries:
            return
        before = self._climbs.get(guide.block - 1)
        if before is not None and guide.left is not None:
            before.keep(guide.left, now_s)
        self._keep(guide, now_s)

    def _climb_of(self, guide: PlanGuide, prop: str) -> ClimbKeeper:
        """The keeper of the block's climb; a climb that is taken up again goes on with its row."""
        if guide.block not in self._climbs:
            goal = guide.steps[guide.block].block.goal
            keeper = self._climbs[guide.block] = ClimbKeeper(self._tries, self._now, prop, goal)
            uid = next((each.climb_uid for each in guide.tries if each.climb_uid is not None), None)
            if uid is not None:
                keeper.climb = self._tries.ask(lambda book: book.climb(uid), None)
        return self._climbs[guide.block]

    def _keep(self, guide: PlanGuide, now_s: float) -> PlanRun:
        """Write the run as it stands, a new one if there is none yet."""
        stands, now = guide.standing(now_s), self._now()
        run = self.run or PlanRun(uid=new_identity(now), started_at=now, name=self._name, plan=self._text)
        ended_at = now if guide.task is None else None
        self.run = replace(run, block=stands.block, elapsed_s=stands.elapsed_s, ended_at=ended_at)
        self._tries.keep(self.run)
        return self.run
