"""The form of a climb: a few fields, what climb they make, and its rungs."""

from __future__ import annotations

from fractions import Fraction

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input, Label, Static

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.library.terms import read_terms
from trainer.practice.climbs.climb import Climb
from trainer.practice.climbs.form import Form, explain_climb, form_to_climb, usual_form
from trainer.practice.climbs.ladder import RungBy, family_of
from trainer.practice.demands import rung_demands
from trainer.records.courses import ClimbKind, ClimbRule
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.browse import QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines
from trainer.screens.parts.markup import escape
from trainer.screens.parts.pick import Pick
from trainer.session.wording import title
from trainer.timing.score import Score
from trainer.timing.tempo import format_number

KINDS = {ClimbKind.TEMPO: "tempo", ClimbKind.OBJECTS: "objects"}
RULES = {ClimbRule.PLAIN: "plain", ClimbRule.STAIRCASE: "staircase: find my tempo"}
SAME = {RungBy.HEIGHT: "same height", RungBy.TEMPO: "same tempo", RungBy.HAND: "same throws a second"}
TYPED = (("start", "from"), ("target", "to"), ("step", "step"), ("tempo", "tempo"), ("goal", "goal"))
IN_A_ROW = (("up", "up after"), ("down", "down after"))
RUNGS_LISTED = 60


class FieldLine(QueryLine):
    """A field of the form."""

    BINDINGS = [Binding("enter", "submit", "begin")]  # noqa: RUF012 (the library's own way to declare them)


class ClimbScreen(BaseScreen):
    """Sets a climb up. choice: the pattern. usual_bpm: the tempo it is practised at."""

    BINDINGS = bindings_of("climb")
    NAME = "climb"
    AUTO_FOCUS = "#start"

    def __init__(self, choice: Choice, usual_bpm: Fraction) -> None:
        super().__init__()
        self.choice, self.usual_bpm = choice, usual_bpm
        self.climb: Climb | None = None

    def compose(self) -> ComposeResult:
        yield Static(escape(f"Climb · {title(self.choice)}"), id="title")
        with Horizontal(classes="form"):
            yield Label("climb")
            yield Pick(KINDS, id="kind")
            yield Label("rule", classes="tempos")
            yield Pick(RULES, id="rule")
            yield Label("each rung", classes="objects")
            yield Pick(SAME, id="same")
        for fields in (TYPED, IN_A_ROW):
            with Horizontal(classes="form"):
                for name, label in fields:
                    yield Label(label, id=f"of-{name}")
                    yield FieldLine(max_length=12, id=name, classes="words" if name == "goal" else "number")
        yield Static(id="found", markup=False)
        yield Lines(id="listed")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        if family_of(self.choice) is None:
            self.query_one("#kind", Pick).choices = {ClimbKind.TEMPO: KINDS[ClimbKind.TEMPO]}
        self._fill()
        self.set_interval(0.5, self.show_trouble)

    # -- what comes in --------------------------------------------------------------------------------------

    def on_key(self, event: events.Key) -> None:
        """Up and down go from field to field, as Tab does."""
        if event.key in ("up", "down"):
            event.stop()
            (self.focus_previous if event.key == "up" else self.focus_next)()

    @on(Pick.Changed, "#kind")
    def _fill(self) -> None:
        """Fill the fields in as they start for the kind of climb that is picked."""
        form = usual_form(self.choice, self.usual_bpm, self.query_one("#kind", Pick).value)
        with self.prevent(Input.Changed):
            for name, _ in (*TYPED, *IN_A_ROW):
                self.query_one(f"#{name}", Input).value = getattr(form, name)
        self.look()

    @on(Input.Changed)
    @on(Pick.Changed)
    def look(self) -> None:
        """Make the climb that the form asks for, or tell what is wrong in the form."""
        form = self.form()
        self._arrange(form)
        sitting = self.sitting
        found = self.query_one("#found", Static)
        try:
            self.climb = form_to_climb(
                form, self.choice, sitting.settings.counted_by, sitting.library.to_choice, self._to_score
            )
        except TrainerError as error:
            self.climb = None
            found.update(str(error))
            self.query_one("#listed", Lines).show(())
        else:
            found.update(explain_climb(self.climb))
            self.query_one("#listed", Lines).show(self._listed(self.climb))
        found.set_class(self.climb is None, "refused")

    @on(Input.Submitted)
    def action_begin(self) -> None:
        """Begin the climb, if the form makes one."""
        if self.climb is not None:
            form = self.form()
            rung_by = form.rung_by if form.kind is ClimbKind.OBJECTS else None
            self.navigator.climb(self.climb, form.goal.strip(), rung_by)

    def action_next_field(self) -> None:
        self.focus_next()

    def action_back(self) -> None:
        self.app.pop_screen()

    def word_at_hand(self) -> str:
        term = read_terms().about(self.choice)
        return term.title if term else ""

    # -- the form -------------------------------------------------------------------------------------------

    def form(self) -> Form:
        """The form as it is filled in."""
        typed = {name: self.query_one(f"#{name}", Input).value for name, _ in (*TYPED, *IN_A_ROW)}
        kind = self.query_one("#kind", Pick).value
        rule = self.query_one("#rule", Pick).value if kind is ClimbKind.TEMPO else ClimbRule.PLAIN
        return Form(kind=kind, rule=rule, rung_by=self.query_one("#same", Pick).value, **typed)

    def _arrange(self, form: Form) -> None:
        """Show only the fields that this kind of climb has."""
        objects, staircase = form.kind is ClimbKind.OBJECTS, form.rule is ClimbRule.STAIRCASE
        shown = {"step": not objects, "tempo": objects, **dict.fromkeys(("target", "up", "down"), not staircase)}
        for name, is_shown in shown.items():
            self.query_one(f"#{name}").display = self.query_one(f"#of-{name}").display = is_shown
        for selector, is_shown in ((".objects, #same", objects), (".tempos, #rule", not objects)):
            self.query(selector).set(display=is_shown)

    def _to_score(self, choice: Choice) -> Score:
        return self.sitting.to_chosen(choice).score

    def _listed(self, climb: Climb) -> list[str]:
        """A line a rung: its tempo, how high, how often a hand throws, and what passes a limit."""
        ladder, settings = climb.ladder, self.sitting.settings
        last = RUNGS_LISTED if ladder.last is None else min(ladder.last, RUNGS_LISTED)
        lines = []
        for number in range(last + 1):
            rung = ladder.rung(number)
            demands = rung_demands(self._to_score(rung.choice), rung.tempo_bpm)
            name = f"{rung.choice.pattern.text:<10}" if ladder.kind is ClimbKind.OBJECTS else ""
            passed = " and ".join(demands.passed(settings))
            lines.append(
                f"{name}{format_number(rung.tempo_bpm):>5} beats/min {demands.height_m:5.1f} m high "
                f"{demands.throws_per_s:5.1f} throws/s a hand{f'   ! above your {passed}' if passed else ''}"
            )
        return lines
