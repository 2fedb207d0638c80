"""The shelf: the plans of the user's own folder and those brought along, read, changed and written."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from trainer.datafile import DataError, parse, read_text
from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.logbook.records import Attempt, PlanRun
from trainer.places import Places, bundled, make_folder
from trainer.practice.plan import Block, Kind, Plan, find_plan, list_plans, read_plan
from trainer.practice.plantext import PlanText, split_text
from trainer.wholefile import Existing, open_whole

LONGEST_STEM = 60


@dataclass(frozen=True, slots=True)
class Shelf:
    """own: the folder a user's plans are written to. others: those they are only read from."""

    own: Path
    others: tuple[Path, ...]
    to_choice: Callable[[str], Choice]

    def plans(self) -> tuple[tuple[Plan, ...], tuple[DataError, ...]]:
        """All plans, one's own before the others, and what was wrong with the other files."""
        return list_plans((self.own, *self.others), self.to_choice)

    def find(self, text: str) -> Plan:
        """The plan a user names: a file, or the name of one of these. Raises DataError or TrainerError."""
        return find_plan(text, (self.own, *self.others), self.to_choice)

    def is_own(self, path: Path) -> bool:
        """Whether a plan's file lies in the user's folder."""
        return path.parent == self.own

    def open(self, path: Path) -> PlanText:
        """The text of a plan's file, to be changed. DataError if it can't be read or kept apart."""
        return split_text(read_text(path), path)

    def check(self, text: str, path: Path) -> Plan:
        """The plan that a text is. DataError with line and field for the first thing wrong."""
        return read_plan(parse(text, path), path, self.to_choice)

    def place_for(self, plan: Plan) -> Path:
        """Where a plan is written: an own one where it is, another under its file's name in the own folder."""
        return plan.path if self.is_own(plan.path) else self.own / plan.path.name

    def new_place(self, name: str) -> Path:
        """A file of the own folder that is not there yet, by a plan's name."""
        stem = to_stem(name)
        names = (stem, *(f"{stem}-{number}" for number in range(2, 1000)))
        return next(path for each in names if not (path := self.own / f"{each}.toml").exists())

    def write(self, text: str, path: Path, existing: Existing = Existing.REPLACE) -> Plan:
        """Write a plan whole or not at all; nothing is written that could not be read. Raises TrainerError."""
        plan = self.check(text, path)
        make_folder(path.parent)
        with open_whole(path, existing) as file:
            file.write_text(text)
        return plan


def open_shelf(kept: Places, to_choice: Callable[[str], Choice]) -> Shelf:
    """The user's plans, and those brought along."""
    return Shelf(kept.patterns / "plans", (bundled("patterns") / "plans",), to_choice)


def to_stem(name: str) -> str:
    """A name as a file's: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:LONGEST_STEM] or "plan"


@dataclass(frozen=True, slots=True)
class Judged:
    """A judged block and its tries. left_out: what was wrong with later runs, of which nobody can say any more."""

    block: Block
    tries: tuple[Attempt, ...]
    left_out: tuple[DataError, ...] = ()

    @property
    def notices(self) -> tuple[str, ...]:
        """What to tell with the sheet, so that nobody takes it for a later one."""
        return tuple(f"A later run was left out: {error}" for error in self.left_out)


def find_judged(runs: tuple[PlanRun, ...], tries_of: Callable[[int], tuple[Attempt, ...]], shelf: Shelf) -> Judged:
    """The last judged block among runs of plans. tries_of: the tries of a run, by its number.

    A run is left out whose plan can't be read any more, as when its pattern has gone from the library. Raises
    TrainerError if there is no other.
    """
    left_out: list[DataError] = []
    for run in reversed(runs):
        assert run.id is not None
        tries = tries_of(run.id)
        if not tries:
            continue
        try:
            blocks = shelf.check(run.plan, Path(f"{run.name}.toml")).blocks
        except DataError as error:
            left_out.append(error)
            continue
        for number, block in reversed(tuple(enumerate(blocks))):
            own = tuple(each for each in tries if each.block == number)
            if own and block.kind in (Kind.JUDGED, Kind.ENDURANCE):
                return Judged(block, own, tuple(left_out))
    if left_out:
        raise left_out[0]
    raise TrainerError("There were no judged attempts yet. Practise a plan with a judged block first.")
