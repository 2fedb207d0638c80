"""Plans: a practice sheet as a TOML file, block after block, checked with file, line and field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from pathlib import Path

from trainer.errors import TrainerError
from trainer.files import texts
from trainer.files.toml import Table
from trainer.library.catalogue import Choice
from trainer.practice.climbs.ladder import MOST_RUNGS
from trainer.practice.guide import goal_to_aim
from trainer.records.courses import ClimbRule
from trainer.timing.counting import Goals
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM

MOST_BLOCKS = 200


class BlockKind(StrEnum):
    """The kinds of blocks."""

    WARM_UP = "warm-up"
    PATTERN = "pattern"
    CLIMB = "climb"
    ENDURANCE = "endurance"
    JUDGED = "judged"
    FREE = "free"
    REST = "rest"

    @property
    def words(self) -> str:
        """As people read it at the head of a block."""
        return {BlockKind.JUDGED: "Judged attempts", BlockKind.FREE: "Free play"}.get(self, self.capitalize())


WITH_PATTERN = (BlockKind.WARM_UP, BlockKind.PATTERN, BlockKind.CLIMB, BlockKind.ENDURANCE, BlockKind.JUDGED)
PAUSES = (BlockKind.FREE, BlockKind.REST)
USUAL_STEP = Fraction(5)
USUAL_MINUTES = Fraction(2)
"""A block lasts so long if none of its fields says when it ends."""


@dataclass(frozen=True, slots=True)
class Block:
    """One block. choice: the pattern, None for free play and rest.

    tempo_bpm: None for the pattern's usual one; of a climb, the first. step_bpm, target_bpm: of a climb.
    minutes: how long; attempts: how many; goal: flash, qualify or a number of catches, what each try aims at;
    times: how many tries have to reach it; any may be left out. say: a sentence for the juggler. rule: of a climb.
    """

    kind: BlockKind
    choice: Choice | None = None
    tempo_bpm: Fraction | None = None
    step_bpm: Fraction = USUAL_STEP
    target_bpm: Fraction | None = None
    minutes: Fraction | None = None
    attempts: int | None = None
    goal: str = ""
    say: str = ""
    times: int | None = None
    rule: ClimbRule = ClimbRule.PLAIN

    @property
    def title(self) -> str:
        """The name of the block's pattern, or the kind of pause."""
        if self.choice is None:
            return self.kind.words
        return self.choice.name or self.choice.pattern.text

    @property
    def usual_minutes(self) -> Fraction | None:
        """Minutes after which the block ends; None where only attempts, goals or the pedal end it."""
        unlimited = self.minutes is None and self.attempts is None and self.times is None
        if unlimited and self.kind in (BlockKind.WARM_UP, BlockKind.PATTERN, BlockKind.ENDURANCE) and not self.goal:
            return USUAL_MINUTES
        return self.minutes

    @property
    def usual_times(self) -> int | None:
        """How many tries that reach the goal end the block; None where such tries don't end it."""
        limited = self.minutes is not None or self.attempts is not None
        return 1 if self.goal and self.times is None and not limited else self.times


@dataclass(frozen=True, slots=True)
class Plan:
    """A practice sheet. audience: whom it is for, in a sentence."""

    name: str
    audience: str
    blocks: tuple[Block, ...]
    path: Path


def read_plan(table: Table, path: Path, to_choice: Callable[[str], Choice]) -> Plan:
    """The plan in a file's outermost table. to_choice: finds a pattern by its name or siteswap.

    Raises DataError with file, line and field for the first thing wrong.
    """
    name = table.text("name", texts.PLAN)
    audience = table.text("for", texts.AUDIENCE)
    rows = table.tables("block")
    if not 0 < len(rows) <= MOST_BLOCKS:
        raise table.error("block", f"There were {len(rows)} blocks. Give 1 to {MOST_BLOCKS}.")
    blocks = tuple(_read_block(row, to_choice) for row in rows)
    table.refuse_unknown()
    return Plan(name, audience, blocks, path)


def require_pattern(plan: Plan) -> Choice:
    """The pattern that comes first. Raises TrainerError where there is none to practise."""
    for block in plan.blocks:
        if block.choice is not None:
            return block.choice
    raise TrainerError("There was no pattern in this plan. Add a block with one.")


def _read_block(row: Table, to_choice: Callable[[str], Choice]) -> Block:
    kind = BlockKind(row.choice("kind", tuple(BlockKind)))
    choice = _read_pattern(row, to_choice) if kind in WITH_PATTERN else None
    low, high = int(SLOWEST_BPM), int(FASTEST_BPM)
    tempo_bpm = row.fraction("tempo", low=low, high=high, default=None)
    target_bpm = row.fraction("target", low=low, high=high, default=None)
    rule = ClimbRule(row.choice("rule", tuple(ClimbRule), default=ClimbRule.PLAIN))
    if kind is BlockKind.CLIMB:
        _refuse_no_climb(row, rule, tempo_bpm, target_bpm)
    goal = _read_goal(row)
    if row.has("times") and not goal:
        raise row.error("times", "There was no goal to reach so many times. Add one.")
    if kind is BlockKind.JUDGED and not row.has("attempts"):
        raise row.error("attempts", "How many attempts are judged was missing. Add it.")
    return Block(
        kind,
        choice,
        tempo_bpm,
        row.fraction("step", above=0, high=high, default=USUAL_STEP),
        target_bpm,
        row.fraction("minutes", above=0, high=240, default=None),
        row.whole("attempts", low=1, high=1000, default=None),
        goal,
        row.text("say", texts.SAY, default=""),
        row.whole("times", low=1, high=1000, default=None),
        rule,
    )


def _refuse_no_climb(row: Table, rule: ClimbRule, tempo_bpm: Fraction | None, target_bpm: Fraction | None) -> None:
    if rule is ClimbRule.STAIRCASE and tempo_bpm is not None and target_bpm is None:
        return
    if rule is ClimbRule.STAIRCASE and target_bpm is not None:
        raise row.error("target", "A staircase finds its own tempo and has no target. Leave it out.")
    if target_bpm is None or tempo_bpm is None:
        raise row.error("target" if tempo_bpm else "tempo", "A climb needs a tempo to start from and a target.")
    if target_bpm <= tempo_bpm:
        raise row.error("target", "A climb goes up. Write a target above the tempo it starts from.")
    if target_bpm - tempo_bpm > MOST_RUNGS * row.fraction("step", above=0, default=USUAL_STEP):
        raise row.error("step", f"There would be more than {MOST_RUNGS} rungs. Make the steps larger.")


def _read_pattern(row: Table, to_choice: Callable[[str], Choice]) -> Choice:
    text = row.text("pattern", texts.PATTERN)
    try:
        choice = to_choice(text)
    except TrainerError as error:
        raise row.error("pattern", str(error)) from None
    if not choice.pattern.objects:
        raise row.error("pattern", "There was nothing to throw in it. Write one with an object.")
    return choice


def _read_goal(row: Table) -> str:
    goal = row.text("goal", texts.GOAL, default="")
    try:
        if goal:
            goal_to_aim(goal, Goals(1, 1, 2))
    except TrainerError as error:
        raise row.error("goal", str(error)) from None
    return goal
