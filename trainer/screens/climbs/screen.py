"""The practice of a climb: the practice screen with a picture of the rungs."""

from __future__ import annotations

from textual.app import ComposeResult

from trainer.practice.climbs.climb import Climb
from trainer.practice.demands import Demands, rung_demands
from trainer.records.courses import ClimbKind
from trainer.screens.climbs.rungs import Rungs, rungs_shown
from trainer.screens.parts.keyline import bindings_of
from trainer.screens.parts.large import BigNumber
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.practice.widgets import Down, GoalBars, Text
from trainer.session.guided import Guided
from trainer.session.session import Session
from trainer.session.view import View
from trainer.session.wording import Situation
from trainer.timing.tempo import format_number


class ClimbingScreen(PracticeScreen):
    """The practice screen of a climb. guided: the climb, as the session changes it."""

    BINDINGS = bindings_of("practice", refused=("faster", "slower", "flight_view", "next_count"))
    HAS_FLIGHT = False
    VERTICAL_BREAKPOINTS = [(0, "-short"), (23, "-tall"), (30, "-roomy")]  # noqa: RUF012 (the library's own way)

    def __init__(self, session: Session, guided: Guided[Climb]) -> None:
        super().__init__(session)
        self._guided = guided
        self._demands: dict[int, Demands] = {}

    @property
    def climb(self) -> Climb:
        """The climb as it stands now."""
        return self._guided.guide

    def compose_middle(self) -> ComposeResult:
        with Down(id="side"):
            yield BigNumber(id="count")
            yield BigNumber(id="tempo")
            yield GoalBars(id="progress")
            yield Text(id="facts")
            yield Text(id="tries")
        yield Rungs(id="rungs")

    def action_next_count(self) -> None:
        self.say("A climb is counted in one way throughout. Leave it to change that.")

    def tick(self) -> None:
        super().tick()
        picture, climb = self.query_one("#rungs", Rungs), self.climb
        self.query_one("#tempo", BigNumber).show(climb.ladder.label(climb.place).split(".")[0], "count-in")
        numbers = rungs_shown(climb, picture.size.height)
        width = max((len(climb.ladder.label(number)) for number in numbers), default=0)
        picture.show(climb, {number: self._label(climb, number, width) for number in numbers})

    def number(self, view: View, stands: Situation) -> tuple[str, str]:
        if not self.climb.done:
            return super().number(view, stands)
        climb, found = self.climb, self.climb.threshold
        return f"{found.tempo_bpm:.0f}" if found else climb.ladder.label(climb.place).split(".")[0], "qualify"

    def _label(self, climb: Climb, number: int, width: int) -> str:
        demands = self._demands_of(climb, number)
        mark = "!" if demands.passed(self.sitting.settings) else " "
        return f"{climb.ladder.label(number):>{width}} {demands.height_m:4.1f} m {mark}"

    def _demands_of(self, climb: Climb, number: int) -> Demands:
        if number not in self._demands:
            rung = climb.ladder.rung(number)
            self._demands[number] = rung_demands(self.sitting.to_chosen(rung.choice).score, rung.tempo_bpm)
        return self._demands[number]

    def _facts(self, view: View) -> str:
        climb = self.climb
        if climb.done:
            return "\n".join(result_lines(climb))
        demands = self._demands_of(climb, climb.place)
        lines = [
            f"[b]{format_number(view.chosen.tempo_bpm)}[/b] beats/min, {demands.height_m:.1f} m high",
            f"{demands.throws_per_s:.1f} throws/s a hand",
            *(f"[b $warning]{line}[/]" for line in demands.passed(self.sitting.settings).values()),
            *climb.lines,
        ]
        if view.settings.counted_by is not climb.counted_by:
            lines.insert(0, "[b $warning]counted otherwise: not for this climb[/]")
        return "\n".join(lines)


def result_lines(climb: Climb) -> list[str]:
    """The result of a climb that is over, a line each."""
    found, tries = climb.threshold, len(climb.tries)
    if found is None:
        held = climb.ladder.label(climb.place)
        unit = "objects" if climb.ladder.kind is ClimbKind.OBJECTS else "beats/min"
        return [f"[b]{held} {unit} held[/b]", f"in {tries} tries"]
    lines = [
        f"[b]{found.tempo_bpm:.0f} beats/min[/b]",
        "you hold 70.7 % of the time",
        f"95 % sure: {found.low:.0f} to {found.high:.0f} (± {found.spread:.0f})",
        f"from {tries} tries",
    ]
    return [*lines, f"mean of the turns: {found.reversals:.0f}"] if found.reversals is not None else lines
