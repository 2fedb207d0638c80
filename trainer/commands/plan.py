"""The command plan: practise by a plan on the full screen, or read the plans there are without it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from trainer.commands.start import open_trainer, settings_and_notices
from trainer.commands.terminal import complain, tell
from trainer.commands.words import add_counting, parser_of
from trainer.files.places import places
from trainer.library.reading import library_folders, read_library
from trainer.practice.plans.folder import PlanFolder, open_plan_folder
from trainer.practice.plans.page import plan_to_lines
from trainer.practice.plans.plan import Plan, require_pattern

if TYPE_CHECKING:
    from trainer.screens.app import TrainerApp

WIDTH = 79


def words() -> argparse.ArgumentParser:
    parser = parser_of("plan", "Practise by a plan, block after block; without one, choose it on the screen.")
    parser.add_argument("plan", nargs="*", metavar="PLAN", help="a TOML file, or the name of a plan")
    parser.add_argument("--list", action="store_true", help="print the plans there are, or the blocks of the one named")
    add_counting(parser)
    parser.set_defaults(dwell=None)
    return parser


def run(asked: argparse.Namespace) -> int:
    kept = places()
    plan_folder = open_plan_folder(kept, read_library(library_folders(kept)).to_choice)
    plan = plan_folder.find(" ".join(asked.plan)) if asked.plan else None
    if asked.list:
        return print_plan(plan) if plan else print_plans(plan_folder)
    if plan is not None:
        require_pattern(plan)
    settings, notices = settings_and_notices(kept, asked)

    def opening(app: TrainerApp) -> None:
        if plan is None:
            app.action_open_plans()
        else:
            app.practise_plan(plan_folder.open(plan.path).text, plan.path)

    return open_trainer(kept, settings, notices, opening=opening)


def print_plan(plan: Plan) -> int:
    """One plan, block by block."""
    tell(*plan_to_lines(plan, WIDTH))
    return 0


def print_plans(plan_folder: PlanFolder) -> int:
    """A line for each plan; what was wrong with a file goes to standard error. 1 if there was such a file."""
    plans, errors = plan_folder.plans()
    width = max((len(plan.path.stem) for plan in plans), default=0)
    for plan in plans:
        tell(f"{plan.path.stem:<{width}}  {plan.name}. {plan.audience}")
    complain(*errors)
    return 1 if errors else 0
