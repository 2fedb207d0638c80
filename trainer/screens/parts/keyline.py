"""The keys of a screen: its commands as the library's key bindings, and the line at its foot that shows them."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.binding import Binding, BindingType
from textual.screen import Screen

from trainer.keys.commands import OF_THE_APP, commands_of
from trainer.screens.parts.inked import Bare, InkedText, Unmoving

KEY, LABEL = "keyline--key", "keyline--label"


def bindings_of(screen: str, refused: tuple[str, ...] = ()) -> list[BindingType]:
    """A screen's commands as key bindings, on the keys they have out of the box.

    refused: commands that are disabled on this screen: they are in the help, but not in the footer.
    """
    return [
        Binding(
            ",".join(command.keys),
            f"app.{command.name}" if command.name in OF_THE_APP else command.name,
            command.label,
            show=not command.hidden and screen not in command.hidden_on and command.name not in refused,
            id=command.name,
        )
        for command in commands_of(screen)
    ]


class KeyLine(Unmoving, Bare):
    """The keys of the bindings that are shown, as far as they fit. A click presses one. compact: with less room."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    KeyLine {
        dock: bottom; height: 1; color: $footer-foreground; background: $panel;
        .keyline--key { color: $footer-key-foreground; text-style: bold; }
        .keyline--label { color: $footer-description-foreground; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {KEY, LABEL}
    INKS = ("", KEY, LABEL)

    def __init__(self, *, compact: bool = False) -> None:
        super().__init__(id="keys")
        self._compact = compact
        self.shown: tuple[Binding, ...] = ()

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    @property
    def text(self) -> str:
        """The whole line, however wide."""
        return "".join(text for text, _ in self.runs(0))

    def runs(self, y: int) -> list[InkedText]:
        del y  # there is but one row
        return [run for shown in self.shown for run in self._of(shown)]

    def _of(self, shown: Binding) -> tuple[InkedText, ...]:
        key = self.app.get_key_display(shown)
        if self._compact:
            return (key, KEY), (f" {shown.description}", LABEL), (" ", "")
        return (f" {key} ", KEY), (f"{shown.description} ", LABEL)

    def _bindings_changed(self, screen: Screen[object]) -> None:
        if not screen.app.app_focus:
            return
        first: dict[str, Binding] = {}  # an action on several keys is shown with the first of them
        for _, binding, _, _ in screen.active_bindings.values():
            if binding.show:
                first.setdefault(binding.action, binding)
        shown = tuple(first.values())
        if shown != self.shown:
            self.shown = shown
            self.refresh()

    def on_mouse_down(self, event: events.MouseDown) -> None:
        end = 0
        for shown in self.shown:
            end += sum(cell_len(text) for text, _ in self._of(shown))
            if event.x < end:
                self.app.simulate_key(shown.key)
                return
