"""Plans at the desk: one is suggested, begun or taken up again, and where it stands is kept in the logbook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from trainer.climbkeeper import ClimbKeeper
from trainer.desk import Desk
from trainer.following import Lead
from trainer.journal import Journal
from trainer.library.catalogue import Choice
from trainer.logbook.records import Attempt, CountedBy, PlanRun
from trainer.practice.climb import Climb
from trainer.practice.guide import Guide
from trainer.practice.judging import sheet_to_page
from trainer.practice.plan import Block, Plan, require_pattern
from trainer.practice.planrun import PlanGuide, begin, block_to_climb, take_up, to_steps
from trainer.practice.suggestion import suggest, suggestions_to_text
from trainer.session import Session
from trainer.shelf import Shelf, find_judged, open_shelf
from trainer.timing.counting import Goals
from trainer.wholefile import Existing, open_whole

LOOKED_BACK = timedelta(days=400)
SHEET = "judged.html"


class PlanKeeper:
    """Keeps a run of a plan: its row in the logbook, begun with the clock, and what each try belongs to."""

    def __init__(self, journal: Journal, name: str, text: str, now: Callable[[], datetime], run_id: int | None) -> None:
        self._journal, self._name, self._text, self._now = journal, name, text, now
        self.run_id = run_id
        self._climbs: dict[int, ClimbKeeper] = {}

    def stamp(self, guide: Guide, attempt: Attempt) -> Attempt:
        """An attempt about to begin, as one of the run's block."""
        assert isinstance(guide, PlanGuide)
        self._begin(guide, 0.0)
        if isinstance(guide.inner, Climb):
            attempt = self._climb_of(guide, attempt.prop).stamp(guide.inner, attempt)
        return replace(attempt, plan_run_id=self.run_id, block=guide.block)

    def keep(self, guide: Guide, now_s: float) -> None:
        """Write down where the run stands; one that has not begun leaves no trace."""
        assert isinstance(guide, PlanGuide)
        if guide.since_s is None and not guide.tries:
            return
        self._begin(guide, now_s)
        before = self._climbs.get(guide.block - 1)
        if before is not None and isinstance(guide.left, Climb):
            before.keep(guide.left, now_s)
        number, stands = self.run_id, guide.standing(now_s)
        if number is not None:
            ended_at = self._now() if guide.task is None else None
            self._journal.ask(
                lambda book: book.save_plan_run(
                    number, block=stands.block, elapsed_s=stands.elapsed_s, ended_at=ended_at
                ),
                None,
            )

    def _climb_of(self, guide: PlanGuide, prop: str) -> ClimbKeeper:
        """Who keeps the climb of the block under way; one taken up again goes on with the row it had."""
        if guide.block not in self._climbs:
            goal = guide.steps[guide.block].block.goal
            keeper = self._climbs[guide.block] = ClimbKeeper(self._journal, self._now, prop, goal)
            keeper.number = next((each.climb_id for each in guide.tries if each.climb_id is not None), None)
        return self._climbs[guide.block]

    def _begin(self, guide: PlanGuide, now_s: float) -> None:
        if self.run_id is None:
            stands = guide.standing(now_s)
            self.run_id = self._journal.ask(
                lambda book: book.begin_plan_run(
                    PlanRun(
                        session_id=self._journal.session_in(book),
                        started_at=self._now(),
                        name=self._name,
                        plan=self._text,
                        block=stands.block,
                        elapsed_s=stands.elapsed_s,
                    )
                ),
                None,
            )


def shelf_of(desk: Desk) -> Shelf:
    """The plans there are, as this desk's library understands them."""
    return open_shelf(desk.places, desk.library.to_choice)


def begin_plan(desk: Desk, text: str, path: Path, run: PlanRun | None = None) -> tuple[Choice, Session]:
    """A session led by a plan, from its start or where a run was left, and the pattern that comes first.

    Raises TrainerError if it can't be run.
    """
    plan = shelf_of(desk).check(text, path)
    first = require_pattern(plan)
    guide = _to_guide(desk, plan, run)
    keeper = PlanKeeper(desk.journal, path.stem, text, desk.now, run.id if run else None)
    coming = next((step.block.choice for step in guide.steps[guide.block :] if step.block.choice is not None), first)
    return coming, desk.begin(coming, lead=Lead(guide, desk.to_chosen, keeper))


def _to_guide(desk: Desk, plan: Plan, run: PlanRun | None) -> PlanGuide:
    steps = to_steps(plan, lambda block: _goals(desk, block), lambda block: _climb(desk, block))
    if run is None:
        return begin(steps)
    none: tuple[Attempt, ...] = ()
    tries = desk.journal.ask(lambda book: book.attempts(plan_run_id=run.id), none)
    return take_up(steps, run.block, run.elapsed_s, [each for each in tries if each.block == run.block])


def _goals(desk: Desk, block: Block) -> Goals:
    assert block.choice is not None
    return Goals.of(desk.to_chosen(block.choice, block.tempo_bpm).score)


def _climb(desk: Desk, block: Block) -> Guide:
    return block_to_climb(block, CountedBy(desk.settings.counted_by), _goals(desk, block))


def open_runs(desk: Desk) -> tuple[PlanRun, ...]:
    """The runs that were left and can be gone on with, the latest first."""
    return desk.journal.ask(lambda book: book.open_plan_runs(), ())


def close_run(desk: Desk, run: PlanRun) -> None:
    """End a run where it stands: another is begun in its place."""
    number = run.id
    assert number is not None
    desk.journal.ask(
        lambda book: book.save_plan_run(number, block=run.block, elapsed_s=run.elapsed_s, ended_at=desk.now()), None
    )


def suggested(desk: Desk) -> str:
    """The text of a plan that the logbook suggests for today; empty if there is nothing to suggest."""
    settings, now = desk.settings, desk.now()
    tries = desk.journal.ask(
        lambda book: book.attempts(prop=settings.prop, counted_by=settings.counted_by, since=now - LOOKED_BACK),
        desk.journal.attempts,
    )
    found = suggest(
        tries, now.date(), [entry.title for entry in desk.what_next()], lambda name: desk.library.find(name) is not None
    )
    return suggestions_to_text(found, now.date()) if found else ""


def write_sheet(desk: Desk) -> tuple[Path, tuple[str, ...]]:
    """Write the sheet of the last judged attempts beside the logbook; where it is, and what was left out.

    Raises TrainerError, also if there were none.
    """
    found = find_judged(
        desk.journal.ask(lambda book: book.plan_runs(), ()),
        lambda number: desk.journal.ask(lambda book: book.attempts(plan_run_id=number), ()),
        shelf_of(desk),
    )
    path = desk.places.logbook.with_name(SHEET)
    with open_whole(path, Existing.REPLACE) as file:
        file.write_text(sheet_to_page(found.block, found.tries))
    return path, found.notices
