"""Presses of whatever can be a pedal: keys, buttons of the mouse, footswitches, all with one kind of name.

Names of keys are the library's. Those made up here: mouse_left, mouse_middle, mouse_right; and those of
trainer.keys.footswitch.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual import events

from trainer.keys.footswitch import is_midi
from trainer.practice.pedal import Edge

MOUSE = {1: "mouse_left", 2: "mouse_middle", 3: "mouse_right"}
"""Buttons, as the library numbers them."""


@dataclass(frozen=True, slots=True)
class Press:
    """One press, repeat or release. at_s: when its bytes arrived, in seconds of the monotonic clock.

    spot: of a button of the mouse, the column and row on the screen.
    """

    name: str
    edge: Edge
    at_s: float
    spot: tuple[int, int] | None = None

    @property
    def is_key(self) -> bool:
        """Whether it is one of the keyboard, which commands and lines to type in understand."""
        return self.name not in MOUSE.values() and not is_midi(self.name)


class RepeatedKey(events.Key):
    """A key that the terminal repeats because it is held. For the library it is a key as any other."""


RepeatedKey.handler_name = events.Key.handler_name


class KeyUp(events.Event):
    """A key was let go. Only pedals ask for it; the library has no such event."""

    def __init__(self, key: str) -> None:
        super().__init__()
        self.key = key


class FootPress(events.Event):
    """A press, repeat or release of a footswitch, from the thread that reads it."""

    def __init__(self, press: Press) -> None:
        super().__init__()
        self.press = press


def to_press(event: events.Event) -> Press | None:
    """The press that an event is; None if it is none."""
    if isinstance(event, FootPress):
        return event.press
    if isinstance(event, RepeatedKey):
        return Press(event.key, Edge.REPEAT, event.time)
    if isinstance(event, events.Key):
        return Press(event.key, Edge.DOWN, event.time)
    if isinstance(event, KeyUp):
        return Press(event.key, Edge.UP, event.time)
    if isinstance(event, events.MouseDown | events.MouseUp) and event.button in MOUSE:
        edge = Edge.DOWN if isinstance(event, events.MouseDown) else Edge.UP
        return Press(MOUSE[event.button], edge, event.time, event.screen_offset)
    return None
