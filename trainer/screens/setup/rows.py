"""The rows of the setup screen: one a setting and one a command, how each is shown, and what its next value is.

What a setting means, what it may be and how it steps stands in trainer.config, what a command does in
trainer.keys.commands; here is what only an open sitting knows: kits, devices, the latency of its output.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from types import MappingProxyType
from typing import Any, Final

from trainer.config import SETTINGS, Changing, Setting, Settings, check
from trainer.files.toml import DataError, Table, fraction_to_toml
from trainer.keys.commands import COMMANDS, Command, keys_of
from trainer.keys.names import key_to_text
from trainer.session.sitting import Sitting
from trainer.siteswap.throws import Hand

NEXT, PREVIOUS = 1, -1
NONE: Final = "none"
MOST_NAMED: Final = 4  # screens of a command; more are not told one by one


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One row: a setting, or a command to be put on another key. name: of either."""

    name: str
    told: Setting
    command: Command | None = None


def _row_of_command(command: Command) -> SettingRow:
    """The row to put a command on another key."""
    where = " and ".join(command.screens) if len(command.screens) <= MOST_NAMED else "most screens"
    told = Setting(f"key: {command.label}", f"{command.help} ({where})", Table.text, Changing.PRESS)
    return SettingRow(command.name, told, command)


ROWS: Final = (
    *(SettingRow(name, told) for name, told in SETTINGS.items() if told.label),
    *(_row_of_command(each) for each in COMMANDS if not each.fixed),
)

TERMS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **{row.name: row.told.term for row in ROWS if row.told.term},
        **dict.fromkeys(("faster", "slower", "tap_tempo", "double", "halve"), "tempo"),
        **dict.fromkeys(("hold_longer", "hold_shorter"), "dwell"),
        **dict.fromkeys(("next_count", "one_more", "one_less"), "catch"),
        **dict.fromkeys(("give_up", "unfair", "undo"), "run"),
        "next_kit": "click",
        "calibrate": "latency",
        "react": "reaction time",
        "open_climb": "climb",
        "enter_it": "entry throws",
    }
)
"""A row's name → the word of the trade it is about, where there is one."""

WITHOUT: Final = frozenset(row.name for row in ROWS if getattr(Settings(), row.name, "") is None)
"""Settings that may be left out: an empty line, or a step below the least, takes them out."""


def _devices(_: Sitting) -> tuple[str | None, ...]:
    # It asks the sound system, so only when the row is changed.
    from trainer.audio.outputs.miniaudio_device import device_names

    return (None, *device_names())


CHOICES: Final[Mapping[str, Callable[[Sitting], tuple[str | None, ...]]]] = {
    "kit": lambda sitting: tuple(kit.name for kit in sitting.kits),
    "device": _devices,
}
"""Settings whose values are those that are there now."""


def value_of(row: SettingRow, sitting: Sitting) -> Any:
    """What the row's setting is now; of a command its first key."""
    return keys_of(row.command, sitting.settings.keys)[0] if row.command else getattr(sitting.settings, row.name)


def shown_value(row: SettingRow, sitting: Sitting) -> str:
    """The value as the row shows it."""
    match value_of(row, sitting):
        case None if row.name == "device":
            return "the system's default"
        case None if row.name == "latency_ms":
            return f"{sitting.output.latency_s * 1000:.0f} ms, not set by you"
        case None:
            return NONE
        case bool() as value:
            return "yes" if value else "no"
        case Hand() as hand:
            return hand.name.lower()
        case str() as key if row.told.change is Changing.PRESS:
            return key_to_text(key)
        case value:
            return str(value) if row.told.unit is None else f"{value:g} {row.told.unit}".rstrip()


def hint(row: SettingRow) -> str:
    """How the row is changed."""
    if row.command:
        return "Enter, then the new key. ← puts it back on its own."
    if row.told.change is Changing.PRESS:
        return "Enter, then press the new key." + (" ← takes it out." if row.name in WITHOUT else "")
    if row.told.change is Changing.CHOOSE:
        return "Enter or → for the next one, ← for the one before."
    return "Enter to type it." + (" → for more, ← for less." if row.told.step else "")


def stepped(row: SettingRow, sitting: Sitting, direction: int) -> Any:
    """The value one step on (NEXT) or back (PREVIOUS), checked; DataError if it would be out of bounds."""
    value = value_of(row, sitting)
    if row.told.change is Changing.CHOOSE:
        choices = CHOICES[row.name](sitting) if row.name in CHOICES else row.told.choices
        place = choices.index(value) if value in choices else min(-direction, 0)
        return choices[(place + direction) % len(choices)]
    if value is None:
        return _checked(row, _start(row, sitting), sitting) if direction == NEXT else None
    # To the next whole step: from 2/3 in steps of 1/20 that is 7/10, and values stay round numbers.
    exact = Fraction(str(value)) / row.told.step
    steps = floor(exact) + 1 if direction == NEXT else ceil(exact) - 1
    try:
        return _checked(row, Fraction(steps * row.told.step), sitting)
    except DataError:
        if row.name in WITHOUT and direction == PREVIOUS:
            return None
        raise


def typed(row: SettingRow, text: str, sitting: Sitting) -> Any:
    """The value that was typed, checked; DataError with what was wrong with it. A comma may be the point."""
    text = text.strip()
    if not text and row.name in WITHOUT:
        return None
    return check(sitting.places.settings, row.name, _text_to_number(text) if row.told.step else text)


def _start(row: SettingRow, sitting: Sitting) -> Fraction:
    """Where the steps begin of a number that is left out: for the latency at the output's own."""
    if row.name == "latency_ms":
        return Fraction(round(sitting.output.latency_s * 200) * 5)
    return Fraction(row.told.start)


def _checked(row: SettingRow, exact: Fraction, sitting: Sitting) -> Any:
    return check(sitting.places.settings, row.name, fraction_to_toml(exact))


def _text_to_number(text: str) -> int | float | str:
    """As a TOML file would hold it; what is no number is left to the setting's own check."""
    for kind in (int, float):
        try:
            return kind(text.replace(",", "."))
        except ValueError:
            continue
    return text
