"""Reads sound kits from TOML files; the head of sounds/kitchen.toml says what every field means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from trainer.audio.kit import (
    HIGHEST_HZ,
    HIGHEST_VALUE,
    LOWEST_HZ,
    MIDDLE_VALUE,
    ROLES,
    SEATS,
    Kit,
    Note,
    Partial,
    Playback,
    Seat,
    Sound,
    Strike,
    Timbre,
    shifted_hz,
    value_to_semitones,
)
from trainer.audio.wav import Recording, read_wav
from trainer.errors import TrainerError
from trainer.files import texts
from trainer.files.toml import DataError, Table, read

LONGEST_RECORDING_S: Final = 5
MOST_BYTES: Final = 200_000_000
"""Of the samples of all recordings of a kit together, as they are held."""

MOST_NUMBERS: Final = 200
"""As many as a plan may have blocks, whose numbers are spoken."""

HIGHEST_NOISE_HZ: Final = 8000.0  # at full level, brighter noise swings beyond the ceiling between the samples
QUIETEST_DB: Final = -60.0


@dataclass(frozen=True, slots=True)
class Variant:
    """How a role that was left out is made from another.

    of: the other role. semitones, level_db: added to the other's pitch and level. notes: its strikes, the first at 0.
    A recording is moved in level only.
    """

    of: str
    semitones: float
    level_db: float
    notes: tuple[Note, ...]


VARIANTS: Final[Mapping[str, Variant]] = MappingProxyType(
    {
        "block": Variant("target", -5.0, 0.0, (Note(0.0, 0.0), Note(220.0, 0.0), Note(440.0, 7.0))),
        "countdown": Variant("count-in", -8.0, -2.0, (Note(0.0, 0.0),)),
        "ready": Variant("count-in", 5.0, 0.0, (Note(0.0, 0.0), Note(90.0, 5.0))),
        "up": Variant("entry", 0.0, 0.0, (Note(0.0, 0.0), Note(70.0, 7.0))),
        "down": Variant("entry", 0.0, 0.0, (Note(0.0, 7.0), Note(70.0, 0.0))),
        "goal": Variant("qualify", 3.0, 0.0, (Note(0.0, 0.0), Note(110.0, 0.0), Note(220.0, 4.0))),
        "rung-up": Variant("ended", 2.0, 0.0, (Note(0.0, 0.0), Note(150.0, 4.0), Note(300.0, 7.0))),
        "rung-down": Variant("ended", 2.0, 0.0, (Note(0.0, 0.0), Note(150.0, -4.0), Note(300.0, -7.0))),
    }
)
"""Roles that a kit may leave out: each then sounds like another role, at another pitch and in a rhythm of its own.

So a kit that does not know a role is still complete, and the role can be told from all others.
"""


def load_kit(path: Path) -> Kit:
    """The kit in a TOML file; raises DataError (file, line, field) for the first thing wrong with it."""
    table = read(path)
    name = table.text("name", texts.KIT)
    if not all(letter.islower() or letter.isdigit() or letter == "-" for letter in name):
        raise table.error("name", "A kit's name was not in small letters, digits and hyphens. Rename it.")
    audience = table.text("for", texts.AUDIENCE)
    level_db = table.number("level_db", low=QUIETEST_DB, high=0.0)
    spread = table.number("spread", low=0.0, high=1.0)
    seats = _read_seats(table)
    struck = table.table("timbres", default=None)
    timbres = {name: _read_timbre(struck.table(name)) for name in struck.names()} if struck is not None else {}
    roles = table.table("roles")
    sounds: dict[str, Sound] = {}
    recordings: dict[Path, Recording] = {}
    for role in ROLES:
        variant = VARIANTS.get(role)
        if variant is not None and not roles.has(role):
            sound = _varied(sounds.get(variant.of), variant)
        else:
            sound = _read_role(roles.table(role), timbres, seats, recordings)
        if sound is not None:
            sounds[role] = sound
    rows = table.tables("numbers", default=())
    if len(rows) > MOST_NUMBERS:
        raise table.error("numbers", f"There were {len(rows)} numbers. Give at most {MOST_NUMBERS}.")
    numbers = tuple(_read_playback(row, recordings) for row in rows)
    table.refuse_unknown()
    return Kit(name, audience, level_db, spread, seats, MappingProxyType(sounds), path, numbers)


def list_kits(folders: Iterable[Path]) -> tuple[tuple[Kit, ...], tuple[DataError, ...]]:
    """The kits of some folders, sorted by name, and one error for each file that is no good.

    Of two kits with one name, the one in the earlier folder is given. A folder that does not exist has no kits.
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
    """The kit of a name; raises DataError if its file is bad, TrainerError, naming all kits, if there is none."""
    folders = tuple(folders)
    for folder in folders:
        kits, errors = list_kits([folder])
        for kit in kits:
            if kit.name == name:
                return kit
        for error in errors:  # a bundled kit does not stand in for a bad file of the user's own
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


def _read_role(
    table: Table, timbres: Mapping[str, Timbre], seats: tuple[Seat, ...], recordings: dict[Path, Recording]
) -> Sound | None:
    if table.truth("silent", default=False):
        for key in table.names():
            table.has(key)  # a silenced role may keep its other fields, so that it can sound again
        return None
    return _read_playback(table, recordings) if table.has("file") else _read_strike(table, timbres, seats)


def _read_strike(table: Table, timbres: Mapping[str, Timbre], seats: tuple[Seat, ...]) -> Strike:
    timbre = timbres[table.choice("timbre", tuple(timbres))]
    notes = tuple(
        Note(row.number("at_ms", low=0.0, high=3000.0), row.number("semitones", low=-36.0, high=36.0))
        for row in table.tables("notes", default=())
    )
    if notes and min(note.at_ms for note in notes) > 0.0:  # a sound begins on its beat
        raise table.error("notes", "No note was at 0 ms. Begin with one.")
    strike = Strike(
        timbre,
        pitch_hz=table.number("pitch_hz", low=LOWEST_HZ, high=HIGHEST_HZ),
        rise=table.number("rise", low=0.0, high=4.0, default=0.0),
        decay_ms=table.number("decay_ms", low=10.0, high=3000.0),
        glide=table.number("glide", low=-24.0, high=24.0, default=0.0),
        level_db=table.number("level_db", low=QUIETEST_DB, high=0.0),
        pan=table.number("pan", low=-1.0, high=1.0, default=None),
        notes=tuple(sorted(notes, key=lambda note: note.at_ms)) or (Note(0.0, 0.0),),
    )
    pitches = [
        shifted_hz(strike.pitch_hz, value_to_semitones(value, strike.rise) + seat.shift + note.semitones)
        for value in (0, MIDDLE_VALUE, HIGHEST_VALUE)
        for seat in seats
        for note in strike.notes
    ]
    if not _are_audible(pitches):
        raise table.error(
            "pitch_hz",
            f"Over all throw values and jugglers it sounded from {min(pitches):.0f} to {max(pitches):.0f} Hz."
            f" Keep it within {LOWEST_HZ:.0f} and {HIGHEST_HZ:.0f} Hz by pitch_hz, rise and notes.",
        )
    return strike


def _read_playback(table: Table, recordings: dict[Path, Recording]) -> Playback:
    """recordings: those read so far, each once."""
    path = table.path.parent / table.text("file", texts.FILE_NAME)
    try:
        if path not in recordings:
            recordings[path] = read_wav(path, longest_s=LONGEST_RECORDING_S)
    except TrainerError as error:
        raise table.error("file", str(error)) from None
    if sum(each.samples.nbytes for each in recordings.values()) > MOST_BYTES:
        raise table.error("file", f"The recordings came to more than {MOST_BYTES // 1_000_000} MB. Shorten them.")
    return Playback(
        recordings[path],
        rise=table.number("rise", low=0.0, high=4.0, default=0.0),
        level_db=table.number("level_db", low=QUIETEST_DB, high=0.0),
        pan=table.number("pan", low=-1.0, high=1.0, default=None),
    )


def _varied(sound: Sound | None, variant: Variant) -> Sound | None:
    """The sound of a role that was left out; where moving it would pass the bounds of pitch, it keeps its pitch."""
    if sound is None:
        return None
    quieter = replace(sound, level_db=max(sound.level_db + variant.level_db, QUIETEST_DB))
    if isinstance(quieter, Playback):
        return quieter
    pitch_hz = shifted_hz(quieter.pitch_hz, variant.semitones)
    if not _are_audible([shifted_hz(quieter.pitch_hz, variant.semitones + note.semitones) for note in variant.notes]):
        return quieter
    return replace(quieter, pitch_hz=pitch_hz, notes=variant.notes)


def _are_audible(pitches_hz: Sequence[float]) -> bool:
    return LOWEST_HZ <= min(pitches_hz) <= max(pitches_hz) <= HIGHEST_HZ
