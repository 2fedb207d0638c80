"""The user's settings: what each one means, what it may be, and how it is read from and written to settings.toml.

`Settings` is the one table: beside each field and its default stands all there is to know of it, also how the setup
screen shows and changes it. A file with a wrong field still gives every other one; writing changes only what is asked
and keeps the comments.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from enum import Enum, auto
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, Literal, NamedTuple, get_args

from trainer.files import texts
from trainer.files.toml import DataError, MissingFile, Source, Table, fraction_to_toml, noting, read
from trainer.records.counting import CountedBy, TapsUnit
from trainer.siteswap.throws import Hand

OutputName = Literal["auto", "miniaudio", "simpleaudio", "silent"]
HeardName = Literal["throws", "catches", "both"]
HeardHands = Literal["both", "right", "left"]
HeardHeights = Literal["all", "top"]
PracticeShows = Literal["count", "flight"]
Theme = Literal["dark", "light", "terminal"]

NOT_KEYS: Final = {
    "ctrl+i": "terminals send it as tab",
    "ctrl+j": "terminals send it as enter",
    "ctrl+m": "terminals send it as enter",
    "ctrl+h": "terminals send it as backspace",
}
"""Keys that reach a program as other keys, each with the reason."""

NO_PEDAL: Final = {
    "q": "it leaves the trainer",
    "question_mark": "it shows the help",
    "escape": "terminals send it late",
    "ctrl+c": "it copies or stops",
    **NOT_KEYS,
}
"""Keys that can't be a pedal: the screen must always answer to q and ?, and the others reach a program wrongly."""

AT_NEXT_START: Final = "This takes effect at the next start of the trainer."
AT_NEXT_PATTERN: Final = "A practice under way goes on as it began; the next one has it."


class Changing(Enum):
    """How the setup screen changes a setting: to the next of its values, by typing one, or by pressing a key."""

    CHOOSE = auto()
    TYPE = auto()
    PRESS = auto()


class Setting(NamedTuple):
    """What there is to know of a setting beside its default.

    label: of its row in the setup screen; without one it has no row there. sentence: explains it. read: hands out the
    checked value of a table. choices: all the values there are. step: for a number, how far one step goes; start:
    where the steps begin if it is left out. unit: shown after a number; None shows the number as a file has it.
    term: the word of the trade it is about, if there is one. after: what to tell when it was changed.
    """

    label: str
    sentence: str
    read: Callable[[Table, str], object]
    change: Changing = Changing.TYPE
    choices: tuple[object, ...] = ()
    step: Fraction | int = 0
    start: Fraction | int = 0
    unit: str | None = None
    term: str = ""
    after: str = ""


def _key(table: Table, name: str) -> str:
    key = table.text(name, texts.KEY)
    if any(c.isspace() for c in key):
        raise table.error(name, f'"{key}" was not the name of a key. Write it without spaces, such as "space".')
    return key


def _pedal(table: Table, name: str) -> str:
    key = _key(table, name)
    if key in NO_PEDAL:
        raise table.error(name, f'"{key}" could not be a pedal: {NO_PEDAL[key]}. Choose another key.')
    return key


def _setting(*told: Any, **more: Any) -> dict[str, Setting]:
    """The metadata of a field of Settings."""
    return {"setting": Setting(*told, **more)}


def _text(label: str, sentence: str, kind: texts.Kind, **more: Any) -> dict[str, Setting]:
    return _setting(label, sentence, lambda table, name: table.text(name, kind), **more)


def _choice(label: str, sentence: str, kind: Any, **more: Any) -> dict[str, Setting]:
    """kind: a StrEnum, or a Literal of texts."""
    choices = get_args(kind) or tuple(kind)
    to_choice = str if get_args(kind) else kind
    return _setting(
        label, sentence, lambda table, name: to_choice(table.choice(name, choices)), Changing.CHOOSE, choices, **more
    )


def _truth(label: str, sentence: str, **more: Any) -> dict[str, Setting]:
    return _setting(label, sentence, Table.truth, Changing.CHOOSE, (True, False), **more)


def _whole(label: str, sentence: str, *, low: int, high: int, **more: Any) -> dict[str, Setting]:
    return _setting(label, sentence, lambda table, name: table.whole(name, low=low, high=high), step=1, **more)


def _number(label: str, sentence: str, *, low: float, high: float, **more: Any) -> dict[str, Setting]:
    return _setting(label, sentence, lambda table, name: table.number(name, low=low, high=high), **more)


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting, checked; a field that may be None is absent from the file then."""

    # A table: each setting is named and explained, then told what it may be.
    # fmt: off
    output: OutputName = field(default="auto", metadata=_choice(
        "output", "Which way sound goes out: auto is miniaudio, or silence where there is no sound device.",
        OutputName, after=AT_NEXT_START,
    ))
    device: str | None = field(default=None, metadata=_text(
        "sound device", "The sound device to play on, by the name the system gives it; left out, its default.",
        texts.DEVICE, change=Changing.CHOOSE, after=AT_NEXT_START,
    ))
    buffer_ms: float = field(default=100, metadata=_number(
        "sound ahead", "How much sound is kept ahead: more holds on a busy machine, and each stop is heard later.",
        low=50, high=500, step=Fraction(10), unit="ms", after=AT_NEXT_START,
    ))
    volume: float = field(default=0.5, metadata=_number(
        "volume", "How loud the trainer is, from 0 (silent) to 1; start quiet.",
        low=0, high=1, step=Fraction(1, 20), unit="", term="click",
    ))
    kit: str = field(default="kitchen", metadata=_text(
        "kit", "The kit of sounds, by its name.",
        texts.KIT, change=Changing.CHOOSE, term="click",
    ))
    heard: HeardName = field(default="throws", metadata=_choice(
        "heard", "What is heard: the throws, the catches, or both.",
        HeardName, term="click",
    ))
    heard_hands: HeardHands = field(default="both", metadata=_choice(
        "hands heard", "Whose throws are heard: both hands', the right's, or the left's.",
        HeardHands, term="click",
    ))
    heard_heights: HeardHeights = field(default="all", metadata=_choice(
        "throws heard", "Which throws are heard: all, or only the highest of the pattern.",
        HeardHeights, term="apex",
    ))
    silent_rounds: int = field(default=0, metadata=_whole(
        "silent rounds", "How many rounds are then silent: is the beat still yours? 0 for none.",
        low=0, high=1000, term="round",
    ))
    heard_rounds: int = field(default=4, metadata=_whole(
        "heard before them", "How many rounds are heard before the silent ones, if there are silent ones.",
        low=1, high=1000, term="round",
    ))
    fade_rounds: int = field(default=0, metadata=_whole(
        "fade to half in", "In how many rounds the click falls to half as a run grows; 0 keeps it as it is.",
        low=0, high=1000, unit="rounds", term="click",
    ))
    heard_all_up: bool = field(default=True, metadata=_truth(
        "empty hands heard",
        "Whether it sounds when both hands become empty for a beat or more, and when that is over.",
        term="all-up",
    ))
    glide_rounds: int = field(default=0, metadata=_whole(
        "tempo glides in", "Over how many rounds the tempo glides when you change it; 0 changes it at the next beat.",
        low=0, high=1000, unit="rounds", term="tempo",
    ))
    latency_ms: float | None = field(default=None, metadata=_number(
        "latency", "How late sound leaves the speaker, in milliseconds (m measures it); left out, the output's usual.",
        low=0, high=2000, step=5, unit="ms", term="latency",
    ))
    reaction_s: float = field(default=0.3, metadata=_number(
        "reaction", "How long you take to press the pedal after a drop, in seconds (r measures it).",
        low=0, high=2, step=Fraction(1, 20), unit="s", term="reaction time",
    ))
    dwell: Fraction = field(default=Fraction(2, 3), metadata=_setting(
        "dwell", 'The share of its cycle a hand spends holding, between 0 and 1, such as 0.6 or "2/3".',
        lambda table, name: table.fraction(name, above=0, below=1),
        step=Fraction(1, 20), term="dwell", after=AT_NEXT_PATTERN,
    ))
    count_in_beats: int = field(default=4, metadata=_whole(
        "count-in", "How many beats are counted in before the first throw.",
        low=0, high=64, unit="beats", term="count-in",
    ))
    count_in_rounds: int = field(default=0, metadata=_whole(
        "count-in instead", "How many rounds of the pattern are counted in instead; 0 counts beats.",
        low=0, high=8, unit="rounds", term="count-in",
    ))
    counted_by: CountedBy = field(default=CountedBy.BEAT, metadata=_choice(
        "counted by", "How catches are counted: by the beat, by taps of the pedal, or by hand afterwards.",
        CountedBy, term="catch",
    ))
    taps_count: TapsUnit = field(default=TapsUnit.CATCH, metadata=_choice(
        "one tap counts", "What one tap counts: a catch, a right-hand catch, or a round.",
        TapsUnit, term="round",
    ))
    rest_s: float = field(default=2.0, metadata=_number(
        "rest", "How long a rest is before the next attempt is armed, in seconds.",
        low=0, high=600, step=Fraction(1, 2), unit="s", term="run",
    ))
    countdown_s: int = field(default=3, metadata=_whole(
        "counted down", "How many of the last seconds of a rest are counted down by sounds; 0 for none.",
        low=0, high=10, unit="s", term="count-in",
    ))
    pedal: str = field(default="space", metadata=_setting(
        "PEDAL", "The key that is the pedal: it starts a run and ends it.",
        _pedal, Changing.PRESS, term="pedal",
    ))
    end_pedal: str | None = field(default=None, metadata=_setting(
        "end pedal", "A second key that only ends a run; left out, there is none.",
        _pedal, Changing.PRESS, term="pedal",
    ))
    key_releases: bool = field(default=True, metadata=_truth(
        "releases told",
        "Whether a terminal that can is asked to tell when a key is let go: a held pedal needs no guessing then.",
        term="pedal", after=AT_NEXT_START,
    ))
    ceiling_m: float | None = field(default=None, metadata=_number(
        "ceiling", "How high the ceiling is above your hands, in metres; left out, no throw is said to pass it.",
        low=0.1, high=100, step=Fraction(1, 10), start=Fraction(3, 2), unit="m", term="space",
    ))
    throws_per_s: float | None = field(default=None, metadata=_number(
        "throws a second",
        "How many throws a second you want of one hand at most; left out, no rung of a climb is said to pass it.",
        low=0.1, high=20, step=Fraction(1, 10), start=2, unit="a hand",
    ))
    hand_height_m: float = field(default=1.0, metadata=_number(
        "hands above floor", "How high your hands are above the floor when you bounce, in metres.",
        low=0.2, high=3, step=Fraction(1, 10), unit="m", term="bounce juggling",
    ))
    restitution: float = field(default=0.9, metadata=_setting(
        "bounce kept",
        "How lively your bounce ball is: the share of its speed it keeps at the floor, above 0, up to 1.",
        lambda table, name: table.number(name, above=0, high=1), step=Fraction(1, 100), term="rebound",
    ))
    stride_m: float = field(default=0.8, metadata=_number(
        "stride", "How long your step is when you juggle on the run, in metres.",
        low=0.1, high=3, step=Fraction(1, 20), unit="m", term="joggling",
    ))
    prop: str = field(default="balls", metadata=_text(
        "prop", "What you throw; bests are kept apart for each.",
        texts.PROP, term="prop",
    ))
    juggler: str | None = field(default=None, metadata=_text(
        "juggler", "The name attempts are logged under; left out, there is none.",
        texts.JUGGLER,
    ))
    start_hand: Hand = field(default=Hand.RIGHT, metadata=_choice(
        "start hand", "The hand that throws first: R or L.",
        Hand, term="async", after=AT_NEXT_PATTERN,
    ))
    active_twos: bool = field(default=False, metadata=_truth(
        "active twos", "Whether a 2 is thrown and caught, rather than held.",
        term="active 2", after=AT_NEXT_PATTERN,
    ))
    theme: Theme = field(default="dark", metadata=_choice(
        "colours", "How the screens look: dark, light, or in the terminal's own colours.",
        Theme,
    ))
    practice_shows: PracticeShows = field(default="count", metadata=_choice(
        "practice shows", "What is large while you practise: the count, or the objects in flight.",
        PracticeShows, after=AT_NEXT_PATTERN,
    ))
    animate: bool = field(default=True, metadata=_truth(
        "animate", "Whether the screen moves while you practise.",
        after=AT_NEXT_PATTERN,
    ))
    tour: bool = field(default=True, metadata=_truth(
        "the tour again", "Whether the tour of four steps is shown at the next start; then it is over.",
        after=AT_NEXT_START,
    ))
    # fmt: on
    keys: Mapping[str, str] = field(
        default_factory=lambda: MappingProxyType({}),
        metadata={"setting": Setting("", "Commands on keys of your own: the command's name, then the key.", _key)},
    )


SETTINGS: Final[Mapping[str, Setting]] = MappingProxyType(
    {each.name: each.metadata["setting"] for each in fields(Settings)}
)
"""Name → what there is to know of it, in the order of the rows of the setup screen."""


def load(path: Path) -> tuple[Settings, tuple[DataError, ...]]:
    """The settings of a file, and a notice for each thing wrong in it; what is wrong has its default."""
    try:
        return from_table(read(path))
    except MissingFile:
        return Settings(), ()
    except DataError as error:
        return Settings(), (error,)


def from_table(table: Table) -> tuple[Settings, tuple[DataError, ...]]:
    """The settings of a table, and a notice for each wrong or unknown field."""
    notices: list[DataError] = []
    found: dict[str, Any] = {"keys": MappingProxyType(_remapped(table, notices))}
    for name, setting in SETTINGS.items():
        if name != "keys" and table.has(name):
            with noting(notices):
                found[name] = setting.read(table, name)
    settings = Settings(**found)
    if settings.end_pedal == settings.pedal:
        notices.append(table.error("end_pedal", f'"{settings.pedal}" was the pedal already. Choose another key.'))
        settings = Settings(**(found | {"end_pedal": None}))
    return settings, (*notices, *table.unknown())


def _remapped(table: Table, notices: list[DataError]) -> dict[str, str]:
    """The table `keys`, entry by entry, so that one wrong key leaves the others."""
    found: dict[str, str] = {}
    with noting(notices):
        keys = table.table("keys", default=None)
        if keys is not None:
            for command in keys.names():
                with noting(notices):
                    found[command] = _key(keys, command)
    return found


def check(path: Path, name: str, value: object) -> Any:
    """A TOML value as the setting holds it; DataError if the setting can't be that. path: of the settings file."""
    return SETTINGS[name].read(Table(Source(path, ""), {name: value}, ()), name)


def checked(path: Path, changes: Mapping[str, object]) -> dict[str, Any]:
    """`changes` as TOML values, each checked like one from a file; KeyError if there is no such setting."""
    plain = {name: _to_toml(value) for name, value in changes.items()}
    for name, value in plain.items():
        if name == "keys":
            entries = {command: key for command, key in value.items() if key is not None}
            for command in entries:
                _key(Table(Source(path, ""), entries, ("keys",)), command)
        elif name not in SETTINGS:
            raise KeyError(name)
        elif value is not None:
            check(path, name, value)
    return plain


def _to_toml(value: object) -> Any:
    if isinstance(value, Fraction):
        return fraction_to_toml(value)
    if isinstance(value, Mapping):
        return dict(value)
    return str(value) if isinstance(value, str) else value  # a plain str: a StrEnum is none to a TOML writer


def save(path: Path, changes: Mapping[str, object]) -> None:
    """Write the changed settings into the file and leave the rest of it as it stands, comments too.

    `changes` maps names to values; None takes a setting out of the file. Under "keys" stands a mapping of the
    commands to change, None to take one out. The file is replaced whole or not at all. DataError if a value is out
    of bounds, if the file is there but could not be read or is no TOML (it is left as it was), or on any OSError.
    """
    plain = checked(path, changes)
    from trainer.files.settings import write_changes  # only here: the TOML writer takes a while to import

    write_changes(path, plain)
