"""The rows of the setup screen: which settings it shows, how each is shown, and what its next value is.

What a setting means and what it may be stands in trainer.config, what a command does in trainer.keys.commands;
here is only how they are shown and stepped through.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction
from math import ceil, floor
from types import MappingProxyType
from typing import Any, Final, get_args

from trainer import config
from trainer.files.toml import DataError, Source, Table
from trainer.keys.commands import COMMANDS, find_command, keys_of
from trainer.keys.names import key_to_text
from trainer.session.sitting import Sitting

NEXT, PREVIOUS = 1, -1
NONE: Final = "none"
MOST_NAMED: Final = 4  # screens of a command; more are not told one by one


class Changing(Enum):
    """How a row is changed."""

    CHOOSE = auto()
    TYPE = auto()
    PRESS = auto()


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One row. name: of the setting, or of the command where `command` is true.

    step: for a number, how far one step goes; start: where the steps begin if there was none before. choices: all
    the values there are. after: what to tell when it was changed.
    """

    name: str
    label: str
    change: Changing
    shown: Callable[[Any, Sitting], str] = lambda value, _: str(value)
    choices: Callable[[Sitting], tuple[Any, ...]] = lambda _: ()
    step: Fraction | int = 0
    start: Callable[[Sitting], Fraction] = lambda _: Fraction(0)
    after: str = ""
    command: bool = False


AT_NEXT_START = "This takes effect at the next start of the trainer."
AT_NEXT_PATTERN = "A practice under way goes on as it began; the next one has it."
YES_NO = {True: "yes", False: "no"}
HANDS = {"R": "right", "L": "left"}


def _with_unit(unit: str) -> Callable[[Any, Sitting], str]:
    return lambda value, _: NONE if value is None else f"{value:g} {unit}"


def _key(value: str | None, _: Sitting) -> str:
    return NONE if value is None else key_to_text(value)


def _latency(value: float | None, sitting: Sitting) -> str:
    return f"{sitting.output.latency_s * 1000:.0f} ms, not set by you" if value is None else f"{value:g} ms"


def _kits(sitting: Sitting) -> tuple[str, ...]:
    return tuple(kit.name for kit in sitting.kits)


def _devices(_: Sitting) -> tuple[str | None, ...]:
    from trainer.audio.outputs import device_names  # asks the sound system, so only when the row is changed

    return (None, *device_names())


def _one_of(kind: Any) -> Callable[[Sitting], tuple[Any, ...]]:
    return lambda _: get_args(kind)


def _yes_no(name: str, label: str, after: str = "") -> SettingRow:
    return SettingRow(
        name, label, Changing.CHOOSE, lambda value, _: YES_NO[value], lambda _: (True, False), after=after
    )


SETTINGS: Final = (
    SettingRow("output", "output", Changing.CHOOSE, choices=_one_of(config.OutputName), after=AT_NEXT_START),
    SettingRow(
        "device",
        "sound device",
        Changing.CHOOSE,
        lambda value, _: value or "the system's default",
        _devices,
        after=AT_NEXT_START,
    ),
    SettingRow("volume", "volume", Changing.TYPE, lambda value, _: f"{value:g}", step=Fraction(1, 20)),
    SettingRow("kit", "kit", Changing.CHOOSE, choices=_kits),
    SettingRow("heard", "heard", Changing.CHOOSE, choices=_one_of(config.HeardName)),
    SettingRow("heard_hands", "hands heard", Changing.CHOOSE, choices=_one_of(config.HeardHands)),
    SettingRow("heard_heights", "throws heard", Changing.CHOOSE, choices=_one_of(config.HeardHeights)),
    SettingRow("silent_rounds", "silent rounds", Changing.TYPE, step=1),
    SettingRow("heard_rounds", "heard before them", Changing.TYPE, step=1),
    SettingRow("fade_rounds", "fade to half in", Changing.TYPE, _with_unit("rounds"), step=1),
    _yes_no("heard_all_up", "empty hands heard"),
    SettingRow("glide_rounds", "tempo glides in", Changing.TYPE, _with_unit("rounds"), step=1),
    SettingRow(
        "latency_ms",
        "latency",
        Changing.TYPE,
        _latency,
        step=5,
        start=lambda sitting: Fraction(round(sitting.output.latency_s * 200) * 5),
    ),
    SettingRow("reaction_s", "reaction", Changing.TYPE, _with_unit("s"), step=Fraction(1, 20)),
    SettingRow("dwell", "dwell", Changing.TYPE, step=Fraction(1, 20), after=AT_NEXT_PATTERN),
    SettingRow("count_in_beats", "count-in", Changing.TYPE, _with_unit("beats"), step=1),
    SettingRow("count_in_rounds", "count-in instead", Changing.TYPE, _with_unit("rounds"), step=1),
    SettingRow("counted_by", "counted by", Changing.CHOOSE, choices=_one_of(config.CountedByName)),
    SettingRow("taps_count", "one tap counts", Changing.CHOOSE, choices=_one_of(config.TapsCount)),
    SettingRow("rest_s", "rest", Changing.TYPE, _with_unit("s"), step=Fraction(1, 2)),
    SettingRow("countdown_s", "counted down", Changing.TYPE, _with_unit("s"), step=1),
    SettingRow("pedal", "PEDAL", Changing.PRESS, _key),
    SettingRow("end_pedal", "end pedal", Changing.PRESS, _key),
    _yes_no("key_releases", "releases told", AT_NEXT_START),
    SettingRow(
        "ceiling_m", "ceiling", Changing.TYPE, _with_unit("m"), step=Fraction(1, 10), start=lambda _: Fraction(3, 2)
    ),
    SettingRow(
        "throws_per_s",
        "throws a second",
        Changing.TYPE,
        _with_unit("a hand"),
        step=Fraction(1, 10),
        start=lambda _: Fraction(2),
    ),
    SettingRow("hand_height_m", "hands above floor", Changing.TYPE, _with_unit("m"), step=Fraction(1, 10)),
    SettingRow("restitution", "bounce kept", Changing.TYPE, step=Fraction(1, 100)),
    SettingRow("stride_m", "stride", Changing.TYPE, _with_unit("m"), step=Fraction(1, 20)),
    SettingRow("prop", "prop", Changing.TYPE),
    SettingRow("juggler", "juggler", Changing.TYPE, lambda value, _: value or NONE),
    SettingRow(
        "start_hand",
        "start hand",
        Changing.CHOOSE,
        lambda value, _: HANDS[value],
        _one_of(config.StartHand),
        after=AT_NEXT_PATTERN,
    ),
    _yes_no("active_twos", "active twos", AT_NEXT_PATTERN),
    SettingRow("theme", "colours", Changing.CHOOSE, choices=_one_of(config.Theme)),
    SettingRow(
        "practice_shows",
        "practice shows",
        Changing.CHOOSE,
        choices=_one_of(config.PracticeShows),
        after=AT_NEXT_PATTERN,
    ),
    _yes_no("animate", "animate", AT_NEXT_PATTERN),
    _yes_no("tour", "the tour again", AT_NEXT_START),
)

ROWS: Final = SETTINGS + tuple(
    SettingRow(each.name, f"key: {each.label}", Changing.PRESS, command=True) for each in COMMANDS if not each.fixed
)

TERMS: Final[Mapping[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(("heard", "heard_hands", "fade_rounds", "volume", "kit", "next_kit"), "click"),
        **dict.fromkeys(("silent_rounds", "heard_rounds", "taps_count"), "round"),
        **dict.fromkeys(("glide_rounds", "faster", "slower", "tap_tempo", "double", "halve"), "tempo"),
        **dict.fromkeys(("count_in_beats", "count_in_rounds", "countdown_s"), "count-in"),
        **dict.fromkeys(("pedal", "end_pedal", "key_releases"), "pedal"),
        **dict.fromkeys(("dwell", "hold_longer", "hold_shorter"), "dwell"),
        **dict.fromkeys(("counted_by", "next_count", "one_more", "one_less"), "catch"),
        "hand_height_m": "bounce juggling",
        **dict.fromkeys(("give_up", "unfair", "undo", "rest_s"), "run"),
        "heard_heights": "apex",
        "heard_all_up": "all-up",
        "latency_ms": "latency",
        "calibrate": "latency",
        "reaction_s": "reaction time",
        "react": "reaction time",
        "ceiling_m": "space",
        "open_climb": "climb",
        "restitution": "rebound",
        "stride_m": "joggling",
        "prop": "prop",
        "active_twos": "active 2",
        "start_hand": "async",
        "enter_it": "entry throws",
    }
)
"""A row's name → the word of the trade it is about, where there is one."""

WITHOUT: Final = frozenset({"latency_ms", "end_pedal", "ceiling_m", "throws_per_s", "juggler"})
"""Settings that may be left out: an empty line, or a step below the least, takes them out."""


def value_of(row: SettingRow, sitting: Sitting) -> Any:
    """What the row's setting is now; of a command its first key."""
    if row.command:
        command = find_command(row.name)
        assert command is not None
        return keys_of(command, sitting.settings.keys)[0]
    return getattr(sitting.settings, row.name)


def shown_value(row: SettingRow, sitting: Sitting) -> str:
    """The value as the row shows it."""
    value = value_of(row, sitting)
    return key_to_text(value) if row.command else row.shown(value, sitting)


def sentence(row: SettingRow) -> str:
    """What the row is about."""
    if row.command:
        command = find_command(row.name)
        assert command is not None
        where = " and ".join(command.screens) if len(command.screens) <= MOST_NAMED else "most screens"
        return f"{command.help} ({where})"
    return config.SENTENCES[row.name]


def hint(row: SettingRow) -> str:
    """How the row is changed."""
    if row.command:
        return "Enter, then the new key. ← puts it back on its own."
    if row.change is Changing.PRESS:
        return "Enter, then press the new key." + (" ← takes it out." if row.name in WITHOUT else "")
    if row.change is Changing.CHOOSE:
        return "Enter or → for the next one, ← for the one before."
    return "Enter to type it." + (" → for more, ← for less." if row.step else "")


def stepped(row: SettingRow, sitting: Sitting, direction: int) -> Any:
    """The value one step on (NEXT) or back (PREVIOUS), checked; DataError if it would be out of bounds."""
    value = value_of(row, sitting)
    if row.change is Changing.CHOOSE:
        choices = row.choices(sitting)
        place = choices.index(value) if value in choices else min(-direction, 0)
        return choices[(place + direction) % len(choices)]
    if value is None:
        return checked(row.name, _plain(row.start(sitting)), sitting) if direction == NEXT else None
    # To the next whole step: from 2/3 in steps of 1/20 that is 7/10, and values stay round numbers.
    exact = Fraction(str(value)) / row.step
    steps = floor(exact) + 1 if direction == NEXT else ceil(exact) - 1
    try:
        return checked(row.name, _plain(steps * Fraction(row.step)), sitting)
    except DataError:
        if row.name in WITHOUT and direction == PREVIOUS:
            return None
        raise


def typed(row: SettingRow, text: str, sitting: Sitting) -> Any:
    """The value that was typed, checked; DataError with what was wrong with it. A comma may be the point."""
    text = text.strip()
    if not text and row.name in WITHOUT:
        return None
    return checked(row.name, _text_to_number(text) if row.step else text, sitting)


def checked(name: str, value: object, sitting: Sitting) -> Any:
    """A plain value as the setting holds it; DataError if the setting can't be that."""
    each = next(each for each in config.ROWS if each.name == name)
    return each.metadata["read"](Table(Source(sitting.places.settings, ""), {name: value}, ()), name)


def _text_to_number(text: str) -> int | float | str:
    """As a TOML file would hold it; what is no number is left to the setting's own check."""
    for kind in (int, float):
        try:
            return kind(text.replace(",", "."))
        except ValueError:
            continue
    return text


def _plain(exact: Fraction) -> int | float:
    return exact.numerator if exact.denominator == 1 else float(exact)
