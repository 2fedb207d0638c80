"""What a practice has to say, in words: where it stands, what to press, and how a try went. No screen needed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from trainer.library.catalogue import Choice
from trainer.practice.plans.judging import find_best
from trainer.practice.plans.plan import BlockKind
from trainer.practice.plans.run import ENDLESS_S, PlanGuide
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.session.view import View
from trainer.siteswap.pattern import Pattern
from trainer.timing import flight
from trainer.timing.score import Score
from trainer.timing.tempo import FASTEST_BPM

LONGEST_DWELL = Fraction(19, 20)  # as far as the keys go
ONE_LINE = 34
"""Characters that stand beside the count at 80 columns."""

ENDED_WORDS = {ended: ended.words.upper() for ended in Ended}
COUNTED_WORDS = {CountedBy.BEAT: "by the beat", CountedBy.TAPS: "by your taps", CountedBy.HAND: "by hand, afterwards"}


@dataclass(frozen=True, slots=True)
class Situation:
    """Where things stand. kind: armed, count-in, running or ended. word: of the state. hint: what to press, or what
    comes next. number: what to count down or to type, if there is such a number.
    """

    kind: str
    word: str
    hint: str = ""
    number: str | None = None

    @property
    def line(self) -> str:
        """All of it in a line."""
        number = self.number if self.kind == "count-in" else None
        return "   ".join(part for part in (self.word, number, self.hint) if part)


def situation(view: View, pedal: str) -> Situation:
    """Where things stand; `pedal` is what the pedal's key is called."""
    if view.typed is not None:
        hint = f"{view.typed}▁  then Enter   ({pedal} leaves them out)"
        return Situation("ended", "TYPE THE CATCHES", hint, view.typed or "-")
    if view.state is RunState.COUNT_IN:
        beats = view.rules.count_in(view.score)
        left = max(1, -math.floor(view.beat) - view.score.lead_beats) if view.beat is not None else beats
        return Situation("count-in", "COUNT-IN", number=str(left))
    if view.state is RunState.RUNNING:
        if view.beat is not None and view.beat < 0:
            return Situation("count-in", "ENTRY", "the throws that lead in")
        hints = {
            CountedBy.BEAT: f"{pedal} when you drop   twice when you collect",
            CountedBy.TAPS: f"{pedal} with every catch   stop tapping to end",
            CountedBy.HAND: f"{pedal} when it ends",
        }
        return Situation("running", "GO", hints[view.rules.counted_by])
    if view.state is RunState.ENDED and view.ended is not None:
        return Situation("ended", ENDED_WORDS[view.ended])
    if isinstance(view.guide, PlanGuide) and (stands := _in_plan(view.guide, pedal)) is not None:
        return stands
    if view.state is RunState.REST:
        ended = ENDED_WORDS[view.ended] if view.ended else ""
        return Situation("ended", ended, f"ready again in {math.ceil(view.counts_down_s or 0)} s")
    if view.guide is not None and view.guide.task is None:
        return Situation("ended", "ALL DONE")
    if view.guide is not None and view.guide.task is not None and view.guide.task.choice is None:
        return Situation("ended", "PAUSE")
    return Situation("armed", "READY", f"press {pedal} to start")


def far_word(view: View, stands: Situation) -> str:
    """The one word to read from afar: how things stand, or the last goal that the try under way has reached."""
    reached = view.goals.reached(view.catches or 0) if stands.kind == "running" else ()
    return reached[-1].upper() if reached else stands.word.split()[0] if view.typed is not None else stands.word


def _in_plan(guide: PlanGuide, pedal: str) -> Situation | None:
    """Where things stand between the tries of a plan; None where it is as everywhere."""
    if guide.step is None:
        return Situation("ended", "THE PLAN IS DONE", "Esc goes back")
    if guide.since_s is None:
        return Situation("armed", "READY", f"{pedal} begins; from then on it is all you need")
    if not guide.is_pause:
        return None
    following = guide.steps[guide.block + 1 :]
    coming = f"   then {following[0].block.title}" if following else ""
    return Situation("armed", guide.step.block.title.upper(), f"{pedal} goes on{coming}")


def plan_place(guide: PlanGuide) -> str:
    """Which block of a plan this is; empty when all are done."""
    return f"block {guide.block + 1} of {len(guide.steps)}, {guide.step.block.kind}" if guide.step else ""


def plan_lines(guide: PlanGuide, now_s: float) -> list[str]:
    """How far a block of a plan is: the try, the goal, the time; of what is judged, the best so far."""
    if guide.step is None:
        return []
    block, counted, left_s = guide.step.block, len(guide.counted), guide.left_s(now_s)
    tries = f"try {counted + 1} of {block.attempts}" if block.attempts else f"try {counted + 1}"
    words = [] if guide.is_pause else [tries]
    words += [] if left_s == ENDLESS_S else [f"{minutes_left(left_s)} left"]
    lines = [", ".join(words)] if words else []
    if guide.inner is not None and guide.inner.task is not None:
        lines.append(guide.inner.task.say)
    elif guide.step.aim is not None:
        times = f" of {block.usual_times}" if block.usual_times else ""
        goal = f"{guide.step.aim}: reached {guide.reached}{times}"
        together = ", ".join([*lines, goal])
        lines = [together] if len(together) <= ONE_LINE else [*lines, goal]
    if block.kind in (BlockKind.JUDGED, BlockKind.ENDURANCE) and (best := find_best(guide.counted)):
        lines.append(f"best {best.catches} (try {best.number}), longest {best.longest_s:.1f} s")
    return lines


def minutes_left(seconds: float) -> str:
    """Time left as minutes and seconds; the last second is shown until it is over."""
    minutes, left = divmod(math.ceil(seconds), 60)
    return f"{minutes}:{left:02}"


def count_to_text(view: View) -> str:
    """The catches of the try under way or the last one, a dash where nobody has counted them; in a pause, its time."""
    if isinstance(view.guide, PlanGuide) and view.guide.is_pause:
        left_s = view.guide.left_s(view.now_s)
        return "-" if left_s == ENDLESS_S else minutes_left(left_s)
    return "-" if view.catches is None and view.last else str(view.catches or 0)


def height_m(view: View) -> float:
    """How high the highest throw goes at the tempo as it is, in metres."""
    highest = view.score.pattern.highest
    return flight.apex_m(flight.flight_s(highest, view.score.dwell, view.tempo_bpm)) if highest > 0 else 0.0


def under_ceiling(score: Score, tempo_bpm: Fraction, ceiling_m: float) -> str:
    """What keeps the highest throw of a score that goes too high under a ceiling; empty if nothing does."""
    highest = score.pattern.highest
    slowest_bpm = math.ceil(flight.apex_to_tempo(highest, score.dwell, ceiling_m))
    dwell = flight.apex_to_dwell(highest, tempo_bpm, ceiling_m)
    ways = [f"{slowest_bpm}/min"] if slowest_bpm <= FASTEST_BPM else []
    if dwell is not None and dwell <= LONGEST_DWELL:
        ways.append(f"dwell {math.ceil(100 * dwell) / 100:.2f}")
    return f"fits from {', or '.join(ways)}" if ways else ""


def title(choice: Choice, pattern: Pattern) -> str:
    """The pattern's text, its name, and how many objects."""
    name = choice.entry.title if choice.entry else ""
    objects = "1 object" if pattern.objects == 1 else f"{pattern.objects} objects"
    return " · ".join(part for part in (pattern.text, "" if name == pattern.text else name, objects) if part)


def marks(attempt: Attempt) -> tuple[str, ...]:
    """What is to be told of a try beside its count."""
    if not attempt.fair:
        return ("not fair",)
    reached = "qualify" if attempt.qualify else "flash" if attempt.flash else ""
    return tuple(mark for mark in (reached, "best" if attempt.best else "") if mark)
