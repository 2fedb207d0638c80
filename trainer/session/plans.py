"""What a sitting does with plans: suggest one, begin one, go on with one that was left, write the judged sheet."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from trainer.files.texts import one_line
from trainer.files.whole import Existing, open_whole
from trainer.practice.plans.folder import PlanFolder, open_plan_folder
from trainer.practice.plans.judging import find_judged, sheet_to_page
from trainer.practice.plans.plan import Block, Plan, require_pattern
from trainer.practice.plans.run import PlanGuide, begin, take_up, to_steps
from trainer.practice.plans.suggestion import suggest, suggestions_to_text
from trainer.records.attempt import Attempt
from trainer.records.courses import PlanRun
from trainer.session.guided import Guided
from trainer.session.keepers import PlanKeeper
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.timing.counting import Goals

LOOKED_BACK = timedelta(days=400)
SHEET = "judged.html"


def plan_folder_of(sitting: Sitting) -> PlanFolder:
    """The folder of plans, read with the patterns of this sitting's library."""
    return open_plan_folder(sitting.places, sitting.library.to_choice)


def begin_plan(sitting: Sitting, text: str, path: Path, run: PlanRun | None = None) -> Session:
    """A session led by a plan, from its start or where a run was left.

    Raises TrainerError if it can't be run.
    """
    plan = plan_folder_of(sitting).check(text, path)
    first = require_pattern(plan)
    guide = _to_guide(sitting, plan, run)
    keeper = PlanKeeper(sitting.tries, one_line(path.stem), text, sitting.now, run)
    coming = next((step.block.choice for step in guide.steps[guide.block :] if step.block.choice is not None), first)
    return sitting.begin(coming, guided=Guided(guide, sitting.tries, keeper))


def _to_guide(sitting: Sitting, plan: Plan, run: PlanRun | None) -> PlanGuide:
    steps = to_steps(plan, sitting.settings.counted_by, lambda block: _goals(sitting, block))
    if run is None:
        return begin(steps)
    none: tuple[Attempt, ...] = ()
    tries = sitting.tries.ask(lambda book: book.attempts(plan_run_uid=run.uid), none)
    return take_up(steps, run.block, run.elapsed_s, [each for each in tries if each.block == run.block])


def _goals(sitting: Sitting, block: Block) -> Goals:
    assert block.choice is not None
    return Goals.of(sitting.to_chosen(block.choice, block.tempo_bpm).score)


def open_runs(sitting: Sitting) -> tuple[PlanRun, ...]:
    """The runs of plans that were left before their end, the latest first."""
    return sitting.tries.ask(lambda book: book.open_plan_runs(), ())


def close_run(sitting: Sitting, run: PlanRun) -> None:
    """Write that a run ended where it stands, as another is begun in its place."""
    sitting.tries.keep(replace(run, ended_at=sitting.now()))


def suggested(sitting: Sitting) -> str:
    """The text of a plan that the logbook suggests for today; empty if there is nothing to suggest."""
    settings, now = sitting.settings, sitting.now()
    tries = sitting.tries.ask(
        lambda book: book.attempts(prop=settings.prop, counted_by=settings.counted_by, since=now - LOOKED_BACK),
        sitting.tries.attempts,
    )
    found = suggest(
        tries,
        now.date(),
        [entry.title for entry in sitting.what_next()],
        lambda name: sitting.library.find(name) is not None,
    )
    return suggestions_to_text(found, now.date()) if found else ""


def write_sheet(sitting: Sitting) -> tuple[Path, tuple[str, ...]]:
    """Write the sheet of the last judged attempts beside the logbook; where it is, and what was left out.

    Raises TrainerError, also if there were none.
    """
    found = find_judged(
        sitting.tries.ask(lambda book: book.plan_runs(), ()),
        lambda uid: sitting.tries.ask(lambda book: book.attempts(plan_run_uid=uid), ()),
        plan_folder_of(sitting),
    )
    path = sitting.places.logbook.with_name(SHEET)
    with open_whole(path, Existing.REPLACE) as file:
        file.write_text(sheet_to_page(found.block, found.tries))
    return path, found.notices
