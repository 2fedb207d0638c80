"""The practice screen: the count from across the room, what comes next, how far it is, and the tries so far."""

from __future__ import annotations

import re
from dataclasses import replace

from textual import events
from textual.app import ComposeResult
from textual.binding import ActiveBinding
from textual.widgets import Static

from trainer.keys.commands import IN_A_PAUSE
from trainer.keys.names import key_to_text
from trainer.library.catalogue import Choice
from trainer.library.terms import read_terms
from trainer.practice.climbs.ladder import rung_demands
from trainer.practice.pedal import Edge
from trainer.practice.plans.page import ends_words
from trainer.practice.plans.run import PlanGuide
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt
from trainer.records.totals import Figure
from trainer.screens.parts.bindings import bindings_of
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.screens.parts.markup import escape
from trainer.screens.practice.coming import next_cue
from trainer.screens.practice.facts import all_up_line, feet_line
from trainer.screens.practice.flight import FlightView
from trainer.screens.practice.watching import Watching
from trainer.screens.practice.widgets import Across, Banner, Down, GoalBars, Lanes, Text
from trainer.screens.terminal.presses import Press
from trainer.session.controls import Controls
from trainer.session.session import Session
from trainer.session.view import View
from trainer.session.wording import (
    COUNTED_WORDS,
    ENDED_WORDS,
    Situation,
    count_to_text,
    far_word,
    marks,
    plan_lines,
    plan_place,
    situation,
    title,
    under_ceiling,
)
from trainer.timing.tempo import format_number

DIGIT = re.compile(r"\d")
TICKS_A_SECOND = 30
TICKS_A_SECOND_STILL = 10
TEXTS_EVERY = 3
"""In a run the texts beside the moving picture come with each third of it: nobody reads quicker."""


class PracticeScreen(Watching, Controls):
    """Practice of one pattern. A press of the pedal's key is all that the run needs."""

    BINDINGS = bindings_of("practice")
    NAME = "practice"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-short"), (23, "-tall")]  # noqa: RUF012 (the library's own way to declare them)

    def __init__(self, choice: Choice, session: Session) -> None:
        super().__init__()
        self.choice, self.session = choice, session
        self._pauses = False
        self._pictures = 0

    def compose(self) -> ComposeResult:
        yield Text(id="title")
        yield Banner(id="banner")
        yield BigWord(id="word")
        with Across(id="middle"):
            yield BigNumber(id="count")
            yield FlightView(id="flight")
            with Down(id="side"):
                yield BigNumber(id="small-count")
                yield GoalBars(id="progress")
                yield Text(id="facts")
                yield Text(id="tries")
        yield Lanes(id="lanes")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def on_mount(self) -> None:
        self.set_class(self.flies, "flight")
        rate = TICKS_A_SECOND if self.sitting.settings.animate else TICKS_A_SECOND_STILL
        self.set_interval(1 / rate, self.tick)
        self.tick()
        self.call_after_refresh(self.session.prepare)

    # -- what comes in --------------------------------------------------------------------------------------

    def take(self, press: Press) -> bool:
        """The pedals; what is for a count being typed in is not. Whatever is pressed is stamped."""
        if press.edge is not Edge.UP:
            self.stamp_s = press.at_s
        taken = self.take_pedal(press.name, press.at_s, press.edge)
        if taken:
            self.answer()
        return taken

    def on_key(self, event: events.Key) -> None:
        if self.take_typed(event.key):
            event.stop()

    @property
    def active_bindings(self) -> dict[str, ActiveBinding]:
        """The library's; in a pause its footer shows what is of use there, while all keys go on working."""
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
        rules = self.sitting.rules()
        return Figure(self.choice.pattern.text, self.session.name, rules.prop, rules.counted_by, rules.juggler)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """The count and what stands over it are a pedal for the mouse."""
        under, _ = self.get_widget_at(event.screen_x, event.screen_y)  # the event tells it to the library's tests alone
        if under.id in ("count", "small-count", "flight", "banner", "word"):
            event.stop()
            self.press(self.stamp_s)
            self.answer()

    def action_far_view(self) -> None:
        """Leave all out that can't be read from afar, or show it again."""
        self.toggle_class("-far")

    def action_back(self) -> None:
        self.navigator.end_practice()

    # -- what is shown --------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Let the session know the time, and draw what has changed."""
        view, stands = self.answer()
        self.query_one("#title", Text).show(escape(self._title(view)))
        self.query_one("#word", BigWord).show(far_word(view, stands), _kind(view, stands))
        self._show_moving(view)
        self._pictures += 1
        if view.state is not RunState.RUNNING or self._pictures % TEXTS_EVERY == 0:
            self._show_texts(view)

    def answer(self) -> tuple[View, Situation]:
        """Draw what a press changes, what is largest first; the rest comes with the next picture."""
        now_s = self.sitting.clock()
        self.session.tick(now_s)
        self.choice = self.session.choice or self.choice
        view = self.session.view(now_s)
        stands = situation(view, key_to_text(self.sitting.settings.pedal))
        self.query_one("#banner", Banner).show(stands.line, stands.kind)
        number, kind = self.number(view, stands)
        for id in ("#count", "#small-count") if self.HAS_FLIGHT else ("#count",):
            self.query_one(id, BigNumber).show(number, kind)
        goals = () if _is_pause(view) else (("flash", view.goals.flash), ("qualify", view.goals.qualify))
        self.query_one(GoalBars).show(view.catches or 0, goals)
        return view, stands

    def number(self, view: View, stands: Situation) -> tuple[str, str]:
        """What stands largest on the screen, and how it is shown."""
        return count_to_text(view) if stands.number is None else stands.number, _kind(view, stands)

    def _show_moving(self, view: View) -> None:
        """The objects in flight and the throws that come."""
        lanes, beat = self.query_one(Lanes), self.show_flight(view)
        if _is_pause(view) is not self._pauses:
            self._pauses = not self._pauses
            self.refresh_bindings()
        if self._pauses:
            lanes.clear()
        else:
            lanes.show(view.score, beat)

    def _show_texts(self, view: View) -> None:
        """What is read, not watched."""
        self._put_facts(self._facts(view), view.state)
        tries = self.query_one("#tries", Text)
        tries.show(_tries(self.sitting.tries.attempts, tries.size.height))
        self.show_trouble()

    def _put_facts(self, text: str, state: RunState) -> None:
        """The facts, with more or less room at rest where there are others; figures that change need no other room."""
        facts = self.query_one("#facts", Text)
        before = facts.text
        facts.show(text)
        if state in (RunState.ARMED, RunState.REST) and DIGIT.sub("", before) != DIGIT.sub("", text):
            facts.refresh(layout=True)

    def _title(self, view: View) -> str:
        guide = view.guide
        place = plan_place(guide) if isinstance(guide, PlanGuide) else ""
        if isinstance(guide, PlanGuide) and guide.is_pause:
            return place
        return " · ".join(part for part in (place, title(self.choice, view.score.pattern)) if part)

    def _facts(self, view: View) -> str:
        if isinstance(view.guide, PlanGuide) and view.guide.is_pause:
            return "\n".join(self._pause_lines(view.guide))
        return "\n".join((*self._plan_lines(view), *self._pattern_lines(view)))

    def _plan_lines(self, view: View) -> list[str]:
        guide = view.guide
        lines = plan_lines(guide, view.now_s) if isinstance(guide, PlanGuide) else []
        return [f"[b]{escape(line)}[/b]" for line in lines]

    def _pause_lines(self, guide: PlanGuide) -> list[str]:
        """The sentence of a pause, and the blocks that follow."""
        assert guide.step is not None
        coming = [
            f"[$muted]{number:>2} {escape(step.block.title)}, {escape(ends_words(step.block))}[/]"
            for number, step in enumerate(guide.steps[guide.block + 1 :], start=guide.block + 2)
        ]
        said = [f"[b]{escape(guide.step.block.say)}[/b]", ""] if guide.step.block.say else []
        return [*said, *(["then", *coming] if coming else [])]

    def _pattern_lines(self, view: View) -> list[str]:
        figures = rung_demands(view.score, view.tempo_bpm)
        always = (
            f"dwell {float(view.score.dwell):.2f}, kit {self.session.bank.kit.name}",
            f"[$muted]counted {COUNTED_WORDS[view.rules.counted_by]}[/]",
        )
        lines = [
            f"[b]{format_number(view.tempo_bpm)}[/b] beats/min, {figures.height_m:.1f} m high",
            always[0],
            f"best {view.best if view.best else '–'}",
            always[1],
        ]
        if cue := next_cue(self.choice.entry.cues if self.choice.entry else (), view.score, view.beat):
            lines.insert(0, f"[b $accent]{escape(cue)}[/]")
        lines[2:2] = [
            line
            for line in (
                all_up_line(view.score, view.tempo_bpm),
                feet_line(self.session.carriage, view.tempo_bpm, self.sitting.settings.stride_m),
            )
            if line
        ]
        if self.session.trouble():
            lines.insert(1, "[b $warning]can't be bounced at this tempo[/]")
        if self.session.score.entry is not None:
            lines.append("[$muted]begins from the plain pattern[/]")
        said = escape(view.guide.task.say) if view.guide is not None and view.guide.task is not None else ""
        if said and not isinstance(view.guide, PlanGuide):
            lines.insert(0, f"[b]{said}[/b]")
        settings = self.sitting.settings
        warnings = list(figures.warnings(settings.ceiling_m, settings.throws_per_s))
        if settings.ceiling_m is not None and figures.height_m > settings.ceiling_m and view.guide is None:
            warnings.insert(1, under_ceiling(view.score, view.tempo_bpm, settings.ceiling_m))
        lines[1:1] = [f"[b $warning]{line}[/]" for line in warnings if line]
        if isinstance(view.guide, PlanGuide):  # what never changes makes room, and the sentence for the first try
            said = escape(view.guide.step.block.say) if view.guide.step is not None else ""
            told = said and (view.guide.since_s is None or not view.guide.tries)
            return [*(line for line in lines if line not in always), *([f"[b]{said}[/b]"] if told else [])]
        return lines


def _is_pause(view: View) -> bool:
    return isinstance(view.guide, PlanGuide) and view.guide.is_pause


def _kind(view: View, stands: Situation) -> str:
    """How the number is shown: as the count-in's, or by the goal it has reached."""
    names = view.goals.reached(view.catches or 0)
    return "count-in" if stands.kind == "count-in" else names[-1] if names else "plain"


def _tries(attempts: tuple[Attempt, ...], rows: int) -> str:
    """This session's tries, the last one first."""
    if not attempts:
        return "[$muted]no tries yet[/]"
    lines = []
    for number, attempt in list(enumerate(attempts, start=1))[-max(rows, 1) :][::-1]:
        catches = "–" if attempt.catches is None else str(attempt.catches)
        ended = ENDED_WORDS[attempt.ended].lower() if attempt.ended else ""
        lines.append(f"[b]{catches:>5}[/b]  {ended} {' '.join(marks(attempt))} [$muted]#{number}[/]")
    return "\n".join(lines)
