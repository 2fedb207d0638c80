"""A sound kit: how each event of a practice run sounds, in numbers.

A kit has a name, a sentence for whom it is, a level, and a sound for each role. A role strikes a timbre, plays a
recording of the user's own, or is silent. kitfiles.py reads kits from files, synth.py turns them into samples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

from trainer.audio.wav import Recording

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
"""Each role, and the event at which it sounds. A kit may leave out only those in VARIANTS (kitfiles.py)."""

DEFAULT_KIT: Final = "kitchen"

MIDDLE_VALUE: Final = 3  # pitch_hz is the pitch of this throw value
FULL_RISE_TO: Final = 9  # up to this value the pitch rises by the whole step for each value
RISE_BEYOND: Final = 0.25  # above it, by this share of the step, so that the pitch of a 35 does not hurt
HIGHEST_VALUE: Final = 35
LOWEST_HZ, HIGHEST_HZ = 40.0, 6000.0  # bounds of the pitch, for every throw value and every juggler


@dataclass(frozen=True, slots=True)
class Partial:
    """One sine of a timbre: its frequency as a ratio to the pitch, its level as a share, not in dB."""

    ratio: float
    level: float


@dataclass(frozen=True, slots=True)
class Timbre:
    """What is struck: sines, and a share (0 to 1) of noise within a band, with a decay of its own."""

    partials: tuple[Partial, ...]
    attack_ms: float
    noise: float
    noise_low_hz: float
    noise_high_hz: float
    noise_decay_ms: float


@dataclass(frozen=True, slots=True)
class Note:
    """One strike of a short melody: when it begins, and how many semitones it lies from the role's pitch."""

    at_ms: float
    semitones: float


@dataclass(frozen=True, slots=True)
class Strike:
    """A sound made from numbers.

    rise: semitones for each throw value. decay_ms: time to fall by 60 dB. glide: semitones the pitch moves meanwhile.
    pan: -1 left to 1 right; None: on the side of the hand.
    """

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
    """A sound that plays a recording of the user's own, faster by `rise` semitones for each throw value."""

    recording: Recording
    rise: float
    level_db: float
    pan: float | None


Sound = Strike | Playback


@dataclass(frozen=True, slots=True)
class Seat:
    """How the sounds of one juggler of a passing pattern differ from those of the others.

    shift: semitones added to the pitch. place: added to the pan, -1 to 1. width: factor on the kit's spread between the
    hands. ring: factor on every decay. bright: each partial's level is multiplied by its ratio to this power.
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
"""The seats of a kit that names none, from juggler 0 on; juggler 0 sounds as the kit has it."""


@dataclass(frozen=True, slots=True)
class Kit:
    """One kit.

    level_db: added to every sound. spread: how far from the middle the hands are heard, 0 to 1. sounds: one for each
    role that is not silent. numbers: recordings of “one”, “two” …, which the count-in speaks instead of a click.
    """

    name: str
    audience: str
    level_db: float
    spread: float
    seats: tuple[Seat, ...]
    sounds: Mapping[str, Sound]
    path: Path
    numbers: tuple[Playback, ...] = ()

    def is_silent(self, role: str) -> bool:
        """Whether nothing is heard of a role; KeyError if there is no such role."""
        if role not in ROLES:
            raise KeyError(role)
        return role not in self.sounds

    def seat(self, juggler: int) -> Seat:
        """The seat of a juggler, counted from 0; after the last seat the first is given again."""
        return self.seats[juggler % len(self.seats)]


def value_to_semitones(value: int, rise: float) -> float:
    """The semitones from the middle value's pitch to that of a throw value; a higher value never has fewer."""
    steps = min(value, FULL_RISE_TO) + RISE_BEYOND * max(value - FULL_RISE_TO, 0)
    return rise * (steps - MIDDLE_VALUE)


def shifted_hz(pitch_hz: float, semitones: float) -> float:
    """A pitch moved by semitones of the equal temperament."""
    return float(pitch_hz * 2.0 ** (semitones / 12.0))
