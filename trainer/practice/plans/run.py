"""A plan's run, block after block: a value that says what comes next, and grows with each try and with the time.

Two rules. A try under way is never cut short: a block whose time is up goes on to its end. And the clock stands
until the pedal is pressed, at the first start and each time a run is taken up again; from then on it runs by itself.

Times are seconds of one clock, given by whoever has it. Where a run stands is (block, elapsed_s, tries of the block),
and is taken up from just these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from trainer.practice.climbs import ladder as ladders
from trainer.practice.climbs.climb import STAIRCASE, Climb, plain
from trainer.practice.climbs.ladder import TempoLadder
from trainer.practice.guide import Aim, Guide, Task, Told, goal_to_aim, minutes_left
from trainer.practice.plans.judging import find_best
from trainer.practice.plans.page import ends_words
from trainer.practice.plans.plan import PAUSES, Block, BlockKind, Plan
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.courses import ClimbRule
from trainer.timing.counting import Goals

ENDLESS_S = float("inf")
ONE_LINE = 34
"""Characters that stand beside the count at 80 columns."""

NOTED_EVERY_S = 5.0
"""Between tries the time spent is noted this often, so that no more of it is lost when the power goes."""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """A block made ready to be run. aim: what each try aims at. climb: at its start; None in other blocks."""

    block: Block
    aim: Aim | None = None
    climb: Climb | None = None


@dataclass(frozen=True, slots=True)
class PlanGuide(Guide):
    """Where a run stands. block: index of the step under way, len(steps) when all are done.

    elapsed_s: of the block, up to since_s; since_s None: the clock stands. tries: of the block, in their order.
    climb: the block's, as far as it has come. left: the climb of the block before, as it ended. sound: as a Guide has
    it.
    """

    steps: tuple[PlanStep, ...]
    block: int = 0
    elapsed_s: float = 0.0
    since_s: float | None = None
    tries: tuple[Attempt, ...] = ()
    climb: Climb | None = None
    left: Climb | None = None
    sound: str = ""

    # -- where it stands ------------------------------------------------------------------------------------

    @property
    def step(self) -> PlanStep | None:
        """The step under way; None when all are done."""
        return self.steps[self.block] if self.block < len(self.steps) else None

    @property
    def task(self) -> Task | None:
        """What to do now: a try, or a pause, which has no choice; None when all is done."""
        step = self.step
        if step is None:
            return None
        block, number = step.block, self.block + 1
        if block.kind in PAUSES:
            return Task(None, say=block.say, ends_s=self.ends_s, number=number)
        if self.climb is not None and self.climb.task is not None:
            return replace(self.climb.task, number=number)
        return Task(block.choice, block.tempo_bpm, step.aim, block.say, number=number)

    @property
    def is_pause(self) -> bool:
        """Whether there is nothing to throw now."""
        return self.step is not None and self.step.block.kind in PAUSES

    def spent_s(self, now_s: float) -> float:
        """Seconds that the block has lasted so far."""
        return self.elapsed_s + (max(0.0, now_s - self.since_s) if self.since_s is not None else 0.0)

    def left_s(self, now_s: float) -> float:
        """Seconds that the block may still last; ENDLESS_S where time does not end it."""
        minutes = self.step.block.usual_minutes if self.step else None
        return ENDLESS_S if minutes is None else max(0.0, float(minutes * 60) - self.spent_s(now_s))

    @property
    def ends_s(self) -> float | None:
        """When time will end the block; None where the clock stands, or nothing but tries or the pedal end it."""
        if self.since_s is None or self.left_s(self.since_s) == ENDLESS_S:
            return None
        return self.since_s + self.left_s(self.since_s)

    @property
    def counted(self) -> tuple[Attempt, ...]:
        """The tries that count: the fair ones that were not given up; of judged attempts, every one."""
        if self.step is not None and self.step.block.kind is BlockKind.JUDGED:
            return self.tries
        return tuple(each for each in self.tries if each.fair and each.ended is not Ended.GIVEN_UP)

    @property
    def reached(self) -> int:
        """How many tries of the block have reached its goal."""
        aim = self.step.aim if self.step else None
        return sum(aim.reached(each) for each in self.counted) if aim else 0

    @property
    def is_done(self) -> bool:
        """Whether the block's tries end it, whatever the time."""
        step = self.step
        if step is None or step.block.kind in PAUSES:
            return False
        if self.climb is not None and self.climb.done:
            return True
        block, attempts = step.block, step.block.attempts
        times = block.usual_times if self.climb is None else block.times
        return (attempts is not None and len(self.counted) >= attempts) or (times is not None and self.reached >= times)

    # -- what happens to it ---------------------------------------------------------------------------------

    def begun(self, now_s: float) -> PlanGuide:
        """The run after a press at rest: it starts the clock, or ends a pause if the clock runs."""
        if self.since_s is None:
            return replace(self, since_s=now_s, sound="")
        return self.skipped(now_s) if self.is_pause else self._with_climb(self.climb)

    def standing(self, now_s: float) -> PlanGuide:
        """The run with its clock stopped, as it is left."""
        return replace(self, elapsed_s=self.spent_s(now_s), since_s=None, sound="")

    def after(self, attempt: Attempt, now_s: float) -> PlanGuide:
        """The run after a try of the block."""
        if self.step is None or self.is_pause:
            return self
        climb = self.climb.after(attempt, now_s) if self.climb is not None else None
        grown = replace(self, tries=(*self.tries, attempt))._with_climb(climb)
        return grown.skipped(now_s) if grown.is_done or not grown.left_s(now_s) else grown

    def at(self, now_s: float) -> PlanGuide:
        """The run after what time has brought about between tries: at most the next block, which begins now."""
        if self.step is None or self.since_s is None:
            return self
        if not self.left_s(now_s) or self.is_done:
            return self.skipped(now_s)
        if now_s - self.since_s < NOTED_EVERY_S:
            return self
        return replace(self._with_climb(self.climb), elapsed_s=self.spent_s(now_s), since_s=now_s)

    def skipped(self, now_s: float) -> PlanGuide:
        """The run at the next block, from now on; after the last block at its end."""
        if self.step is None:
            return self
        since_s = None if self.since_s is None else now_s
        following = begin(self.steps, self.block + 1, since_s=since_s)
        return replace(following, left=self.climb, sound="block" if following.step is not None else "ended")

    def _with_climb(self, climb: Climb | None) -> PlanGuide:
        """The run with the block's climb as it stands now, and with that climb's sound."""
        return replace(self, climb=climb, sound=climb.sound if climb is not None else "")

    # -- what it tells --------------------------------------------------------------------------------------

    def told(self, now_s: float) -> Told:
        step, coming = self.step, self.steps[self.block + 1 :]
        if step is None:
            return Told(word="THE PLAN IS DONE", hint="Esc goes back")
        place = f"block {self.block + 1} of {len(self.steps)}, {step.block.kind}"
        word, hint = "", ""
        if self.since_s is None:
            word, hint = "READY", "{pedal} begins; from then on it is all you need"
        elif self.is_pause:
            then = f"   then {coming[0].block.title}" if coming else ""
            word, hint = step.block.title.upper(), f"{{pedal}} goes on{then}"
        if self.is_pause:
            listed = tuple(
                f"{number:>2} {each.block.title}, {ends_words(each.block)}"
                for number, each in enumerate(coming, start=self.block + 2)
            )
            left_s = self.left_s(now_s) if step.block.usual_minutes is not None else None
            return Told(place=place, say=step.block.say, coming=listed, left_s=left_s, word=word, hint=hint)
        is_first = self.since_s is None or not self.tries
        lines = tuple(self._lines(step, now_s))
        return Told(place=place, lines=lines, say=step.block.say if is_first else "", word=word, hint=hint)

    def _lines(self, step: PlanStep, now_s: float) -> list[str]:
        """How far the block has come: try, time left and goal; of judged tries and endurance, the best so far."""
        block, counted, left_s = step.block, len(self.counted), self.left_s(now_s)
        tries = f"try {counted + 1} of {block.attempts}" if block.attempts else f"try {counted + 1}"
        lines = [tries if left_s == ENDLESS_S else f"{tries}, {minutes_left(left_s)} left"]
        if self.climb is not None and self.climb.task is not None:
            lines.append(self.climb.task.say)
        elif step.aim is not None:
            times = f" of {block.usual_times}" if block.usual_times else ""
            goal = f"{step.aim}: reached {self.reached}{times}"
            together = f"{lines[0]}, {goal}"
            lines = [together] if len(together) <= ONE_LINE else [*lines, goal]
        if block.kind in (BlockKind.JUDGED, BlockKind.ENDURANCE) and (best := find_best(self.counted)):
            lines.append(f"best {best.catches} (try {best.number}), longest {best.longest_s:.1f} s")
        return lines


def begin(
    steps: tuple[PlanStep, ...], block: int = 0, elapsed_s: float = 0.0, since_s: float | None = None
) -> PlanGuide:
    """A run at the start of a block, or as far into it as it had come."""
    climb = steps[block].climb if block < len(steps) else None
    return PlanGuide(steps, block, elapsed_s, since_s, climb=climb)


def take_up(steps: tuple[PlanStep, ...], block: int, elapsed_s: float, tries: Iterable[Attempt]) -> PlanGuide:
    """A run as it was left, also by a crash. tries: of that block, in their order, as they were written down."""
    run = begin(steps, min(block, len(steps)), elapsed_s)
    for attempt in tries:
        if run.block == block:
            run = run.after(attempt, 0.0)
    return run


def to_steps(plan: Plan, counted_by: CountedBy, to_goals: Callable[[Block], Goals]) -> tuple[PlanStep, ...]:
    """The blocks of a plan made ready. to_goals: catches of flash and qualify of a block's pattern."""
    return tuple(
        PlanStep(
            block,
            goal_to_aim(block.goal, to_goals(block)) if block.choice is not None and block.goal else None,
            block_to_climb(block, counted_by, to_goals(block)) if block.kind is BlockKind.CLIMB else None,
        )
        for block in plan.blocks
    )


def block_to_climb(block: Block, counted_by: CountedBy, goals: Goals) -> Climb:
    """The climb of a block at its start. goals: of its pattern, whose flash and qualify are meant."""
    assert block.choice is not None
    assert block.tempo_bpm is not None
    aim = goal_to_aim(block.goal or "qualify", goals)
    ladder = TempoLadder(block.choice, block.tempo_bpm, ladders.TempoStep(block.step_bpm), aim, block.target_bpm)
    return Climb(ladder, STAIRCASE if block.rule is ClimbRule.STAIRCASE else plain(), counted_by)
