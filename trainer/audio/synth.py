"""Turns a kit's numbers into the samples of each sound: pure arithmetic, the same samples for the same voice.

A sound's first frame is not zero, so that the sound begins on its beat to the frame; its last frame is exactly zero.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from trainer.audio.arrays import np
from trainer.audio.kit import (
    HIGHEST_VALUE,
    ROLES,
    Kit,
    Playback,
    Seat,
    Sound,
    Strike,
    Timbre,
    shifted_hz,
    value_to_semitones,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

Samples: TypeAlias = "NDArray[np.float32]"
"""Samples that are still to be added up: float32, shape (frames, 2)."""

FALL_60_DB: Final = math.log(1000.0)
FADE_MS: Final = 6.0  # the end of every sound
RECORDING_ATTACK_MS: Final = 1.0
RECORDING_FLOOR: Final = 0.01  # of the peak, -40 dB: a recording begins where it first reaches this
START_GAIN: Final = 0.01  # of the first frame: no step to hear, and not lost in the rounding to 16 bits
HIGHEST_PARTIAL_HZ: Final = 16_000.0
SINC_ZEROS: Final = 16  # zero crossings on each side of the resampling kernel


@dataclass(frozen=True, slots=True)
class Voice:
    """Which sound: a role of the kit, the throw value, the hand ("R", "L" or None) and the juggler, from 0.

    For the role count-in, the value is the number that is spoken where the kit has it.
    """

    role: str
    value: int = 0
    hand: str | None = None
    juggler: int = 0


class Bank:
    """Every sound of a kit at one rate: `bank[voice]` is float32 (frames, 2), read-only, made once and kept.

    longest_frames: no sound of the kit is longer. A silent role has 0 frames. Raises KeyError for a role that does not
    exist, ValueError for a value outside 0 to 35.
    """

    def __init__(self, kit: Kit, rate_hz: int) -> None:
        self.kit, self.rate_hz = kit, rate_hz
        self._made: dict[Voice, Samples] = {}
        sounds = (*kit.sounds.values(), *kit.numbers)
        lengths = (sound_frames(sound, seat, rate_hz) for sound in sounds for seat in kit.seats)
        self.longest_frames = max(lengths, default=0)

    def __getitem__(self, voice: Voice) -> Samples:
        made = self._made.get(voice)
        if made is None:
            made = voice_to_samples(voice, self.kit, self.rate_hz)
            made.flags.writeable = False
            self._made[voice] = made
        return made

    def prepare(self, voices: Iterable[Voice]) -> None:
        """Make sounds ahead of time, so that a live stream only has to add them up."""
        for voice in voices:
            self[voice]


def voice_to_samples(voice: Voice, kit: Kit, rate_hz: int) -> Samples:
    """One sound at the kit's level: float32 (frames, 2); errors as in Bank."""
    if voice.role not in ROLES:
        raise KeyError(voice.role)
    if not 0 <= voice.value <= HIGHEST_VALUE:
        raise ValueError(f"A throw value was {voice.value}, not 0 to {HIGHEST_VALUE}.")
    sound = kit.sounds.get(voice.role)
    if voice.role == "count-in" and 0 < voice.value <= len(kit.numbers):
        sound = kit.numbers[voice.value - 1]  # beats beyond the last number sound as the role itself
    if sound is None:
        return np.zeros((0, 2), np.float32)
    seat = kit.seat(voice.juggler)
    semitones = value_to_semitones(voice.value, sound.rise)
    if isinstance(sound, Strike):
        # The role alone seeds the noise, so that throw values of one pitch have one noise too. crc32, unlike hash(), is
        # the same in every process.
        noise = np.random.Generator(np.random.PCG64(zlib.crc32(voice.role.encode())))
        mono = _melody(sound, shifted_hz(sound.pitch_hz, semitones + seat.shift), seat, rate_hz, noise)
        sides = mono[:, np.newaxis]
    else:
        sides = _played(sound, 0.0 if voice.role == "count-in" else semitones, rate_hz)
    gain = 10.0 ** ((kit.level_db + sound.level_db) / 20.0)
    return np.ascontiguousarray(gain * sides * pan_gains(_pan(voice, kit, sound, seat)), dtype=np.float32)


def pan_gains(pan: float) -> NDArray[np.float64]:
    """The gains (left, right) of a pan from -1 (left) to 1 (right): equal power, 0.707 each in the middle."""
    angle = (min(max(pan, -1.0), 1.0) + 1.0) * math.pi / 4.0
    return np.array([math.cos(angle), math.sin(angle)])


def sound_frames(sound: Sound, seat: Seat, rate_hz: int) -> int:
    """How many frames a sound lasts in a juggler's seat; of a recording, how many at most."""
    if isinstance(sound, Strike):
        return _frames(sound.notes[-1].at_ms, rate_hz) + _strike_frames(sound, seat, rate_hz)
    slowest = shifted_hz(1.0, value_to_semitones(0, sound.rise))
    return math.ceil(len(sound.recording.samples) * rate_hz / sound.recording.rate_hz / slowest) + 1


def _frames(length_ms: float, rate_hz: int) -> int:
    return max(round(length_ms * rate_hz / 1000.0), 0)


def _strike_frames(sound: Strike, seat: Seat, rate_hz: int) -> int:
    return _frames(sound.timbre.attack_ms + sound.decay_ms * seat.ring, rate_hz)


def _pan(voice: Voice, kit: Kit, sound: Sound, seat: Seat) -> float:
    """The pan of a voice: the role's own, or the side of its hand, moved to the juggler's seat."""
    if sound.pan is not None:
        return sound.pan + seat.place
    hand = voice.hand or {"right": "R", "left": "L"}.get(voice.role)
    side = {"R": 1.0, "L": -1.0, None: 0.0}[hand]
    return side * kit.spread * seat.width + seat.place


def _melody(
    sound: Strike, pitch_hz: float, seat: Seat, rate_hz: int, noise: np.random.Generator
) -> NDArray[np.float64]:
    """The strikes of a role's notes, added up: float64 (frames,) within ±1."""
    out = np.zeros(sound_frames(sound, seat, rate_hz))
    for note in sound.notes:
        at = _frames(note.at_ms, rate_hz)
        struck = _strike(sound, shifted_hz(pitch_hz, note.semitones), seat, rate_hz, noise)
        out[at : at + len(struck)] += struck
    return out / max(1.0, float(np.abs(out).max()))


def _strike(
    sound: Strike, pitch_hz: float, seat: Seat, rate_hz: int, noise: np.random.Generator
) -> NDArray[np.float64]:
    """One strike: float64 (frames,), cosines that add up to 1 at the start and die away, and noise."""
    frames = _strike_frames(sound, seat, rate_hz)
    time_s = np.arange(frames) / rate_hz
    decay_s = sound.decay_ms * seat.ring / 1000.0
    bend = sound.glide / 12.0 * math.log(2.0) / decay_s
    gone_s = np.expm1(bend * time_s) / bend if bend else time_s  # the integral of the pitch, as a ratio to its start
    highest = shifted_hz(pitch_hz, max(sound.glide, 0.0))
    limit_hz = min(HIGHEST_PARTIAL_HZ, 0.45 * rate_hz)  # a higher partial would come out at another frequency
    tone, total = np.zeros(frames), 0.0
    for partial in sound.timbre.partials:
        if partial.ratio * highest > limit_hz:
            continue
        level = partial.level * partial.ratio**seat.bright
        # Higher partials die away sooner, as in everything that is struck.
        fall = np.exp(-FALL_60_DB * max(partial.ratio, 1.0) ** 0.5 * time_s / decay_s)
        tone += level * fall * np.cos(2.0 * math.pi * partial.ratio * pitch_hz * gone_s)
        total += level
    tone /= total or 1.0
    hiss = _hiss(sound.timbre, frames, rate_hz, noise)
    mixed = (1.0 - sound.timbre.noise) * tone + sound.timbre.noise * hiss
    return mixed * _shape(frames, _frames(sound.timbre.attack_ms, rate_hz), _frames(FADE_MS, rate_hz))


def _hiss(timbre: Timbre, frames: int, rate_hz: int, noise: np.random.Generator) -> NDArray[np.float64]:
    """Noise within the timbre's band: float64 (frames,), dying away from its crest, 1, at the first frame."""
    if timbre.noise == 0.0:
        return np.zeros(frames)
    spectrum = np.fft.rfft(noise.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1.0 / rate_hz)
    # Edges that slope over an eighth of an octave ring less than straight ones.
    octaves = np.log2(np.maximum(hz, 1.0))
    low, high = math.log2(timbre.noise_low_hz), math.log2(timbre.noise_high_hz)
    spectrum *= np.clip((octaves - low) * 8.0 + 1.0, 0.0, 1.0)
    spectrum *= np.clip((high - octaves) * 8.0 + 1.0, 0.0, 1.0)
    hiss = np.fft.irfft(spectrum, frames)
    crest = int(np.abs(hiss).argmax())
    fall = np.exp(-FALL_60_DB * np.arange(frames) / rate_hz / (timbre.noise_decay_ms / 1000.0))
    return np.asarray(np.roll(hiss, -crest) / (hiss[crest] or 1.0) * fall)


def _shape(frames: int, attack: int, fade: int) -> NDArray[np.float64]:
    """Gains that rise as a raised cosine from START_GAIN at the first frame and fall as one to 0 at the last."""
    gains = np.ones(frames)
    attack, fade = min(attack, frames // 2), min(fade, frames // 2)
    rise = 0.5 - 0.5 * np.cos(math.pi * np.arange(attack) / max(attack, 1))
    gains[:attack] *= START_GAIN + (1.0 - START_GAIN) * rise
    gains[frames - fade :] *= 0.5 + 0.5 * np.cos(math.pi * np.arange(1, fade + 1) / fade)
    return gains


def _played(sound: Playback, semitones: float, rate_hz: int) -> NDArray[np.float64]:
    """A recording from where it begins to sound, with peak 1 and shaped ends: float64 (frames, 2)."""
    step = sound.recording.rate_hz / rate_hz * shifted_hz(1.0, semitones)
    out = _resampled(sound.recording.samples.astype(np.float64), step)
    size = np.abs(out).max(axis=1)
    out = out[int(np.argmax(size >= RECORDING_FLOOR * size.max())) :]
    gains = _shape(len(out), _frames(RECORDING_ATTACK_MS, rate_hz), _frames(FADE_MS, rate_hz))
    return np.asarray(out * gains[:, np.newaxis] / size.max())


def _resampled(samples: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Samples (frames, 2), read every `step` frames through a sinc in a Hann window, cut off at the lower rate."""
    if step == 1.0:
        return samples
    cutoff = min(1.0, 1.0 / step)
    reach = math.ceil(SINC_ZEROS / cutoff)
    padded = np.pad(samples, ((reach, reach + 1), (0, 0)))
    at = np.arange(0.0, len(samples), step)
    first = np.floor(at).astype(np.intp)
    out = np.zeros((len(at), 2))
    for tap in range(-reach + 1, reach + 1):
        distance = tap - (at - first)
        window = 0.5 + 0.5 * np.cos(np.pi * np.clip(distance / reach, -1.0, 1.0))
        out += (cutoff * np.sinc(cutoff * distance) * window)[:, np.newaxis] * padded[first + tap + reach]
    return out
