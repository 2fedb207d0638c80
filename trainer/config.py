"""The user's settings: what each one means, what it may be, and how it is read from and written to settings.toml.

`Settings` is the one table: each field has its default, the sentence that explains it, and the check it must pass.
A file with a wrong field still gives every other one; writing changes only what is asked and keeps the comments.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, Literal

from trainer.files.toml import DataError, MissingFile, Source, Table, read

OutputName = Literal["auto", "miniaudio", "simpleaudio", "silent"]
CountedByName = Literal["beat", "taps", "hand"]
TapsCount = Literal["catch", "right", "round"]
HeardName = Literal["throws", "catches", "both"]
HeardHands = Literal["both", "right", "left"]
HeardHeights = Literal["all", "top"]
PracticeShows = Literal["count", "flight"]
StartHand = Literal["R", "L"]
Theme = Literal["dark", "light", "terminal"]

# The screen must always answer to q and ?; the others reach a program late, or as another key.
NO_PEDAL: Final = {
    "q": "it leaves the trainer",
    "question_mark": "it shows the help",
    "escape": "terminals send it late",
    "ctrl+c": "it copies or stops",
    "ctrl+i": "terminals send it as tab",
    "ctrl+j": "terminals send it as enter",
    "ctrl+m": "terminals send it as enter",
    "ctrl+h": "terminals send it as backspace",
}


def _key(table: Table, name: str) -> str:
    key = table.text(name, longest=30)
    if any(c.isspace() for c in key):
        raise table.error(name, f'"{key}" was not the name of a key. Write it without spaces, such as "space".')
    return key


def _pedal(table: Table, name: str) -> str:
    key = _key(table, name)
    if key in NO_PEDAL:
        raise table.error(name, f'"{key}" could not be a pedal: {NO_PEDAL[key]}. Choose another key.')
    return key


def row(sentence: str, read: Callable[[Table, str], object]) -> dict[str, Any]:
    """What a field of Settings carries: the sentence that explains it, and how a value is read and checked."""
    return {"sentence": sentence, "read": read}


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting, checked; a field that may be None is absent from the file then."""

    output: OutputName = field(
        default="auto",
        metadata=row(
            "Which way sound goes out: auto is miniaudio, or silence where there is no sound device.",
            lambda t, k: t.choice(k, ("auto", "miniaudio", "simpleaudio", "silent")),
        ),
    )
    device: str | None = field(
        default=None,
        metadata=row(
            "The sound device to play on, by the name the system gives it; left out, its default.",
            lambda t, k: t.text(k, longest=200),
        ),
    )
    volume: float = field(
        default=0.5,
        metadata=row(
            "How loud the trainer is, from 0 (silent) to 1; start quiet.",
            lambda t, k: t.number(k, low=0, high=1),
        ),
    )
    kit: str = field(
        default="kitchen", metadata=row("The kit of sounds, by its name.", lambda t, k: t.text(k, longest=60))
    )
    heard: HeardName = field(
        default="throws",
        metadata=row(
            "What is heard: the throws, the catches, or both.",
            lambda t, k: t.choice(k, ("throws", "catches", "both")),
        ),
    )
    heard_hands: HeardHands = field(
        default="both",
        metadata=row(
            "Whose throws are heard: both hands', the right's, or the left's.",
            lambda t, k: t.choice(k, ("both", "right", "left")),
        ),
    )
    heard_heights: HeardHeights = field(
        default="all",
        metadata=row(
            "Which throws are heard: all, or only the highest of the pattern.",
            lambda t, k: t.choice(k, ("all", "top")),
        ),
    )
    heard_rounds: int = field(
        default=4,
        metadata=row(
            "How many rounds are heard before the silent ones, if there are silent ones.",
            lambda t, k: t.whole(k, low=1, high=1000),
        ),
    )
    silent_rounds: int = field(
        default=0,
        metadata=row(
            "How many rounds are then silent: is the beat still yours? 0 for none.",
            lambda t, k: t.whole(k, low=0, high=1000),
        ),
    )
    fade_rounds: int = field(
        default=0,
        metadata=row(
            "In how many rounds the click falls to half as a run grows; 0 keeps it as it is.",
            lambda t, k: t.whole(k, low=0, high=1000),
        ),
    )
    heard_all_up: bool = field(
        default=True,
        metadata=row(
            "Whether it sounds when both hands become empty for a beat or more, and when that is over.",
            lambda t, k: t.truth(k),
        ),
    )
    glide_rounds: int = field(
        default=0,
        metadata=row(
            "Over how many rounds the tempo glides when you change it; 0 changes it at the next beat.",
            lambda t, k: t.whole(k, low=0, high=1000),
        ),
    )
    latency_ms: float | None = field(
        default=None,
        metadata=row(
            "How late sound leaves the speaker, in milliseconds (m measures it); left out, the output's usual.",
            lambda t, k: t.number(k, low=0, high=2000),
        ),
    )
    reaction_s: float = field(
        default=0.3,
        metadata=row(
            "How long you take to press the pedal after a drop, in seconds (r measures it).",
            lambda t, k: t.number(k, low=0, high=2),
        ),
    )
    dwell: Fraction = field(
        default=Fraction(2, 3),
        metadata=row(
            'The share of its cycle a hand spends holding, between 0 and 1, such as 0.6 or "2/3".',
            lambda t, k: t.fraction(k, above=0, below=1),
        ),
    )
    count_in_beats: int = field(
        default=4,
        metadata=row("How many beats are counted in before the first throw.", lambda t, k: t.whole(k, low=0, high=64)),
    )
    count_in_rounds: int = field(
        default=0,
        metadata=row(
            "How many rounds of the pattern are counted in instead; 0 counts beats.",
            lambda t, k: t.whole(k, low=0, high=8),
        ),
    )
    counted_by: CountedByName = field(
        default="beat",
        metadata=row(
            "How catches are counted: by the beat, by taps of the pedal, or by hand afterwards.",
            lambda t, k: t.choice(k, ("beat", "taps", "hand")),
        ),
    )
    taps_count: TapsCount = field(
        default="catch",
        metadata=row(
            "What one tap counts: a catch, a right-hand catch, or a round.",
            lambda t, k: t.choice(k, ("catch", "right", "round")),
        ),
    )
    rest_s: float = field(
        default=2.0,
        metadata=row(
            "How long a rest is before the next attempt is armed, in seconds.",
            lambda t, k: t.number(k, low=0, high=600),
        ),
    )
    countdown_s: int = field(
        default=3,
        metadata=row(
            "How many of the last seconds of a rest are counted down by sounds; 0 for none.",
            lambda t, k: t.whole(k, low=0, high=10),
        ),
    )
    pedal: str = field(default="space", metadata=row("The key that is the pedal: it starts a run and ends it.", _pedal))
    end_pedal: str | None = field(
        default=None, metadata=row("A second key that only ends a run; left out, there is none.", _pedal)
    )
    key_releases: bool = field(
        default=True,
        metadata=row(
            "Whether a terminal that can is asked to tell when a key is let go: a held pedal needs no guessing then.",
            lambda t, k: t.truth(k),
        ),
    )
    ceiling_m: float | None = field(
        default=None,
        metadata=row(
            "How high the ceiling is above your hands, in metres; left out, no throw is said to pass it.",
            lambda t, k: t.number(k, low=0.1, high=100),
        ),
    )
    throws_per_s: float | None = field(
        default=None,
        metadata=row(
            "How many throws a second you want of one hand at most; left out, no rung of a climb is said to pass it.",
            lambda t, k: t.number(k, low=0.1, high=20),
        ),
    )
    hand_height_m: float = field(
        default=1.0,
        metadata=row(
            "How high your hands are above the floor when you bounce, in metres.",
            lambda t, k: t.number(k, low=0.2, high=3),
        ),
    )
    restitution: float = field(
        default=0.9,
        metadata=row(
            "How lively your bounce ball is: the share of its speed it keeps at the floor, above 0, up to 1.",
            lambda t, k: t.number(k, above=0, high=1),
        ),
    )
    stride_m: float = field(
        default=0.8,
        metadata=row(
            "How long your step is when you juggle on the run, in metres.",
            lambda t, k: t.number(k, low=0.1, high=3),
        ),
    )
    prop: str = field(
        default="balls",
        metadata=row("What you throw; bests are kept apart for each.", lambda t, k: t.text(k, longest=60)),
    )
    juggler: str | None = field(
        default=None,
        metadata=row(
            "The name attempts are logged under; left out, there is none.",
            lambda t, k: t.text(k, longest=100),
        ),
    )
    start_hand: StartHand = field(
        default="R", metadata=row("The hand that throws first: R or L.", lambda t, k: t.choice(k, ("R", "L")))
    )
    active_twos: bool = field(
        default=False,
        metadata=row("Whether a 2 is thrown and caught, rather than held.", lambda t, k: t.truth(k)),
    )
    theme: Theme = field(
        default="dark",
        metadata=row(
            "How the screens look: dark, light, or in the terminal's own colours.",
            lambda t, k: t.choice(k, ("dark", "light", "terminal")),
        ),
    )
    practice_shows: PracticeShows = field(
        default="count",
        metadata=row(
            "What is large while you practise: the count, or the objects in flight.",
            lambda t, k: t.choice(k, ("count", "flight")),
        ),
    )
    animate: bool = field(
        default=True, metadata=row("Whether the screen moves while you practise.", lambda t, k: t.truth(k))
    )
    tour: bool = field(
        default=True,
        metadata=row(
            "Whether the tour of four steps is shown at the next start; then it is over.", lambda t, k: t.truth(k)
        ),
    )
    keys: Mapping[str, str] = field(
        default_factory=lambda: MappingProxyType({}),
        metadata={
            "sentence": "Commands on keys of your own: the command's name, then the key.",
            "read": _key,
        },
    )


ROWS: Final = fields(Settings)
NAMES: Final = tuple(each.name for each in ROWS)
SENTENCES: Final[Mapping[str, str]] = MappingProxyType({each.name: each.metadata["sentence"] for each in ROWS})


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
    for each in ROWS:
        if each.name != "keys" and table.has(each.name):
            try:
                found[each.name] = each.metadata["read"](table, each.name)
            except DataError as error:
                notices.append(error)
    settings = Settings(**found)
    if settings.end_pedal == settings.pedal:
        notices.append(table.error("end_pedal", f'"{settings.pedal}" was the pedal already. Choose another key.'))
        settings = Settings(**(found | {"end_pedal": None}))
    return settings, (*notices, *table.unknown())


def _remapped(table: Table, notices: list[DataError]) -> dict[str, str]:
    """The table `keys`, entry by entry, so that one wrong key leaves the others."""
    found: dict[str, str] = {}
    try:
        keys = table.table("keys", default=None)
    except DataError as error:
        notices.append(error)
        return found
    if keys is None:
        return found
    for command in keys.names():
        try:
            found[command] = _key(keys, command)
        except DataError as error:
            notices.append(error)
    return found


def checked(path: Path, changes: Mapping[str, object]) -> dict[str, Any]:
    """`changes` as TOML values, each checked like one from a file; KeyError if there is no such setting."""
    plain = {name: _to_toml(value) for name, value in changes.items()}
    for name, value in plain.items():
        each = next((each for each in ROWS if each.name == name), None)
        if each is None:
            raise KeyError(name)
        if name == "keys":
            entries = {command: key for command, key in value.items() if key is not None}
            for command in entries:
                _key(Table(Source(path, ""), entries, ("keys",)), command)
        elif value is not None:
            each.metadata["read"](Table(Source(path, ""), {name: value}, ()), name)
    return plain


def _to_toml(value: object) -> Any:
    """A setting as TOML holds it: a fraction as a number if that is exact, else as a text such as "2/3"."""
    if isinstance(value, Fraction):
        number = float(value)
        return number if Fraction(repr(number)) == value else str(value)
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
