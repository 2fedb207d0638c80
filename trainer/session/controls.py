"""The commands of a practice, carried out: alike for the screen and for the plain mode, whoever shows what they do."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.practice.count import Counter
from trainer.practice.pedal import Edge
from trainer.records.attempt import Attempt, CountedBy, TapsUnit
from trainer.session.lasttry import dropper
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.session.wording import LONGEST_DWELL
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM, format_number

TEMPO_STEP = 5
DWELL_STEP = Fraction(1, 20)
DIGITS = frozenset("0123456789")
NOTHING_TO_SET_RIGHT = "There is no try to set right: the first has not ended, or one is under way."
NOBODY_ELSE = "Who dropped is noted of a passing pattern, after a try."
NOTHING_TO_UNDO = "There is no change to undo here, or a try is under way."
COUNTS = tuple(CountedBy)


class Controls:
    """What the keys of a practice do. Each command of the table is a method action_ and its name.

    stamp_s: when the last key's bytes arrived; an action is told no event. (textual would call key_s for the key s.)
    """

    session: Session
    stamp_s = 0.0

    @property
    @abstractmethod
    def sitting(self) -> Sitting:
        """Where the practice goes on."""

    @abstractmethod
    def say(self, text: str) -> None:
        """Tell the user something."""

    def take_pedal(self, key: str, at_s: float, edge: Edge = Edge.DOWN) -> bool:
        """A press of a pedal or the end pedal; False where the key is neither, or for a count being typed in."""
        settings = self.sitting.settings
        if self._is_typed(key) or key not in (settings.pedal, settings.end_pedal):
            return False
        if key == settings.pedal:
            self.press(at_s, edge)
        else:
            self.session.press_end(at_s, edge)
        return True

    def press(self, at_s: float, edge: Edge = Edge.DOWN) -> None:
        """The pedal, pressed at a second."""
        self._try(lambda: self.session.press(at_s, edge))

    def take_typed(self, key: str) -> bool:
        """A key for the count that is typed in after a run counted by hand; False where it is for something else.

        Who types has ended the run for good: the count is asked for at once, or its first digit would be lost.
        """
        if key in DIGITS and self.session.rules.counted_by is CountedBy.HAND:
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
        """Do it, or say why it can't be."""
        try:
            change()
        except TrainerError as error:
            self.say(str(error))

    # -- tempo and dwell ------------------------------------------------------------------------------------

    def action_faster(self) -> None:
        self._set_tempo(self.session.tempo_bpm + TEMPO_STEP)

    def action_slower(self) -> None:
        self._set_tempo(self.session.tempo_bpm - TEMPO_STEP)

    def action_double(self) -> None:
        self._set_tempo(self.session.tempo_bpm * 2)

    def action_halve(self) -> None:
        self._set_tempo(self.session.tempo_bpm / 2)

    def action_tap_tempo(self) -> None:
        self._try(self._tap_tempo)

    def _tap_tempo(self) -> None:
        tempo_bpm = self.session.tap_tempo(self.stamp_s)
        self.say("Go on tapping …" if tempo_bpm is None else f"{format_number(tempo_bpm)} beats/min by your taps.")

    def _set_tempo(self, tempo_bpm: Fraction) -> None:
        self._try(lambda: self.session.set_tempo(min(max(tempo_bpm, SLOWEST_BPM), FASTEST_BPM)))

    def action_hold_longer(self) -> None:
        self._set_dwell((self.session.score.dwell // DWELL_STEP + 1) * DWELL_STEP)

    def action_hold_shorter(self) -> None:
        self._set_dwell(-((-self.session.score.dwell) // DWELL_STEP + 1) * DWELL_STEP)

    def _set_dwell(self, dwell: Fraction) -> None:
        self._try(lambda: self.session.set_dwell(min(max(dwell, DWELL_STEP), LONGEST_DWELL)))

    # -- how it sounds, is counted and begins ---------------------------------------------------------------

    def action_next_kit(self) -> None:
        names = [kit.name for kit in self.sitting.kits]
        current = self.session.bank.kit.name
        self.sitting.use(kit=names[(names.index(current) + 1) % len(names)])

    def action_next_count(self) -> None:
        counted_by = COUNTS[(COUNTS.index(CountedBy(self.sitting.settings.counted_by)) + 1) % len(COUNTS)]
        self.sitting.use(counted_by=counted_by)
        explanation = Counter.of(self.session.score, counted_by, TapsUnit(self.sitting.settings.taps_count)).explanation
        later = "" if self.session.rules.counted_by is counted_by else " (from the next try on)"
        self.say(f"Counted {explanation}{later}.")

    def action_enter_it(self) -> None:
        self._try(self.session.toggle_entry)

    def action_next_block(self) -> None:
        if self.session.view(self.sitting.clock()).guide is None:
            self.say("There is no plan here to go on with.")
        self.session.go_on(self.sitting.clock())

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
            self.say(NOBODY_ELSE)
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
