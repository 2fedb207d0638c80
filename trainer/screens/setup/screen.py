"""The setup screen: settings, pedal and keys, each with the sentence that explains it.

A change takes effect at once, and is written to the settings file at once.
"""

from __future__ import annotations

from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input, Static

from trainer.audio.sample import sample_change
from trainer.config import Changing
from trainer.files.texts import WORD
from trainer.files.toml import DataError
from trainer.keys.commands import commands_of, why_no_pedal, why_not
from trainer.keys.trial import Trial
from trainer.practice.pedal import FIRST_REPEAT_S, Edge
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.browse import TypedLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Listing
from trainer.screens.setup.calibrate import CalibrateScreen
from trainer.screens.setup.rows import (
    NEXT,
    PREVIOUS,
    ROWS,
    TERMS,
    WITHOUT,
    SettingRow,
    hint,
    shown_value,
    stepped,
    typed,
    value_of,
)
from trainer.screens.terminal.presses import Press

CHANGING = ("change", "next_value", "previous_value")
LABEL = 22
HEARD_IN_THE_SAMPLE = ("kit", "volume")


class SettingsList(Listing):
    """The rows. The keys that change one are the screen's; a list would choose with them."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, f"screen.{command.name}", command.label)
        for command in commands_of("setup")
        if command.name in CHANGING
        for key in command.keys
    ]

    def on_resize(self, _: events.Resize) -> None:
        """Keep the row under the cursor in sight: a notice takes rows away."""
        self.keep_in_sight()


class SettingLine(TypedLine):
    """The line to type a value in."""

    BINDINGS = [Binding("enter", "submit", "keep")]  # noqa: RUF012 (the library's own way to declare them)


class SetupScreen(BaseScreen):
    """The settings and keys, one a row. learning: the row whose new key is waited for."""

    BINDINGS = bindings_of("setup")
    NAME = "setup"
    AUTO_FOCUS = "#settings"

    def __init__(self) -> None:
        super().__init__()
        self.learning: SettingRow | None = None
        self.trial: Trial | None = None
        self._last = Press("", Edge.UP, 0.0)

    def compose(self) -> ComposeResult:
        yield SettingsList(id="settings")
        yield SettingLine(id="typed", max_length=WORD.longest)
        yield Static(id="sentence", markup=False)
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def on_unmount(self) -> None:
        self.navigator.leave_footswitch()

    def on_mount(self) -> None:
        self.settings_list.show(self._rows())
        self.settings_list.highlighted = 0
        self.set_interval(0.5, self.show_trouble)

    def on_screen_resume(self) -> None:
        """Show the values again: an exercise may have set one."""
        self.settings_list.reword(self._rows())

    # -- what comes in --------------------------------------------------------------------------------------

    def take(self, press: Press) -> bool:
        """Take a press that is being learned or tried."""
        last, self._last = self._last, press
        if self.learning is not None:
            if self.learning.command and not press.is_key:
                return False
            # The Enter that began this may still be held.
            held = last.name == press.name and press.at_s - last.at_s <= FIRST_REPEAT_S[1]
            if press.edge is Edge.DOWN and (not held or last.edge is Edge.UP):
                self._learn(self.learning, press)
            return True
        if self.trial is not None and press.name == self.trial.key:
            self.trial = self.trial.pressed(press.at_s, press.edge)
            self._tell()
            return True
        if self.trial is not None and press.edge is Edge.DOWN:
            self._settle()
            return press.name == "escape"
        return False

    @on(Listing.Moved, "#settings")
    def highlighted(self) -> None:
        self._settle()

    @on(Listing.Picked, "#settings")
    def clicked(self) -> None:
        self.action_change()

    @on(Input.Submitted, "#typed")
    def line_submitted(self, event: Input.Submitted) -> None:
        row = self.row()
        try:
            value = typed(row, event.value, self.sitting)
        except DataError as error:
            self.say(error.message)
            return
        self._settle()
        self._use(row, value)

    @on(Input.Blurred, "#typed")
    def line_left(self) -> None:
        self._settle()

    def action_change(self) -> None:
        row = self.row()
        self._settle()
        if row.told.change is Changing.CHOOSE:
            self._step(NEXT)
        elif row.told.change is Changing.PRESS:
            self.learning = row
            if not row.command and (why_not := self.navigator.listen_to_footswitch()):
                self.say(f"Keys and clicks can be pedals. {why_not}")
            self._tell()
        else:
            self._open_line(row)

    def action_next_value(self) -> None:
        self._step(NEXT)

    def action_previous_value(self) -> None:
        self._step(PREVIOUS)

    def action_calibrate(self) -> None:
        self.app.push_screen(CalibrateScreen())

    def action_react(self) -> None:
        from trainer.screens.setup.react import ReactScreen  # opened seldom

        self.app.push_screen(ReactScreen())

    def action_back(self) -> None:
        if self.query_one("#typed").has_class("shown"):
            self._settle()
        else:
            self.app.pop_screen()

    # -- changing -------------------------------------------------------------------------------------------

    @property
    def settings_list(self) -> SettingsList:
        """The list of the rows."""
        return self.query_one("#settings", SettingsList)

    def row(self) -> SettingRow:
        """The row under the cursor."""
        return ROWS[self.settings_list.highlighted or 0]

    def word_at_hand(self) -> str:
        """The term for the row under the cursor."""
        return TERMS.get(self.row().name, "")

    def _step(self, direction: int) -> None:
        row = self.row()
        if row.told.change is Changing.PRESS:
            # A key is taken out: a command gets back the one it had out of the box, the end pedal has none.
            if direction == PREVIOUS and row.command:
                self._remap(row, None)
            elif direction == PREVIOUS and row.name in WITHOUT:
                self._use(row, None)
        elif row.told.change is Changing.CHOOSE or row.told.step:
            try:
                self._use(row, stepped(row, self.sitting, direction))
            except DataError as error:
                self.say(error.message)

    def _open_line(self, row: SettingRow) -> None:
        line = self.query_one("#typed", Input)
        value = value_of(row, self.sitting)
        line.value = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
        line.add_class("shown")
        line.focus()
        self._tell()

    def _learn(self, row: SettingRow, press: Press) -> None:
        """Put the command or pedal on a key, if it can be; Esc leaves it as it was."""
        self.learning = None
        if press.name != "escape":
            refusal = self._why_not(row, press.name)
            if refusal:
                self.say(refusal)
            elif row.command:
                self._remap(row, press.name)
            else:
                self._use(row, press.name)
                self.trial = Trial(press.name).pressed(press.at_s)
        self._tell()

    def _why_not(self, row: SettingRow, key: str) -> str:
        settings = self.sitting.settings
        if not row.command:
            return why_no_pedal(row.name, key, settings)
        pedals = tuple(pedal for pedal in (settings.pedal, settings.end_pedal) if pedal)
        return why_not(row.name, key, settings.keys, pedals)

    def _remap(self, row: SettingRow, key: str | None) -> None:
        command = row.command
        assert command is not None
        if key is None:
            refusal = self._why_not(row, command.keys[0])
            if refusal:
                self.say(refusal)
                return
        self.sitting.remap({row.name: None if key == command.keys[0] else key})
        self._changed()

    def _use(self, row: SettingRow, value: Any) -> None:
        """Set a checked value; say so if it takes effect only later."""
        if value == value_of(row, self.sitting):
            return
        self.sitting.use(**{row.name: value})
        if row.name in HEARD_IN_THE_SAMPLE:
            self.sitting.transport.post(sample_change(self.sitting.bank()))
        if row.told.after:
            self.say(row.told.after)
        self._changed()

    def _changed(self) -> None:
        self.navigator.apply_keys()
        self.navigator.apply_theme()
        self.settings_list.reword(self._rows())
        self.show_trouble()

    # -- what is shown --------------------------------------------------------------------------------------

    def _rows(self) -> list[str]:
        return [f"{row.told.label:<{LABEL}}{shown_value(row, self.sitting)}" for row in ROWS]

    def _awaited(self) -> str:
        """What may be pressed now, in words."""
        assert self.learning is not None
        if self.learning.command:
            return "the key"
        return "the key, button or footswitch" if self.navigator.listens_to_footswitch else "the key or button"

    def _settle(self) -> None:
        """End learning, trying and typing, without a change."""
        self.learning = self.trial = None
        self.navigator.leave_footswitch()
        line = self.query_one("#typed", Input)
        if line.has_class("shown"):
            line.remove_class("shown")
            if self.focused is line:
                self.settings_list.focus()
        self._tell()

    def _tell(self) -> None:
        """Show the sentence about the row under the cursor, and what its keys do."""
        row = self.row()
        if self.learning is not None:
            text = f"{row.told.sentence}\nPress {self._awaited()} now… (Esc leaves it as it was)"
        elif self.trial is not None:
            text = self.trial.text()
        elif self.query_one("#typed").has_class("shown"):
            out = " Empty, it is left out." if row.name in WITHOUT else ""
            text = f"{row.told.sentence}\nEnter keeps it, Esc does not.{out}"
        else:
            text = f"{row.told.sentence}\n{hint(row)}"
        self.query_one("#sentence", Static).update(text)
