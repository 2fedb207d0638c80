"""Reads sound kits: TOML files that say, in numbers, how each event of a practice run sounds.

A kit has a name, a sentence for whom it is, a level, timbres (what is struck) and one table for each role: how
high, how long, how loud. A role sounds by a timbre, or plays the user's own recording, or is silent.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from trainer.audio.variants import VARIANTS, Variant
from trainer.audio.wav import Recording, read_wav
from trainer.errors import TrainerError
from trainer.files.toml import DataError, Table, read

ROLES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "right": "a throw of the right hand",
        "left": "a throw of the left hand",
        "zip": "a throw of value 1, handed straight across",
        "hold": "a held 2",
        "gap": "an empty hand",
        "catch": "an object arriving in a hand",
        "round": "the pattern coming round",
        "count-in": "a beat before the first throw",
        "flash": "the flash reached",
        "qualify": "the qualifying run reached",
        "best": "the own best passed",
        "drop": "a run that ended in a drop",
        "floor": "a bounced object touching the floor",
        "step": "a step of the feet",
        "entry": "the first throw of a pattern after its linking throws",
        "ended": "a run that ended cleanly",
        "target": "the target tempo reached",
        "block": "the next block of a plan",
        "countdown": "a second before a rest ends",
        "ready": "a rest that has ended",
        "up": "every object in the air and all hands empty",
        "down": "the first object back in a hand after that",
        "goal": "the catches aimed at reached, where they are neither flash nor qualify",
        "rung-up": "a step up of a climb",
        "rung-down": "a step down of a climb",
    }
)
"""Every role, and what is heard then. A kit has to speak of each but those in VARIANTS."""

DEFAULT_KIT: Final = "kitchen"

MIDDLE_VALUE: Final = 3  # pitch_hz is the pitch of this throw value
FULL_RISE_TO: Final = 9  # up to here each value rises by the whole step …
RISE_BEYOND: Final = 0.25  # … above it by this share of it, so that 35 is still no pain to hear
HIGHEST_VALUE: Final = 35
LONGEST_RECORDING_S: Final = 5
HIGHEST_NOISE_HZ: Final = 8000.0  # brighter noise at the ceiling swings too far between the samples
QUIETEST_DB: Final = -60.0
LOWEST_HZ, HIGHEST_HZ = 40.0, 6000.0  # what any throw value of any juggler may sound at


@dataclass(frozen=True, slots=True)
class Partial:
    """One sine of a timbre: its frequency as a ratio to the pitch, its level as a share (not dB)."""

    ratio: float
    level: float


@dataclass(frozen=True, slots=True)
class Timbre:
    """What is struck: sines, and a share (0 to 1) of noise within a band that dies away by itself."""

    partials: tuple[Partial, ...]
    attack_ms: float
    noise: float
    noise_low_hz: float
    noise_high_hz: float
    noise_decay_ms: float


@dataclass(frozen=True, slots=True)
class Note:
    """One strike of a little melody: when, and how many semitones from the role's pitch."""

    at_ms: float
    semitones: float


@dataclass(frozen=True, slots=True)
class Strike:
    """A role made from numbers: decay_ms is the time to fall by 60 dB, glide the semitones gone by then."""

    timbre: Timbre
    pitch_hz: float
    rise: float
    decay_ms: float
    glide: float
    level_db: float
    pan: float | None
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Playback:
    """A role that plays a recording of the user's own, faster by `rise` semitones for each throw value."""

    recording: Recording
    rise: float
    level_db: float
    pan: float | None


@dataclass(frozen=True, slots=True)
class Seat:
    """How one juggler of a passing pattern is told from the others.

    shift: semitones. place: added to the pan, -1 to 1. width: share of the kit's spread between the hands.
    ring: factor on every decay. bright: power of the ratio that the partials' levels are multiplied by.
    """

    shift: float = 0.0
    place: float = 0.0
    width: float = 1.0
    ring: float = 1.0
    bright: float = 0.0


SEATS: Final = (
    Seat(),
    Seat(shift=-3.5, place=-0.3, width=0.5, ring=0.6, bright=0.6),
    Seat(shift=3.5, place=0.3, width=0.5, ring=1.4, bright=-0.6),
    Seat(shift=-1.5, place=-0.6, width=0.4, ring=1.4, bright=0.6),
    Seat(shift=1.5, place=0.6, width=0.4, ring=0.6, bright=-0.6),
    Seat(shift=5.5, place=0.0, width=0.25, ring=0.8, bright=0.9),
)
"""The jugglers of a kit that names none, from juggler 0 (who alone is unchanged)."""


@dataclass(frozen=True, slots=True)
class Kit:
    """One kit: level_db is added to every role, spread (0 to 1) is how far off the middle the hands are heard.

    `sounds` has the roles that sound; a silent role is not in it. `numbers`: recordings of “one”, “two” …, which
    the count-in speaks, beat by beat, where the kit has them.
    """

    name: str
    audience: str
    level_db: float
    spread: float
    seats: tuple[Seat, ...]
    sounds: Mapping[str, Strike | Playback]
    path: Path
    numbers: tuple[Playback, ...] = ()

    def is_silent(self, role: str) -> bool:
        """Whether nothing is heard of a role; KeyError if there is no such role."""
        if role not in ROLES:
            raise KeyError(role)
        return role not in self.sounds

    def seat(self, juggler: int) -> Seat:
        """The place of a juggler, counted from 0; beyond the last they begin again."""
        return self.seats[juggler % len(self.seats)]


def value_to_semitones(value: int, rise: float) -> float:
    """How many semitones a throw value lies above the middle value; never falls as values grow."""
    steps = min(value, FULL_RISE_TO) + RISE_BEYOND * max(value - FULL_RISE_TO, 0)
    return rise * (steps - MIDDLE_VALUE)


def shifted_hz(pitch_hz: float, semitones: float) -> float:
    """A pitch moved by semitones of the equal temperament."""
    return float(pitch_hz * 2.0 ** (semitones / 12.0))


def load_kit(path: Path) -> Kit:
    """The kit in a TOML file; DataError (file, line, field) for the first thing wrong with it."""
    table = read(path)
    name = table.text("name", longest=40)
    if not all(letter.islower() or letter.isdigit() or letter == "-" for letter in name):
        raise table.error("name", "A kit's name was not in small letters, digits and hyphens. Rename it.")
    audience = table.text("for", longest=200)
    level_db = table.number("level_db", low=-60.0, high=0.0)
    spread = table.number("spread", low=0.0, high=1.0)
    seats = _read_seats(table)
    timbres = _read_timbres(table.table("timbres", default=None))
    roles = table.table("roles")
    sounds: dict[str, Strike | Playback] = {}
    for role in ROLES:
        variant = VARIANTS.get(role)
        if variant is not None and not roles.has(role):
            sound = _varied(sounds.get(variant.of), variant)
        else:
            sound = _read_role(roles.table(role), timbres, seats)
        if sound is not None:
            sounds[role] = sound
    numbers = tuple(_read_playback(row) for row in table.tables("numbers", default=()))
    table.refuse_unknown()
    return Kit(name, audience, level_db, spread, seats, MappingProxyType(sounds), path, numbers)


def list_kits(folders: Iterable[Path]) -> tuple[tuple[Kit, ...], tuple[DataError, ...]]:
    """The kits of some folders, sorted by name, and what was wrong with the other files.

    An earlier folder's kit hides a later one's of the same name. A folder that is not there has no kits.
    """
    kits: dict[str, Kit] = {}
    errors: list[DataError] = []
    for folder in folders:
        here: dict[str, Path] = {}
        for path in sorted(folder.glob("*.toml")):
            try:
                kit = load_kit(path)
            except DataError as error:
                errors.append(error)
                continue
            if kit.name in here:
                message = f"{here[kit.name].name} had the same name. Rename one of them."
                errors.append(DataError(path, None, "name", message))
                continue
            here[kit.name] = path
            kits.setdefault(kit.name, kit)
    return tuple(kits[name] for name in sorted(kits)), tuple(errors)


def find_kit(name: str, folders: Iterable[Path]) -> Kit:
    """The kit of a name; its DataError if its file is bad, a TrainerError with the names there are if none is."""
    folders = tuple(folders)
    for folder in folders:
        kits, errors = list_kits([folder])
        for kit in kits:
            if kit.name == name:
                return kit
        for error in errors:  # a bad own file is not passed over for a bundled kit
            if error.path.stem == name:
                raise error
    there = ", ".join(kit.name for kit in list_kits(folders)[0]) or "none"
    raise TrainerError(f'There was no kit "{name}". Choose one of: {there}.')


def _read_seats(table: Table) -> tuple[Seat, ...]:
    seats = tuple(
        Seat(
            shift=row.number("shift", low=-24.0, high=24.0, default=0.0),
            place=row.number("place", low=-1.0, high=1.0, default=0.0),
            width=row.number("width", low=0.0, high=1.0, default=1.0),
            ring=row.number("ring", low=0.2, high=3.0, default=1.0),
            bright=row.number("bright", low=-3.0, high=3.0, default=0.0),
        )
        for row in table.tables("jugglers", default=())
    )
    return seats + SEATS[len(seats) :]


def _read_timbres(table: Table | None) -> dict[str, Timbre]:
    return {name: _read_timbre(table.table(name)) for name in table.names()} if table is not None else {}


def _read_timbre(table: Table) -> Timbre:
    partials = tuple(
        Partial(row.number("ratio", low=0.25, high=32.0), row.number("level", above=0.0, high=1.0))
        for row in table.tables("partials")
    )
    if not 1 <= len(partials) <= 24:
        raise table.error("partials", f"There were {len(partials)} partials. Give 1 to 24.")
    low_hz = table.number("noise_low_hz", low=20.0, high=HIGHEST_NOISE_HZ / 1.2, default=500.0)
    return Timbre(
        partials,
        attack_ms=table.number("attack_ms", low=0.5, high=20.0, default=1.0),
        noise=table.number("noise", low=0.0, high=1.0, default=0.0),
        noise_low_hz=low_hz,
        noise_high_hz=table.number("noise_high_hz", low=low_hz * 1.1, high=HIGHEST_NOISE_HZ, default=HIGHEST_NOISE_HZ),
        noise_decay_ms=table.number("noise_decay_ms", low=5.0, high=2000.0, default=40.0),
    )


def _read_role(table: Table, timbres: Mapping[str, Timbre], seats: tuple[Seat, ...]) -> Strike | Playback | None:
    if table.truth("silent", default=False):
        for key in table.names():
            table.has(key)  # what it sounded like before it was silenced may stay in the file
        return None
    sound = _read_playback(table) if table.has("file") else _read_strike(table, timbres)
    pitches = [
        shifted_hz(sound.pitch_hz, value_to_semitones(value, sound.rise) + seat.shift + note.semitones)
        for value in (0, MIDDLE_VALUE, HIGHEST_VALUE)
        for seat in seats
        for note in sound.notes
    ] if isinstance(sound, Strike) else []  # fmt: skip
    if pitches and not LOWEST_HZ <= min(pitches) <= max(pitches) <= HIGHEST_HZ:
        raise table.error(
            "pitch_hz",
            f"Over all throw values and jugglers it sounded from {min(pitches):.0f} to {max(pitches):.0f} Hz."
            f" Keep it within {LOWEST_HZ:.0f} and {HIGHEST_HZ:.0f} Hz by pitch_hz, rise and notes.",
        )
    return sound


def _varied(sound: Strike | Playback | None, variant: Variant) -> Strike | Playback | None:
    """The sound of a role that was left out; where moving it would pass the bounds of pitch, it stays where it is."""
    if sound is None:
        return None
    level_db = max(sound.level_db + variant.level_db, QUIETEST_DB)
    if isinstance(sound, Playback):
        return replace(sound, level_db=level_db)
    moved = [shifted_hz(sound.pitch_hz, variant.semitones + semitones) for _, semitones in variant.notes]
    fits = LOWEST_HZ <= min(moved) <= max(moved) <= HIGHEST_HZ
    if not fits:
        return replace(sound, level_db=level_db)
    notes = tuple(Note(at_ms, semitones) for at_ms, semitones in variant.notes)
    return replace(sound, pitch_hz=shifted_hz(sound.pitch_hz, variant.semitones), level_db=level_db, notes=notes)


def _read_strike(table: Table, timbres: Mapping[str, Timbre]) -> Strike:
    timbre = timbres[table.choice("timbre", tuple(timbres))]
    notes = tuple(
        Note(row.number("at_ms", low=0.0, high=3000.0), row.number("semitones", low=-36.0, high=36.0))
        for row in table.tables("notes", default=())
    )
    if notes and min(note.at_ms for note in notes) > 0.0:  # a sound begins on its beat
        raise table.error("notes", "No note was at 0 ms. Begin with one.")
    return Strike(
        timbre,
        pitch_hz=table.number("pitch_hz", low=LOWEST_HZ, high=HIGHEST_HZ),
        rise=table.number("rise", low=0.0, high=4.0, default=0.0),
        decay_ms=table.number("decay_ms", low=10.0, high=3000.0),
        glide=table.number("glide", low=-24.0, high=24.0, default=0.0),
        level_db=table.number("level_db", low=-60.0, high=0.0),
        pan=table.number("pan", low=-1.0, high=1.0, default=None),
        notes=tuple(sorted(notes, key=lambda note: note.at_ms)) or (Note(0.0, 0.0),),
    )


def _read_playback(table: Table) -> Playback:
    path = table.path.parent / table.text("file", longest=1000)
    try:
        recording = read_wav(path, longest_s=LONGEST_RECORDING_S)
    except TrainerError as error:
        raise table.error("file", str(error)) from None
    return Playback(
        recording,
        rise=table.number("rise", low=0.0, high=4.0, default=0.0),
        level_db=table.number("level_db", low=-60.0, high=0.0),
        pan=table.number("pan", low=-1.0, high=1.0, default=None),
    )
