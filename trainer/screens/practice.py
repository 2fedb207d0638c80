"""The practice screen: the count from across the room, what comes next, how far it is, and the tries so far."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Footer, Static

from trainer.errors import TrainerError
from trainer.keys import key_to_text
from trainer.library.catalogue import Choice
from trainer.library.terms import read_terms
from trainer.logbook.records import Attempt, CountedBy, Ended, TapsUnit
from trainer.practice.pedal import Edge
from trainer.practice.result import Counter
from trainer.practice.run import State
from trainer.screens.base import DeskScreen
from trainer.screens.coming import coming_lanes, next_cue
from trainer.screens.commands import bindings_of
from trainer.screens.facts import all_up_line, feet_line
from trainer.screens.presses import Press
from trainer.screens.widgets import BigNumber, Lanes, Progress
from trainer.session import Session
from trainer.timing import flight
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM, format_number
from trainer.view import View

TEMPO_STEP = 5
DIGITS = frozenset("0123456789")
DWELL_STEP = Fraction(1, 20)
TICKS_A_SECOND = 30
TICKS_A_SECOND_STILL = 10
ENDED_WORDS = {
    Ended.DROP: "DROP",
    Ended.COLLECTED: "COLLECTED",
    Ended.GOAL: "GOAL",
    Ended.GIVEN_UP: "GIVEN UP",
    Ended.TIME: "TIME",
}
NOTHING_TO_SET_RIGHT = "There is no try to set right: the first has not ended, or one is under way."
NOTHING_TO_UNDO = "There is no change to undo here, or a try is under way."
WAYS = tuple(CountedBy)
COUNTED_WORDS = {CountedBy.BEAT: "by the beat", CountedBy.TAPS: "by your taps", CountedBy.HAND: "by hand, afterwards"}


class PracticeScreen(DeskScreen):
    """Practice of one pattern. A press of the pedal's key is all that the run needs."""

    BINDINGS = bindings_of("practice")
    NAME = "practice"
    VERTICAL_BREAKPOINTS = [(0, "-short"), (23, "-tall")]  # noqa: RUF012 (the library's own way to declare them)

    def __init__(self, choice: Choice, session: Session) -> None:
        super().__init__()
        self.choice, self.session = choice, session
        self._shown: dict[str, str] = {}
        self._key_s = 0.0
        """When the last key's bytes arrived; actions are told no event."""

    def compose(self) -> ComposeResult:
        yield Static(id="title")
        yield Static(id="banner")
        with Horizontal(id="middle"):
            yield BigNumber(id="count")
            with Vertical(id="side"):
                yield Progress(id="progress")
                yield Static(id="facts")
                yield Static(id="tries")
        yield Lanes(id="lanes")
        yield Static(id="notice", markup=False)
        yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        rate = TICKS_A_SECOND if self.desk.settings.animate else TICKS_A_SECOND_STILL
        self.set_interval(1 / rate, self.tick)
        self.tick()
        self.call_after_refresh(self.session.prepare)

    # -- what comes in --------------------------------------------------------------------------------------

    def take(self, press: Press) -> bool:
        """The pedals; what is for a count being typed in is not."""
        settings = self.desk.settings
        if self._is_typed(press.name) or press.name not in (settings.pedal, settings.end_pedal):
            return False
        if press.name == settings.pedal:
            self._press(press)
        else:
            self.session.press_end(press.at_s, press.edge)
        return True

    def on_key(self, event: events.Key) -> None:
        self._key_s = event.time
        if self._is_typed(event.key):
            event.stop()
            self._type(event.key)

    def _is_typed(self, key: str) -> bool:
        """Whether a key is for the count that is typed in after a run counted by hand."""
        typed = self.session.last_try.typed
        return typed is not None and (key in DIGITS or key == "backspace" or (key == "enter" and typed != ""))

    def _type(self, key: str) -> None:
        if key == "backspace":
            self.session.last_try.erase_digit()
        elif key == "enter":
            self.session.last_try.confirm()
        else:
            self.session.last_try.type_digit(key)

    def word_at_hand(self) -> str:
        term = read_terms().about(self.choice)
        return term.title if term else ""

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """The count and the banner are a pedal for the mouse."""
        if event.widget is not None and event.widget.id in ("count", "banner"):
            event.stop()
            self._press(Press(self.desk.settings.pedal, Edge.DOWN, event.time))

    def _press(self, press: Press) -> None:
        self._try(lambda: self.session.press(press.at_s, press.edge))
        self.tick()

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
        tempo_bpm = self.session.tap_tempo(self._key_s)
        self.say("Go on tapping …" if tempo_bpm is None else f"{format_number(tempo_bpm)} beats/min by your taps.")

    def _set_tempo(self, tempo_bpm: Fraction) -> None:
        self._try(lambda: self.session.set_tempo(min(max(tempo_bpm, SLOWEST_BPM), FASTEST_BPM)))

    def _try(self, change: Callable[[], object]) -> None:
        """Do it, or say why it can't be."""
        try:
            change()
        except TrainerError as error:
            self.say(str(error))

    def action_hold_longer(self) -> None:
        self._set_dwell((self.session.score.dwell // DWELL_STEP + 1) * DWELL_STEP)

    def action_hold_shorter(self) -> None:
        self._set_dwell(-((-self.session.score.dwell) // DWELL_STEP + 1) * DWELL_STEP)

    def _set_dwell(self, dwell: Fraction) -> None:
        self._try(lambda: self.session.set_dwell(min(max(dwell, DWELL_STEP), 1 - DWELL_STEP)))

    def action_next_kit(self) -> None:
        names = [kit.name for kit in self.desk.kits]
        current = self.session.bank.kit.name
        self.desk.use(kit=names[(names.index(current) + 1) % len(names)])

    def action_next_count(self) -> None:
        way = WAYS[(WAYS.index(CountedBy(self.desk.settings.counted_by)) + 1) % len(WAYS)]
        self.desk.use(counted_by=way.value)
        explanation = Counter.of(self.session.score, way, TapsUnit(self.desk.settings.taps_count)).explanation
        later = "" if self.session.way.counted_by is way else " (from the next try on)"
        self.say(f"Counted {explanation}{later}.")

    def action_one_more(self) -> None:
        self._tell_set_right(self.session.last_try.add(1))

    def action_one_less(self) -> None:
        self._tell_set_right(self.session.last_try.add(-1))

    def action_unfair(self) -> None:
        self._tell_set_right(self.session.last_try.toggle_fair())

    def action_undo(self) -> None:
        undone = self.session.last_try.undo()
        if undone is None:
            self.say(NOTHING_TO_UNDO)
        else:
            self.say(f"Undone: {self._as_told(undone)}")

    def _tell_set_right(self, attempt: Attempt | None) -> None:
        self.say(NOTHING_TO_SET_RIGHT if attempt is None else f"{self._as_told(attempt)} u takes it back.")

    def _as_told(self, attempt: Attempt) -> str:
        number = next(place for place, each in enumerate(self.desk.journal.attempts, start=1) if each is attempt)
        count = "no count" if attempt.catches is None else f"{attempt.catches} catches"
        fair = "" if attempt.fair else " Not a fair try: kept, and counted for no best."
        return f"try {number} has {count}.{fair}"

    def action_enter_it(self) -> None:
        self._try(self.session.toggle_entry)

    def action_give_up(self) -> None:
        self.session.give_up(self.desk.clock())

    def action_back(self) -> None:
        self.trainer.end_practice()

    # -- what is shown --------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Let the session know the time, and draw what has changed."""
        now_s = self.desk.clock()
        self.session.tick(now_s)
        self.choice = self.session.choice or self.choice
        view = self.session.view(now_s)
        self._put("title", self._title(view))
        self._show_banner(view)
        catches = view.catches or 0
        text = (
            view.typed or "-" if view.typed is not None else "-" if view.catches is None and view.last else str(catches)
        )
        self.query_one(BigNumber).show(text, _reached(view, catches))
        self.query_one(Progress).show(catches, (("flash", view.goals.flash), ("qualify", view.goals.qualify)))
        self._put("facts", self._facts(view))
        self._put("tries", _tries(self.desk.journal.attempts, self.query_one("#tries").size.height))
        lanes = self.query_one(Lanes)
        lanes.show(coming_lanes(view.score, view.beat, lanes.beats_shown()))
        self.show_trouble()

    def _put(self, id: str, text: str) -> None:
        if self._shown.get(id) != text:
            self._shown[id] = text
            self.query_one(f"#{id}", Static).update(text, layout=False)

    def _title(self, view: View) -> str:
        pattern = view.score.pattern
        title = self.choice.entry.title if self.choice.entry else ""
        name = f" · {title}" if title not in ("", pattern.text) else ""
        objects = "1 object" if pattern.objects == 1 else f"{pattern.objects} objects"
        return escape(f"{pattern.text}{name} · {objects}")

    def _show_banner(self, view: View) -> None:
        banner = self.query_one("#banner", Static)
        state, text = banner_words(view, key_to_text(self.desk.settings.pedal))
        if self._shown.get("banner state") != state:
            self._shown["banner state"] = state
            banner.set_classes(state)
        self._put("banner", text)

    def _facts(self, view: View) -> str:
        seconds = flight.flight_s(view.score.pattern.highest, view.score.dwell, view.tempo_bpm)
        height_m = flight.apex_m(seconds) if view.score.pattern.highest > 0 else 0.0
        lines = [
            f"[b]{format_number(view.tempo_bpm)}[/b] beats/min, {height_m:.1f} m high",
            f"dwell {float(view.score.dwell):.2f}, kit {self.session.bank.kit.name}",
            f"best {view.best if view.best else '–'}",
            f"[$muted]counted {COUNTED_WORDS[view.way.counted_by]}[/]",
        ]
        if cue := next_cue(self.choice.entry.cues if self.choice.entry else (), view.score, view.beat):
            lines.insert(0, f"[b $accent]{escape(cue)}[/]")
        lines[2:2] = [
            line
            for line in (
                all_up_line(view.score, view.tempo_bpm),
                feet_line(self.session.carriage, view.tempo_bpm, self.desk.settings.stride_m),
            )
            if line
        ]
        if self.session.trouble():
            lines.insert(1, "[b $warning]can't be bounced at this tempo[/]")
        if self.session.score.entry is not None:
            lines.append("[$muted]begins from the plain pattern[/]")
        if view.guide is not None and view.guide.task is not None and view.guide.task.say:
            lines.insert(0, f"[b]{escape(view.guide.task.say)}[/b]")
        ceiling_m = self.desk.settings.ceiling_m
        if ceiling_m is not None and height_m > ceiling_m:
            lines.insert(1, f"[b $warning]above your ceiling of {ceiling_m:g} m[/]")
        return "\n".join(lines)


def escape(text: str) -> str:
    """Text in which brackets are no markup."""
    return text.replace("[", r"\[")


def _reached(view: View, catches: int) -> str:
    names = view.goals.reached(catches)
    return names[-1] if names else "plain"


def banner_words(view: View, pedal: str) -> tuple[str, str]:
    """The state as a style class, and what the banner says: where things stand and what to press."""
    if view.typed is not None:
        return "ended", f"TYPE THE CATCHES  {view.typed}▁  then Enter   ({pedal} leaves them out)"
    if view.state is State.COUNT_IN:
        left = (
            max(1, -math.floor(view.beat) - view.score.lead_beats)
            if view.beat is not None
            else view.way.count_in(view.score)
        )
        return "count-in", f"COUNT-IN  {left}"
    if view.state is State.RUNNING:
        words = {
            CountedBy.BEAT: f"{pedal} when you drop   twice when you collect",
            CountedBy.TAPS: f"{pedal} with every catch   stop tapping to end",
            CountedBy.HAND: f"{pedal} when it ends",
        }
        if view.beat is not None and view.beat < 0:
            return "count-in", "ENTRY   the throws that lead in"
        return "running", f"GO   {words[view.way.counted_by]}"
    if view.state is State.ENDED and view.ended is not None:
        return "ended", ENDED_WORDS[view.ended]
    if view.state is State.REST:
        ended = ENDED_WORDS[view.ended] if view.ended else ""
        return "ended", f"{ended}   ready again in {math.ceil(view.counts_down_s or 0)} s"
    if view.guide is not None and view.guide.task is None:
        return "ended", "ALL DONE"
    if view.guide is not None and view.guide.task is not None and view.guide.task.choice is None:
        return "ended", "PAUSE"
    return "armed", f"READY   press {pedal} to start"


def _tries(attempts: tuple[Attempt, ...], rows: int) -> str:
    """This session's tries, the last one first."""
    if not attempts:
        return "[$muted]no tries yet[/]"
    lines = []
    for number, attempt in list(enumerate(attempts, start=1))[-max(rows, 1) :][::-1]:
        catches = "–" if attempt.catches is None else str(attempt.catches)
        marks = [name for name, reached in (("qualify", attempt.qualify), ("best", attempt.best)) if reached]
        if attempt.flash and not attempt.qualify:
            marks.insert(0, "flash")
        if not attempt.fair:
            marks = ["not fair"]
        ended = ENDED_WORDS[attempt.ended].lower() if attempt.ended else ""
        lines.append(f"[b]{catches:>5}[/b]  {ended} {' '.join(marks)} [$muted]#{number}[/]")
    return "\n".join(lines)
