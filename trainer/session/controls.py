"""What the keys of a practice do, the same on the screen and in the plain mode."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.practice.count import Counter
from trainer.practice.pedal import Edge
from trainer.practice.run import Signal
from trainer.practice.taptempo import TapTempo
from trainer.records.attempt import Attempt, CountedBy
from trainer.session.lasttry import dropper
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.session.wording import LONGEST_DWELL
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM, format_number

TEMPO_STEP = 5
DWELL_STEP = Fraction(1, 20)
DIGITS = frozenset("0123456789")
NOTHING_TO_SET_RIGHT = "There is no try to set right: the first has not ended, or one is under way."
NOTHING_TO_UNDO = "There is no change to undo here, or a try is under way."
COUNTS = tuple(CountedBy)
TIMED = frozenset({"tap_tempo"})
"""Commands whose action is told the second at which their key was pressed."""


class Controls:
    """Carries out the keys of a practice. A command of the table is the method action_ with the command's name.

    No method is called key_ with a key's name: textual would call it when that key is pressed.
    """

    session: Session
    _taps = TapTempo()

    @property
    @abstractmethod
    def sitting(self) -> Sitting:
        """The sitting that this practice belongs to."""

    @abstractmethod
    def say(self, text: str) -> None:
        """Tell the user something."""

    def take_pedal(self, key: str, at_s: float, edge: Edge = Edge.DOWN) -> bool:
        """Take a press of the pedal or the end pedal; False for other keys, and for one of a count being typed in."""
        settings = self.sitting.settings
        if self._is_typed(key) or key not in (settings.pedal, settings.end_pedal):
            return False
        if key == settings.pedal:
            self.press(at_s, edge)
        else:
            self.session.press(at_s, edge, Signal.END)
        return True

    def press(self, at_s: float, edge: Edge = Edge.DOWN) -> None:
        """Press the pedal at a second."""
        self._try(lambda: self.session.press(at_s, edge))

    def carry_out(self, command: str, at_s: float) -> None:
        """Carry out a command whose key was pressed at a second."""
        action = getattr(self, f"action_{command}")
        action(at_s) if command in TIMED else action()

    def take_typed(self, key: str) -> bool:
        """Take a key of a count that is typed in after a run counted by hand; False if it is for something else.

        A digit settles a run that has just ended, so that the count is asked for before the digit is taken.
        """
        if key in DIGITS and self.session.settings.counted_by is CountedBy.HAND:
            self.session.settle(self.sitting.clock())
        if not self._is_typed(key):
            return False
        last_try = self.session.last_try
        if key == "backspace":
            last_try.erase_digit()
        elif key == "enter":
            last_try.confirm()
        else:
            last_try.type_digit(key)
        return True

    def _is_typed(self, key: str) -> bool:
        typed = self.session.last_try.typed
        return typed is not None and (key in DIGITS or key == "backspace" or (key == "enter" and typed != ""))

    def _try(self, change: Callable[[], object]) -> None:
        """Make a change, or tell the user why it was refused."""
        try:
            change()
        except TrainerError as error:
            self.say(str(error))

    # -- tempo and dwell ------------------------------------------------------------------------------------

    def action_faster(self) -> None:
        self._set_tempo(self.session.chosen.tempo_bpm + TEMPO_STEP)

    def action_slower(self) -> None:
        self._set_tempo(self.session.chosen.tempo_bpm - TEMPO_STEP)

    def action_double(self) -> None:
        self._set_tempo(self.session.chosen.tempo_bpm * 2)

    def action_halve(self) -> None:
        self._set_tempo(self.session.chosen.tempo_bpm / 2)

    def action_tap_tempo(self, at_s: float) -> None:
        self._try(lambda: self._tap_tempo(at_s))

    def _tap_tempo(self, at_s: float) -> None:
        self._taps = self._taps.tap(at_s)
        tempo_bpm = self._taps.tempo_bpm()
        if tempo_bpm is None:
            self.say("Go on tapping …")
        else:
            self.session.set_tempo(_within_reach(tempo_bpm))
            self.say(f"{format_number(tempo_bpm)} beats/min by your taps.")

    def _set_tempo(self, tempo_bpm: Fraction) -> None:
        self._try(lambda: self.session.set_tempo(_within_reach(tempo_bpm)))

    def action_hold_longer(self) -> None:
        self._set_dwell((self.session.chosen.score.dwell // DWELL_STEP + 1) * DWELL_STEP)

    def action_hold_shorter(self) -> None:
        self._set_dwell(-((-self.session.chosen.score.dwell) // DWELL_STEP + 1) * DWELL_STEP)

    def _set_dwell(self, dwell: Fraction) -> None:
        self._try(lambda: self.session.set_dwell(min(max(dwell, DWELL_STEP), LONGEST_DWELL)))

    # -- how it sounds, is counted and begins ---------------------------------------------------------------

    def action_next_kit(self) -> None:
        names = [kit.name for kit in self.sitting.kits]
        current = self.session.bank.kit.name
        self.sitting.use(kit=names[(names.index(current) + 1) % len(names)])

    def action_next_count(self) -> None:
        settings = self.sitting.settings
        counted_by = COUNTS[(COUNTS.index(settings.counted_by) + 1) % len(COUNTS)]
        self.sitting.use(counted_by=counted_by)
        counter = Counter(self.session.chosen.score, counted_by, settings.taps_count)
        later = "" if self.session.settings.counted_by is counted_by else " (from the next try on)"
        self.say(f"Counted {counter.explanation}{later}.")

    def action_enter_it(self) -> None:
        self._try(self.session.toggle_entry)

    def action_next_block(self) -> None:
        now_s = self.sitting.clock()
        if not self.session.view(now_s).told.leads:
            self.say("There is no plan here to go on with.")
        self.session.go_on(now_s)

    def action_give_up(self) -> None:
        self.session.give_up(self.sitting.clock())

    # -- the last try, set right ----------------------------------------------------------------------------

    def action_one_more(self) -> None:
        self._tell_set_right(self.session.last_try.add(1))

    def action_one_less(self) -> None:
        self._tell_set_right(self.session.last_try.add(-1))

    def action_unfair(self) -> None:
        self._tell_set_right(self.session.last_try.toggle_fair())

    def action_who_dropped(self) -> None:
        attempt = self.session.last_try.next_dropper()
        if attempt is None:
            self.say("Who dropped is noted of a passing pattern, after a try.")
        else:
            who = f"juggler {dropper(attempt)} dropped" if dropper(attempt) else "nobody is noted to have dropped"
            self.say(f"The last try: {who}. j goes on to the next, u takes it back.")

    def action_undo(self) -> None:
        undone = self.session.last_try.undo()
        self.say(NOTHING_TO_UNDO if undone is None else f"Undone. {self._as_told(undone)}")

    def _tell_set_right(self, attempt: Attempt | None) -> None:
        self.say(NOTHING_TO_SET_RIGHT if attempt is None else f"{self._as_told(attempt)} u takes it back.")

    def _as_told(self, attempt: Attempt) -> str:
        number = next(place for place, each in enumerate(self.sitting.tries.attempts, start=1) if each is attempt)
        count = {None: "no count", 1: "1 catch"}.get(attempt.catches, f"{attempt.catches} catches")
        fair = "" if attempt.fair else " Not a fair try: kept, and counted for no best."
        return f"Try {number} has {count}.{fair}"


def _within_reach(tempo_bpm: Fraction) -> Fraction:
    return min(max(tempo_bpm, SLOWEST_BPM), FASTEST_BPM)
