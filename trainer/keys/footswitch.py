"""A MIDI footswitch: its messages as presses of a pedal, stamped in the thread that reads them.

Only this module opens a MIDI input, and only when one is wanted: the library for it is an extra. A press is a note-on,
a control change to 64 or more (MIDI 1.0: what a switch such as the sustain pedal sends for "on"), or a program change,
which has no release. A control that is moved and not switched, as an expression pedal is, counts once on its way up.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from trainer.errors import TrainerError
from trainer.practice.pedal import Edge

ON = 64
NOT_INSTALLED = "A MIDI footswitch needs an extra: python -m pip install 'throwbeat[midi]'."
NO_MIDI = "MIDI could not be used here: {why}."
NOTHING_CONNECTED = "No MIDI input was found. Connect the footswitch and open this again."

OnPress = Callable[[str, Edge, float], None]
"""Told of a press: its name such as midi_control_64, what happened, and the second of the clock."""


class FootswitchError(TrainerError):
    """Why no footswitch can be listened to; str() is one sentence that says what to do."""


def is_midi(name: str | None) -> bool:
    """Whether a pedal's name is a footswitch's."""
    return name is not None and name.startswith("midi_")


class Switches:
    """What has come so far, to tell presses from movements: the last value of each control."""

    def __init__(self) -> None:
        self._values: dict[int, int] = {}

    def to_press(self, message: Any) -> tuple[str, Edge] | None:
        """The name and the edge of a mido message; None if no switch sent it."""
        if message.type in ("note_on", "note_off"):
            down = message.type == "note_on" and message.velocity > 0  # a note-on of velocity 0 is a note-off
            return f"midi_note_{message.note}", Edge.DOWN if down else Edge.UP
        if message.type == "program_change":
            return f"midi_program_{message.program}", Edge.DOWN
        if message.type == "control_change":
            edge = self._moved(message.control, message.value)
            return None if edge is None else (f"midi_control_{message.control}", edge)
        return None

    def _moved(self, control: int, value: int) -> Edge | None:
        """What a control's new value means. Some switches never send "off", so the same "on" again is a press too."""
        before = self._values.get(control, 0)
        self._values[control] = value
        if value >= ON:
            return Edge.DOWN if before < ON or before == value else None
        return Edge.UP if before >= ON else None


class Footswitch:
    """Listens to every MIDI input there is while it is wanted. clock: the one that stamps keys, in seconds."""

    def __init__(self, told: OnPress, clock: Callable[[], float]) -> None:
        self._told, self._clock = told, clock
        self._ports: list[Any] = []

    @property
    def listens(self) -> bool:
        return bool(self._ports)

    def listen(self) -> None:
        """Open all inputs there are now, anew. FootswitchError if there is none, or no library for them."""
        self.close()
        try:
            import mido

            for name in mido.get_input_names():
                self._ports.append(mido.open_input(name, callback=partial(self._hear, Switches())))
        except ImportError:
            raise FootswitchError(NOT_INSTALLED) from None
        except OSError as error:
            self.close()
            raise FootswitchError(NO_MIDI.format(why=str(error).rstrip("."))) from None
        if not self._ports:
            raise FootswitchError(NOTHING_CONNECTED)

    def close(self) -> None:
        """Listen no more; any number of times."""
        while self._ports:
            self._ports.pop().close()

    def _hear(self, switches: Switches, message: Any) -> None:
        at_s = self._clock()
        press = switches.to_press(message)
        if press is not None:
            self._told(*press, at_s)
