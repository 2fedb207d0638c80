"""The folder of plans: the user's own plans and those brought along, read, changed and written."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from trainer.errors import TrainerError
from trainer.files.places import Places, bundled, make_folder
from trainer.files.toml import DataError, MissingFile, parse, read_text
from trainer.files.whole import Existing, open_whole
from trainer.library.catalogue import Choice
from trainer.practice.plans.plan import Plan, read_plan
from trainer.practice.plans.text import PlanText, split_text

LONGEST_STEM = 60


@dataclass(frozen=True, slots=True)
class PlanFolder:
    """own: the folder a user's plans are written to. others: those they are only read from."""

    own: Path
    others: tuple[Path, ...]
    to_choice: Callable[[str], Choice]

    def plans(self) -> tuple[tuple[Plan, ...], tuple[DataError, ...]]:
        """All plans, one's own before the others, and what was wrong with the other files."""
        plans: dict[str, Plan] = {}
        errors: list[DataError] = []
        for folder in (self.own, *self.others):
            for path in sorted(folder.glob("*.toml")):
                try:
                    plans.setdefault(path.stem, self.load(path))
                except DataError as error:
                    errors.append(error)
        return tuple(plans.values()), tuple(errors)

    def find(self, text: str) -> Plan:
        """The plan that a user names by a file or by its name. Raises DataError or TrainerError."""
        path = Path(text)
        if path.suffix == ".toml" or path.exists():
            return self.load(path)
        folders = (self.own, *self.others)
        for folder in folders:
            path = folder / f"{text.strip().lower().replace(' ', '-')}.toml"
            if path.is_file():
                return self.load(path)
        there = ", ".join(sorted(path.stem for folder in folders for path in folder.glob("*.toml"))) or "none"
        raise TrainerError(f"There was no plan “{text}”. Name a TOML file, or one of: {there}.")

    def is_own(self, path: Path) -> bool:
        """Whether a plan's file lies in the user's folder."""
        return path.parent == self.own

    def open(self, path: Path) -> PlanText:
        """The text of a plan's file, to be changed. DataError if it can't be read or kept apart."""
        return split_text(read_text(path), path)

    def load(self, path: Path) -> Plan:
        """The plan in a file. DataError with file, line and field for the first thing wrong."""
        return self.check(read_text(path), path)

    def check(self, text: str, path: Path) -> Plan:
        """The plan that a text is. DataError with line and field for the first thing wrong."""
        return read_plan(parse(text, path), path, self.to_choice)

    def place_for(self, plan: Plan) -> Path:
        """The file that a changed plan is written to: an own plan's is the same, another's lies in the own folder."""
        return plan.path if self.is_own(plan.path) else self.own / plan.path.name

    def is_changed(self, path: Path, known: str | None) -> bool:
        """Whether there is a file with another text than `known` (line ends apart; None for no file)."""
        try:
            return read_text(path).replace("\r\n", "\n") != known
        except MissingFile:
            return False
        except DataError:  # of another kind than a plan's: nobody wrote it here
            return True

    def new_place(self, name: str) -> Path:
        """A file name in the own folder, made from a plan's name, that is not taken yet."""
        stem = to_stem(name)
        names = (stem, *(f"{stem}-{number}" for number in range(2, 1000)))
        return next(path for each in names if not (path := self.own / f"{each}.toml").exists())

    def write(self, text: str, path: Path, existing: Existing = Existing.REPLACE) -> Plan:
        """Write a plan, whole or not at all, if it can be read. Raises TrainerError."""
        plan = self.check(text, path)
        make_folder(path.parent)
        with open_whole(path, existing) as file:
            file.write_text(text)
        return plan


def open_plan_folder(kept: Places, to_choice: Callable[[str], Choice]) -> PlanFolder:
    """The plans in the user's folder and those brought along."""
    return PlanFolder(kept.patterns / "plans", (bundled("patterns") / "plans",), to_choice)


def to_stem(name: str) -> str:
    """A name as the stem of a file name: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:LONGEST_STEM] or "plan"
