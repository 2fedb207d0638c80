"""The tour at the first start: space around you, pick, pedal, go. Four steps, each done as it is read."""

from __future__ import annotations

from dataclasses import dataclass

from textual import events, on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from trainer.keys.commands import commands_of, why_no_pedal
from trainer.keys.names import key_to_text
from trainer.keys.trial import Trial
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Listing
from trainer.screens.terminal.presses import MOUSE, Press


@dataclass(frozen=True, slots=True)
class TourStep:
    """One step: its name, and what it says."""

    name: str
    text: str


SPACE = TourStep(
    "Space around you",
    "Stand where you will juggle and look up and around: lamps, ceiling, glasses, people, pets. Clear the floor; wear "
    "firm shoes for clubs and anything heavy.\n\nThe sound starts quiet and gets no louder than you set it. Rest when "
    "hands or shoulders tire, stop at pain. Fire and blades only with a qualified teacher and by local rules.\n\n"
    "Is there room? Then press Enter.",
)
PICK = TourStep("Pick", "What will you juggle? ↑ ↓ move, Enter takes it. All patterns are in the list after this.")
PEDAL = TourStep(
    "Pedal",
    "One key does all while your hands are full. A foot pedal that plugs in as a keyboard is best; the space bar, "
    "pressed with an elbow, serves as well.\n\nPress it now, a few times.",
)
GO = TourStep(
    "Go",
    "{pedal} begins: four beats are counted in, then each throw clicks, the right hand's to the right, the left's to "
    "the left, higher throws higher.\n\n{pedal} when you drop; twice quickly when you collect everything. The try is "
    "written down and the next gets ready by itself. ? tells every key.\n\nEnter opens {title}.",
)
STEPS = (SPACE, PICK, PEDAL, GO)
PICKS = (
    ("2 exchange", "two objects, thrown once each, and stop"),
    ("3 cascade", "three that cross: where most begin"),
    ("4 fountain", "two in each hand, no crossing"),
    ("531", "a first siteswap: high, middle, across"),
)
"""Names in the library, and what they are."""

USUAL = 1
"""The row of them to begin at."""

NOT_HERE = frozenset(key for command in commands_of("tour") for key in command.keys) | set(MOUSE.values())
"""Keys and buttons that lead through the tour. As pedals they can be learned in the setup."""


class TourScreen(BaseScreen):
    """The steps, one at a time. step: which one this is, from 0."""

    BINDINGS = bindings_of("tour")
    NAME = "tour"
    WORD = "pedal"
    AUTO_FOCUS = ""

    def __init__(self) -> None:
        super().__init__()
        self.step = 0
        self.trial: Trial | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="title")
        with VerticalScroll(id="told", can_focus=False):
            yield Static(id="step", markup=False)
            yield Listing([f"{name:<12} {what}" for name, what in PICKS], id="picks")
            yield Static(id="heard", markup=False)
            yield Static("[@click=screen.next_step]▸ go on[/]   [@click=screen.back]leave the tour[/]", id="onward")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        picks = self.query_one("#picks", Listing)
        picks.can_focus = False  # its keys are handled by this screen
        picks.highlighted = USUAL
        self._show()

    def on_unmount(self) -> None:
        """Open no tour at the next start, however this one ended."""
        self.sitting.use(tour=False)

    @property
    def picked(self) -> str:
        """The name of the pattern under the cursor."""
        return PICKS[self.query_one("#picks", Listing).highlighted or 0][0]

    def take(self, press: Press) -> bool:
        """At the pedal's step, make the key that was pressed the pedal, if it can be one."""
        if STEPS[self.step] is not PEDAL or press.name in NOT_HERE:
            return False
        if self.trial is None or self.trial.key != press.name:
            if refusal := why_no_pedal("pedal", press.name, self.sitting.settings):
                self.say(refusal)
                return True
            self.sitting.use(pedal=press.name)
            self.trial = Trial(press.name)
            self.say("")  # what was refused before
        self.trial = self.trial.pressed(press.at_s, press.edge)
        self._show()
        return True

    def on_key(self, event: events.Key) -> None:
        """Arrows move in the list."""
        rows = {"up": -1, "down": 1}.get(event.key, 0)
        if rows and STEPS[self.step] is PICK:
            event.stop()
            self.query_one("#picks", Listing).action_move(rows)

    @on(Listing.Picked, "#picks")
    def action_next_step(self) -> None:
        if STEPS[self.step] is GO:
            picked = self.picked
            self.app.pop_screen()
            self.navigator.practise(self.sitting.library.to_choice(picked))
        else:
            self._go_to(self.step + 1)

    def action_step_before(self) -> None:
        self._go_to(max(0, self.step - 1))

    def _go_to(self, step: int) -> None:
        self.step = step
        self.say("")  # takes away the notice of the step before
        if STEPS[step] is GO:
            self.show_trouble()  # such as that there is no sound: the screen beneath could not show it
        self._show()

    def _show(self) -> None:
        step, pedal = STEPS[self.step], key_to_text(self.sitting.settings.pedal)
        self.query_one("#title", Static).update(f"{self.step + 1} of {len(STEPS)}   {step.name}")
        self.query_one("#step", Static).update(step.text.format(pedal=pedal, title=self.picked))
        self.query_one("#picks").display = step is PICK
        self.query_one("#heard", Static).update(self._heard(pedal) if step is PEDAL else "")

    def _heard(self, pedal: str) -> str:
        if self.trial is None:
            return f"Nothing was pressed yet; {pedal} stays the pedal."
        times = "once" if self.trial.taps == 1 else f"{self.trial.taps} times"
        return f"{pedal} is your pedal now, heard {times}. Enter goes on."
