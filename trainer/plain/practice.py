"""The plain mode: a practice told in lines of text, for ears, slow terminals and logs.

Nothing is drawn: keys come in by name with the second they were pressed at, and lines go out.
"""

from __future__ import annotations

from collections.abc import Callable

from trainer.keys.commands import CARE, commands_of, key_rows, keys_of
from trainer.keys.names import key_to_text
from trainer.practice.demands import rung_demands
from trainer.practice.pedal import Edge
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt
from trainer.session.controls import Controls
from trainer.session.rules import count_in_beats
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.session.view import View
from trainer.session.wording import Situation, marks, situation, title, under_ceiling
from trainer.timing.tempo import format_number

SCREEN = "plain"
"""What the table of commands calls this mode."""


class PlainPractice(Controls):
    """A practice of one pattern. tell: takes each line. has_left: whether the user wants to go."""

    def __init__(self, sitting: Sitting, session: Session, tell: Callable[[str], None]) -> None:
        self._sitting, self.session, self._tell = sitting, session, tell
        self.has_left = False
        self._told: dict[str, object] = {}
        self._goals: tuple[str, ...] = ()
        self._tries = len(sitting.tries.attempts)

    @property
    def sitting(self) -> Sitting:
        return self._sitting

    def say(self, text: str) -> None:
        self._tell(text)

    def begin(self) -> None:
        """Say what is practised, what to take care of, and how it is done."""
        self.say(f"{title(self.session.chosen.choice)}.")
        question = key_to_text("question_mark")
        self.say(f"Look up and around first: lights, ceiling, people, pets. {question} tells the keys, q leaves.")
        self.tick()

    def take(self, key: str, at_s: float, edge: Edge = Edge.DOWN) -> None:
        """Take a key or a footswitch by its name, pressed at a second; one that means nothing here changes nothing."""
        if not (self.take_pedal(key, at_s, edge) or self.take_typed(key)):
            for command in commands_of(SCREEN):
                if key in keys_of(command, self.sitting.settings.keys):
                    self.carry_out(command.name, at_s)
        self.tick()

    def leave(self) -> None:
        """Give up what is under way, and sum up."""
        self.sitting.end_session()
        self._tell_tries()
        attempts = self.sitting.tries.attempts
        count = "1 try" if len(attempts) == 1 else f"{len(attempts)} tries"
        self.say(f"Left after {count}.")

    def action_leave(self) -> None:
        self.has_left = True

    action_back = action_leave

    def action_show_help(self) -> None:
        """Tell every key, a line each, and the words of care."""
        for keys, meaning in key_rows(SCREEN, self.sitting.settings):
            self.say(f"{keys}: {meaning}")
        self.say(CARE)

    # -- what is told ---------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Tell the session the time, and the user what is new."""
        now_s = self.sitting.clock()
        self.session.tick(now_s)
        view = self.session.view(now_s)
        self._tell_changes(view)
        self._tell_goals(view)
        self._tell_tries()
        self._tell_standing(view, situation(view, key_to_text(self.sitting.settings.pedal)))
        for notice in self.sitting.notices:
            self.say(notice)
        self.sitting.notices.clear()
        self._tell_new("trouble", self.sitting.trouble())

    def _tell_new(self, what: str, line: str) -> None:
        """Tell a line about something, unless it was the last line about it."""
        if self._told.get(what) != line:
            self._told[what] = line
            if line:
                self.say(line)

    def _tell_changes(self, view: View) -> None:
        """Tell what has changed of tempo and height, dwell, kit, entry, bounce and ceiling."""
        height_m = rung_demands(view.chosen.score, view.chosen.tempo_bpm).height_m
        self._tell_new("tempo", f"{format_number(view.chosen.tempo_bpm)} beats a minute, {height_m:.1f} m high.")
        self._tell_new("dwell", f"Dwell {float(view.chosen.score.dwell):.2f}.")
        self._tell_new("kit", f"Kit {self.session.bank.kit.name}.")
        entry = "Begins from the plain pattern." if view.chosen.score.entry is not None else ""
        if entry or "entry" in self._told:
            self._tell_new("entry", entry or "Begins with the pattern as it is written.")
        self._tell_new("bounce", view.chosen.trouble)
        ceiling_m = self.sitting.settings.ceiling_m
        above = ""
        if ceiling_m is not None and height_m > ceiling_m:
            remedy = under_ceiling(view.chosen.score, view.chosen.tempo_bpm, ceiling_m)
            above = f"That is above your ceiling of {ceiling_m:g} m{f'; it {remedy}' if remedy else ''}."
        self._tell_new("ceiling", above)

    def _tell_goals(self, view: View) -> None:
        """Tell flash and qualify when the run reaches them."""
        reached = view.chosen.goals.reached(view.catches or 0) if view.state is RunState.RUNNING else ()
        needed = {"flash": view.chosen.goals.flash, "qualify": view.chosen.goals.qualify}
        for goal in reached[len(self._goals) :]:
            self.say(f"{goal.capitalize()}: {needed[goal]} catches.")
        self._goals = reached

    def _tell_tries(self) -> None:
        """Tell the tries that have ended since the last call."""
        attempts = self.sitting.tries.attempts
        for attempt in attempts[self._tries :]:
            self.say(try_to_text(attempt))
        self._tries = len(attempts)

    def _tell_standing(self, view: View, stands: Situation) -> None:
        """Tell what is asked for now. A drop that may yet become a clean finish is told once it is certain."""
        if view.state is RunState.ENDED:
            return
        hint = stands.hint.replace("   ", ", ")  # what the screen parts by space
        line = f"{stands.word.capitalize()}: {hint}." if hint else f"{stands.word.capitalize()}."
        if view.typed is not None:
            pedal = key_to_text(self.sitting.settings.pedal)
            line = f"Type the catches{f', {view.typed}' if view.typed else ''}, then Enter. {pedal} leaves them out."
        elif view.state is RunState.COUNT_IN:
            beats = count_in_beats(view.settings, view.chosen.score)
            line = f"Count-in: {beats} {'beat' if beats == 1 else 'beats'}."
        elif view.state is RunState.REST:
            best = f" Best {view.best}." if view.best else ""
            line = f"Rest of {view.settings.rest_s:g} s.{best}"
        self._tell_new("standing", line)


def try_to_text(attempt: Attempt) -> str:
    """How a try went, in a sentence."""
    ended = attempt.ended.words.capitalize() if attempt.ended else "Ended"
    catches = "" if attempt.catches is None else "1 catch" if attempt.catches == 1 else f"{attempt.catches} catches"
    told = ", ".join(part for part in (catches, *marks(attempt)) if part)
    return f"{ended}: {told}." if told else f"{ended}."
