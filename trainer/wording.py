"""What a practice has to say, in words: where it stands, what to press, and how a try went. No screen needed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.library.catalogue import Choice
from trainer.logbook.records import Attempt, CountedBy, Ended
from trainer.practice.run import State
from trainer.siteswap.pattern import Pattern
from trainer.view import View

ENDED_WORDS = {
    Ended.DROP: "DROP",
    Ended.COLLECTED: "COLLECTED",
    Ended.GOAL: "GOAL",
    Ended.GIVEN_UP: "GIVEN UP",
    Ended.TIME: "TIME",
}
COUNTED_WORDS = {CountedBy.BEAT: "by the beat", CountedBy.TAPS: "by your taps", CountedBy.HAND: "by hand, afterwards"}


@dataclass(frozen=True, slots=True)
class Standing:
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


def standing(view: View, pedal: str) -> Standing:
    """Where things stand; `pedal` is what the pedal's key is called."""
    if view.typed is not None:
        hint = f"{view.typed}▁  then Enter   ({pedal} leaves them out)"
        return Standing("ended", "TYPE THE CATCHES", hint, view.typed or "-")
    if view.state is State.COUNT_IN:
        beats = view.way.count_in(view.score)
        left = max(1, -math.floor(view.beat) - view.score.lead_beats) if view.beat is not None else beats
        return Standing("count-in", "COUNT-IN", number=str(left))
    if view.state is State.RUNNING:
        if view.beat is not None and view.beat < 0:
            return Standing("count-in", "ENTRY", "the throws that lead in")
        hints = {
            CountedBy.BEAT: f"{pedal} when you drop   twice when you collect",
            CountedBy.TAPS: f"{pedal} with every catch   stop tapping to end",
            CountedBy.HAND: f"{pedal} when it ends",
        }
        return Standing("running", "GO", hints[view.way.counted_by])
    if view.state is State.ENDED and view.ended is not None:
        return Standing("ended", ENDED_WORDS[view.ended])
    if view.state is State.REST:
        ended = ENDED_WORDS[view.ended] if view.ended else ""
        return Standing("ended", ended, f"ready again in {math.ceil(view.counts_down_s or 0)} s")
    if view.guide is not None and view.guide.task is None:
        return Standing("ended", "ALL DONE")
    if view.guide is not None and view.guide.task is not None and view.guide.task.choice is None:
        return Standing("ended", "PAUSE")
    return Standing("armed", "READY", f"press {pedal} to start")


def far_word(view: View, stands: Standing) -> str:
    """The one word to read from afar: how things stand, or the last goal that the try under way has reached."""
    reached = view.goals.reached(view.catches or 0) if stands.kind == "running" else ()
    return reached[-1].upper() if reached else stands.word.split()[0] if view.typed is not None else stands.word


def count_to_text(view: View) -> str:
    """The catches of the try under way or the last one; a dash where nobody has counted them."""
    return "-" if view.catches is None and view.last else str(view.catches or 0)


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
