"""A field of a form in which one of a few values is picked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from textual.binding import Binding
from textual.message import Message
from textual.widget import Widget


class Pick(Widget, can_focus=True):
    """Shows one of a few values. The space bar, left and right change it. choices: each value and how it is shown."""

    BINDINGS = [  # noqa: RUF012 (the library's own way to declare them)
        Binding("space,right", "turn(1)", "next", show=False),
        Binding("left", "turn(-1)", "previous", show=False),
        Binding("enter", "screen.begin", "begin"),
    ]

    @dataclass
    class Changed(Message):
        """Another value was picked."""

        one: Pick

        @property
        def control(self) -> Pick:
            return self.one

    def __init__(self, choices: dict[Any, str], *, id: str) -> None:
        super().__init__(id=id, classes="pick")
        self.choices, self.value = choices, next(iter(choices))

    def render(self) -> str:
        return f"◂ {self.choices[self.value]} ▸"

    def pick(self, value: Any) -> None:
        """Show one of the choices, and tell if it is another one."""
        if value != self.value:
            self.value = value
            self.refresh(layout=True)
            self.post_message(self.Changed(self))

    def action_turn(self, by: int) -> None:
        values = tuple(self.choices)
        self.pick(values[(values.index(self.value) + by) % len(values)])

    def on_click(self) -> None:
        self.action_turn(1)
