"""The practice screen: the count from across the room, what comes next, how far it is, and the tries so far."""

from __future__ import annotations

import re
from dataclasses import replace

from textual import events
from textual.app import ComposeResult
from textual.binding import ActiveBinding
from textual.errors import NoWidget
from textual.widgets import Static

from trainer.keys.commands import IN_A_PAUSE
from trainer.keys.names import key_to_text
from trainer.library.terms import read_terms
from trainer.practice.demands import Demands, all_up_line, feet_line, rung_demands
from trainer.practice.pedal import Edge
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt
from trainer.records.totals import Figure
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.screens.parts.markup import escape
from trainer.screens.practice.coming import next_cue
from trainer.screens.practice.flight import FlightView
from trainer.screens.practice.watching import Watching
from trainer.screens.practice.widgets import Across, Banner, Down, GoalBars, Lanes, Text
from trainer.screens.terminal.presses import Press
from trainer.session.controls import TIMED, Controls
from trainer.session.rules import to_figure
from trainer.session.session import AT_REST, Session
from trainer.session.view import View
from trainer.session.wording import (
    COUNTED_WORDS,
    Situation,
    count_to_text,
    far_word,
    marks,
    situation,
    title,
    under_ceiling,
)
from trainer.timing.tempo import format_number

DIGIT = re.compile(r"\d")
TICKS_A_SECOND = 30
TICKS_A_SECOND_STILL = 10
TEXTS_EVERY = 3
"""In a run the texts are drawn with every third picture: nobody reads quicker."""


class PracticeScreen(Watching, Controls):
    """Practice of one pattern. A press of the pedal's key is all that the run needs."""

    BINDINGS = bindings_of("practice")
    NAME = "practice"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-short"), (23, "-tall")]  # noqa: RUF012 (the library's own way to declare them)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._pauses = False
        self._pictures = 0

    def compose(self) -> ComposeResult:
        yield Text(id="title")
        yield Banner(id="banner")
        yield BigWord(id="word")
        with Across(id="middle"):
            yield from self.compose_middle()
        yield Lanes(id="lanes")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def compose_middle(self) -> ComposeResult:
        """The widgets between the banner and the coming throws."""
        yield BigNumber(id="count")
        yield FlightView(id="flight")
        with Down(id="side"):
            yield BigNumber(id="small-count")
            yield GoalBars(id="progress")
            yield Text(id="facts")
            yield Text(id="tries")

    def on_mount(self) -> None:
        self.set_class(self.flies, "flight")
        rate = TICKS_A_SECOND if self.sitting.settings.animate else TICKS_A_SECOND_STILL
        self.set_interval(1 / rate, self.tick)
        self.tick()
        self.call_after_refresh(self.session.prepare)

    # -- what comes in --------------------------------------------------------------------------------------

    def take(self, press: Press) -> bool:
        """Take a press for a pedal. For the mouse the count, the picture, and what stands over them are a pedal."""
        taken = self.take_pedal(press.name, press.at_s, press.edge)
        if not taken and self.is_current and self._is_on_count(press):
            self.press(press.at_s)
            taken = True
        if taken:
            self.answer()
        return taken

    def _is_on_count(self, press: Press) -> bool:
        if press.spot is None or press.edge is Edge.UP:
            return False
        try:
            under, _ = self.get_widget_at(*press.spot)
        except NoWidget:  # the terminal has become smaller since
            return False
        return under.id in ("count", "small-count", "flight", "banner", "word")

    def on_key(self, event: events.Key) -> None:
        bound = self.active_bindings.get(event.key)
        if self.take_typed(event.key):
            event.stop()
        elif bound is not None and bound.binding.action in TIMED:
            self.carry_out(bound.binding.action, event.time)
            event.stop()

    @property
    def active_bindings(self) -> dict[str, ActiveBinding]:
        """The library's bindings. In a pause only those of use there are shown; all keys go on working."""
        active = super().active_bindings
        if not self._pauses:
            return active
        return {
            key: each._replace(binding=replace(each.binding, show=each.binding.id in IN_A_PAUSE))
            for key, each in active.items()
        }

    def word_at_hand(self) -> str:
        term = read_terms().about(self.choice)
        return term.title if term else ""

    def figure_at_hand(self) -> Figure:
        view = self.session.view(self.sitting.clock())
        return to_figure(view.settings, view.chosen)

    def action_far_view(self) -> None:
        """Hide what can't be read from afar, or show it again."""
        self.toggle_class("-far")

    def action_back(self) -> None:
        self.navigator.end_practice()

    # -- what is shown --------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Tell the session the time, and draw what has changed."""
        view, stands = self.answer()
        self.query_one("#title", Text).show(escape(self._title(view)))
        self.query_one("#word", BigWord).show(far_word(view, stands), _kind(view, stands))
        self._show_moving(view)
        self._pictures += 1
        if view.state is not RunState.RUNNING or self._pictures % TEXTS_EVERY == 0:
            self._show_texts(view)

    def answer(self) -> tuple[View, Situation]:
        """Draw at once what a press changes: banner, count and bars. The rest is drawn with the next picture."""
        now_s = self.sitting.clock()
        self.session.tick(now_s)
        view = self.session.view(now_s)
        stands = situation(view, key_to_text(self.sitting.settings.pedal))
        self.query_one("#banner", Banner).show(stands.line, stands.kind)
        number, kind = self.number(view, stands)
        for id in ("#count", "#small-count") if self.HAS_FLIGHT else ("#count",):
            self.query_one(id, BigNumber).show(number, kind)
        goals = view.chosen.goals
        bars = () if view.is_pause else (("flash", goals.flash), ("qualify", goals.qualify))
        self.query_one(GoalBars).show(view.catches or 0, bars)
        return view, stands

    def number(self, view: View, stands: Situation) -> tuple[str, str]:
        """The number that stands largest on the screen, and its kind."""
        return count_to_text(view) if stands.number is None else stands.number, _kind(view, stands)

    def _show_moving(self, view: View) -> None:
        """Draw the objects in flight and the coming throws."""
        lanes, beat = self.query_one(Lanes), self.show_flight(view)
        if view.is_pause is not self._pauses:
            self._pauses = not self._pauses
            self.refresh_bindings()
        if self._pauses:
            lanes.clear()
        else:
            lanes.show(view.chosen.score, beat)

    def _show_texts(self, view: View) -> None:
        """Draw the texts: facts, tries and notices.

        At rest the room of the facts is fitted to them, unless only numbers in them have changed.
        """
        facts, text = self.query_one("#facts", Text), self._facts(view)
        before = facts.text
        facts.show(text)
        if view.state in AT_REST and DIGIT.sub("", before) != DIGIT.sub("", text):
            facts.refresh(layout=True)
        tries = self.query_one("#tries", Text)
        tries.show(_tries(self.sitting.tries.attempts, tries.size.height))
        self.show_trouble()

    def _title(self, view: View) -> str:
        place, what = view.told.place, "" if view.is_pause else title(view.chosen.choice)
        return " · ".join(filter(None, (place, what)))

    def _facts(self, view: View) -> str:
        told = view.told
        if view.is_pause:
            said = [f"[b]{escape(told.say)}[/b]", ""] if told.say else []
            coming = [f"[$muted]{escape(line)}[/]" for line in told.coming]
            return "\n".join((*said, *(["then", *coming] if coming else [])))
        return "\n".join((*(f"[b]{escape(line)}[/b]" for line in told.lines), *self._pattern_lines(view)))

    def _pattern_lines(self, view: View) -> list[str]:
        chosen, told, settings = view.chosen, view.told, self.sitting.settings
        score, tempo_bpm = chosen.score, chosen.tempo_bpm
        demands = rung_demands(score, tempo_bpm)
        dwell = f"dwell {float(score.dwell):.2f}, kit {self.session.bank.kit.name}"
        counted = f"[$muted]counted {COUNTED_WORDS[view.settings.counted_by]}[/]"
        cue = next_cue(chosen.choice.entry.cues if chosen.choice.entry else (), score, view.beat)
        first, second, *others = (
            *([f"[b $accent]{escape(cue)}[/]"] if cue else []),
            f"[b]{format_number(tempo_bpm)}[/b] beats/min, {demands.height_m:.1f} m high",
            dwell,
        )
        lines = [
            first,
            *(f"[b $warning]{line}[/]" for line in self._warnings(view, demands)),
            second,
            *filter(None, (all_up_line(score, tempo_bpm), feet_line(chosen.carriage, tempo_bpm, settings.stride_m))),
            *others,
            f"best {view.best if view.best else '–'}",
            counted,
        ]
        if score.entry is not None:
            lines.append("[$muted]begins from the plain pattern[/]")
        if not told.leads:
            return lines
        said = [f"[b]{escape(told.say)}[/b]"] if told.say else []
        return [*(line for line in lines if line not in (dwell, counted)), *said]  # what never changes makes room

    def _warnings(self, view: View, demands: Demands) -> list[str]:
        """Lines about limits passed, what keeps under the ceiling (without a guide), and a bounce that can't be."""
        settings, chosen = self.sitting.settings, view.chosen
        warnings = list(demands.passed(settings).values())
        if settings.ceiling_m is not None and demands.height_m > settings.ceiling_m and not view.told.leads:
            warnings.insert(1, under_ceiling(chosen.score, chosen.tempo_bpm, settings.ceiling_m))
        if chosen.trouble:
            warnings.append("can't be bounced at this tempo")
        return [line for line in warnings if line]


def _kind(view: View, stands: Situation) -> str:
    """The kind of the number: of the count-in, of a goal reached, or plain."""
    names = view.chosen.goals.reached(view.catches or 0)
    return "count-in" if stands.kind == "count-in" else names[-1] if names else "plain"


def _tries(attempts: tuple[Attempt, ...], rows: int) -> str:
    """This session's tries, the last one first."""
    if not attempts:
        return "[$muted]no tries yet[/]"
    lines = []
    for number, attempt in list(enumerate(attempts, start=1))[-max(rows, 1) :][::-1]:
        catches = "–" if attempt.catches is None else str(attempt.catches)
        ended = attempt.ended.words if attempt.ended else ""
        lines.append(f"[b]{catches:>5}[/b]  {ended} {' '.join(marks(attempt))} [$muted]#{number}[/]")
    return "\n".join(lines)
