"""Words of a practice, for the screen and the plain mode: where it stands, what to press, how a try went."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from trainer.library.catalogue import Choice
from trainer.practice.guide import minutes_left
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt, CountedBy
from trainer.session.rules import count_in_beats
from trainer.session.view import View
from trainer.timing import flight
from trainer.timing.score import Score
from trainer.timing.tempo import FASTEST_BPM

LONGEST_DWELL = Fraction(19, 20)  # as far as the keys go
COUNTED_WORDS = {CountedBy.BEAT: "by the beat", CountedBy.TAPS: "by your taps", CountedBy.HAND: "by hand, afterwards"}


@dataclass(frozen=True, slots=True)
class Situation:
    """Where a practice stands. kind: armed, count-in, running or ended, for the colour. word: what the state is called.

    hint: what to press, or what comes next. number: to be counted down or typed, None if there is none.
    """

    kind: str
    word: str
    hint: str = ""
    number: str | None = None

    @property
    def line(self) -> str:
        """Word, number and hint in one line."""
        number = self.number if self.kind == "count-in" else None
        return "   ".join(part for part in (self.word, number, self.hint) if part)


def situation(view: View, pedal: str) -> Situation:
    """Where a practice stands. pedal: what the pedal's key is called."""
    if view.typed is not None:
        hint = f"{view.typed}▁  then Enter   ({pedal} leaves them out)"
        return Situation("ended", "TYPE THE CATCHES", hint, view.typed or "-")
    if view.state is RunState.COUNT_IN:
        beats = count_in_beats(view.settings, view.chosen.score)
        left = max(1, -math.floor(view.beat) - view.chosen.score.lead_beats) if view.beat is not None else beats
        return Situation("count-in", "COUNT-IN", number=str(left))
    if view.state is RunState.RUNNING:
        if view.beat is not None and view.beat < 0:
            return Situation("count-in", "ENTRY", "the throws that lead in")
        hints = {
            CountedBy.BEAT: f"{pedal} when you drop   twice when you collect",
            CountedBy.TAPS: f"{pedal} with every catch   stop tapping to end",
            CountedBy.HAND: f"{pedal} when it ends",
        }
        return Situation("running", "GO", hints[view.settings.counted_by])
    if view.state is RunState.ENDED and view.ended is not None:
        return Situation("ended", view.ended.words.upper())
    told, task = view.told, view.guide.task
    if told.word:
        return Situation("armed" if task is not None else "ended", told.word, told.hint.replace("{pedal}", pedal))
    if view.state is RunState.REST:
        ended = view.ended.words.upper() if view.ended else ""
        return Situation("ended", ended, f"ready again in {math.ceil(view.counts_down_s or 0)} s")
    if task is None:
        return Situation("ended", "ALL DONE")
    return Situation("armed", "READY", f"press {pedal} to start")


def far_word(view: View, stands: Situation) -> str:
    """The one word for the far view: the state, or the last goal that the try under way has reached."""
    reached = view.chosen.goals.reached(view.catches or 0) if stands.kind == "running" else ()
    return reached[-1].upper() if reached else stands.word.split()[0] if view.typed is not None else stands.word


def count_to_text(view: View) -> str:
    """The catches of the try under way or the last one, a dash if nobody has counted them; in a pause the time left."""
    if view.is_pause:
        left_s = view.told.left_s
        return "-" if left_s is None else minutes_left(left_s)
    return "-" if view.catches is None and view.last else str(view.catches or 0)


def under_ceiling(score: Score, tempo_bpm: Fraction, ceiling_m: float) -> str:
    """Tempo and dwell at which the highest throw of a score stays under a ceiling; empty if there are none in reach."""
    highest = score.pattern.highest
    slowest_bpm = math.ceil(flight.apex_to_tempo(highest, score.dwell, ceiling_m))
    dwell = flight.apex_to_dwell(highest, tempo_bpm, ceiling_m)
    ways = [f"{slowest_bpm}/min"] if slowest_bpm <= FASTEST_BPM else []
    if dwell is not None and dwell <= LONGEST_DWELL:
        ways.append(f"dwell {math.ceil(100 * dwell) / 100:.2f}")
    return f"fits from {', or '.join(ways)}" if ways else ""


def title(choice: Choice) -> str:
    """The pattern's text, its name, and how many objects."""
    pattern, name = choice.pattern, choice.name or ""
    objects = "1 object" if pattern.objects == 1 else f"{pattern.objects} objects"
    return " · ".join(part for part in (pattern.text, "" if name == pattern.text else name, objects) if part)


def marks(attempt: Attempt) -> tuple[str, ...]:
    """Words to tell of a try beside its count: not fair, flash or qualify, best."""
    if not attempt.fair:
        return ("not fair",)
    reached = "qualify" if attempt.qualify else "flash" if attempt.flash else ""
    return tuple(mark for mark in (reached, "best" if attempt.best else "") if mark)
