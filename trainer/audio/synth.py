"""Turns a kit's numbers into the samples of each sound: pure arithmetic, the same samples for the same voice.

A sound's first frame is already not zero, so that it sits on its beat to the frame; its last is exactly zero.
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
    Strike,
    Timbre,
    shifted_hz,
    value_to_semitones,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

Samples: TypeAlias = "NDArray[np.float32]"

FALL_60_DB: Final = math.log(1000.0)
FADE_MS: Final = 6.0  # the end of every sound
RECORDING_ATTACK_MS: Final = 1.0
RECORDING_FLOOR: Final = 0.01  # -40 dB of the peak: a recording begins where it first passes this
START_GAIN: Final = 0.01  # of the first frame: no step to hear, yet not lost in the rounding to 16 bits
HIGHEST_PARTIAL_HZ: Final = 16_000.0
SINC_ZEROS: Final = 16  # zero crossings on each side of the resampling kernel


@dataclass(frozen=True, slots=True)
class Voice:
    """The key of one sound: a role of the kit, the throw value, the hand ("R", "L", None), the juggler from 0."""

    role: str
    value: int = 0
    hand: str | None = None
    juggler: int = 0


class Bank:
    """Every sound of a kit at one rate: `bank[voice]` is float32 (frames, 2), read-only, made once and kept.

    A silent role has 0 frames. KeyError for a role there is not, ValueError for a value outside 0 to 35.
    """

    def __init__(self, kit: Kit, rate_hz: int) -> None:
        self.kit, self.rate_hz = kit, rate_hz
        self._made: dict[Voice, Samples] = {}
        sounds = (*kit.sounds.values(), *kit.numbers)
        lengths = (sound_frames(sound, seat, rate_hz) for sound in sounds for seat in kit.seats)
        self.longest_frames = max(lengths, default=0)
        """No sound is longer, made yet or not: how far before a block to look for what still sounds."""

    def __getitem__(self, voice: Voice) -> Samples:
        made = self._made.get(voice)
        if made is None:
            made = voice_to_samples(voice, self.kit, self.rate_hz)
            made.flags.writeable = False
            self._made[voice] = made
        return made

    def prepare(self, voices: Iterable[Voice]) -> None:
        """Make sounds ahead of time, so that a live stream only adds."""
        for voice in voices:
            self[voice]


def voice_to_samples(voice: Voice, kit: Kit, rate_hz: int) -> Samples:
    """One sound as float32 (frames, 2) at the kit's level; errors as in Bank."""
    if voice.role not in ROLES:
        raise KeyError(voice.role)
    if not 0 <= voice.value <= HIGHEST_VALUE:
        raise ValueError(f"A throw value was {voice.value}, not 0 to {HIGHEST_VALUE}.")
    sound = kit.sounds.get(voice.role)
    if voice.role == "count-in" and 0 < voice.value <= len(kit.numbers):
        sound = kit.numbers[voice.value - 1]  # a spoken number; beyond the last one the beat is struck
    if sound is None:
        return np.zeros((0, 2), np.float32)
    seat = kit.seat(voice.juggler)
    semitones = value_to_semitones(voice.value, sound.rise) + seat.shift
    if isinstance(sound, Strike):
        # by the role alone: where values make no difference to the pitch, they make none to the noise either;
        # crc32, unlike hash(), is the same in every process
        noise = np.random.Generator(np.random.PCG64(zlib.crc32(voice.role.encode())))
        mono = _melody(sound, shifted_hz(sound.pitch_hz, semitones), seat, rate_hz, noise)
        sides = mono[:, np.newaxis]
    else:
        rise = 0.0 if voice.role == "count-in" else semitones - seat.shift
        sides = _played(sound, rise, rate_hz)
    gain = 10.0 ** ((kit.level_db + sound.level_db) / 20.0)
    return np.ascontiguousarray(gain * sides * pan_gains(_pan(voice, kit, sound, seat)), dtype=np.float32)


def pan_gains(pan: float) -> NDArray[np.float64]:
    """The gains (left, right) of a place from -1 (left) to 1 (right): equal power, 0.707 in the middle."""
    angle = (min(max(pan, -1.0), 1.0) + 1.0) * math.pi / 4.0
    return np.array([math.cos(angle), math.sin(angle)])


def sound_frames(sound: Strike | Playback, seat: Seat, rate_hz: int) -> int:
    """How many frames a sound lasts for a juggler (a recording: at most)."""
    if isinstance(sound, Strike):
        return _frames(sound.notes[-1].at_ms, rate_hz) + _strike_frames(sound, seat, rate_hz)
    slowest = shifted_hz(1.0, value_to_semitones(0, sound.rise))
    return math.ceil(len(sound.recording.samples) * rate_hz / sound.recording.rate_hz / slowest) + 1


def _frames(length_ms: float, rate_hz: int) -> int:
    return max(round(length_ms * rate_hz / 1000.0), 0)


def _strike_frames(sound: Strike, seat: Seat, rate_hz: int) -> int:
    return _frames(sound.timbre.attack_ms + sound.decay_ms * seat.ring, rate_hz)


def _pan(voice: Voice, kit: Kit, sound: Strike | Playback, seat: Seat) -> float:
    """A pan of the role's own, or the side of the hand that is heard."""
    if sound.pan is not None:
        return sound.pan + seat.place
    hand = voice.hand or {"right": "R", "left": "L"}.get(voice.role)
    side = {"R": 1.0, "L": -1.0, None: 0.0}[hand]
    return side * kit.spread * seat.width + seat.place


def _melody(
    sound: Strike, pitch_hz: float, seat: Seat, rate_hz: int, noise: np.random.Generator
) -> NDArray[np.float64]:
    """The strikes of a role's notes, added up: float64 (frames,) within ±1, its end faded to zero."""
    out = np.zeros(sound_frames(sound, seat, rate_hz))
    for note in sound.notes:
        at = _frames(note.at_ms, rate_hz)
        struck = _strike(sound, shifted_hz(pitch_hz, note.semitones), seat, rate_hz, noise)
        out[at : at + len(struck)] += struck
    return out / max(1.0, float(np.abs(out).max()))


def _strike(
    sound: Strike, pitch_hz: float, seat: Seat, rate_hz: int, noise: np.random.Generator
) -> NDArray[np.float64]:
    """One strike: cosines that start at their crest, 1 in all, and die away, with noise, shaped at both ends."""
    frames = _strike_frames(sound, seat, rate_hz)
    time_s = np.arange(frames) / rate_hz
    decay_s = sound.decay_ms * seat.ring / 1000.0
    bend = sound.glide / 12.0 * math.log(2.0) / decay_s
    gone_s = np.expm1(bend * time_s) / bend if bend else time_s  # the integral of the gliding pitch
    highest = shifted_hz(pitch_hz, max(sound.glide, 0.0))
    limit_hz = min(HIGHEST_PARTIAL_HZ, 0.45 * rate_hz)  # a partial beyond would come back as a wrong one
    tone, total = np.zeros(frames), 0.0
    for partial in sound.timbre.partials:
        if partial.ratio * highest > limit_hz:
            continue
        level = partial.level * partial.ratio**seat.bright
        # higher partials die sooner, as in anything struck
        fall = np.exp(-FALL_60_DB * max(partial.ratio, 1.0) ** 0.5 * time_s / decay_s)
        tone += level * fall * np.cos(2.0 * math.pi * partial.ratio * pitch_hz * gone_s)
        total += level
    tone /= total or 1.0
    hiss = _hiss(sound.timbre, frames, rate_hz, noise)
    mixed = (1.0 - sound.timbre.noise) * tone + sound.timbre.noise * hiss
    return mixed * _shape(frames, _frames(sound.timbre.attack_ms, rate_hz), _frames(FADE_MS, rate_hz))


def _hiss(timbre: Timbre, frames: int, rate_hz: int, noise: np.random.Generator) -> NDArray[np.float64]:
    """Noise within the timbre's band, dying away from its crest, 1, at the first frame."""
    if timbre.noise == 0.0:
        return np.zeros(frames)
    spectrum = np.fft.rfft(noise.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1.0 / rate_hz)
    # edges of an eighth of an octave ring less than a straight cut
    octaves = np.log2(np.maximum(hz, 1.0))
    low, high = math.log2(timbre.noise_low_hz), math.log2(timbre.noise_high_hz)
    spectrum *= np.clip((octaves - low) * 8.0 + 1.0, 0.0, 1.0)
    spectrum *= np.clip((high - octaves) * 8.0 + 1.0, 0.0, 1.0)
    hiss = np.fft.irfft(spectrum, frames)
    crest = int(np.abs(hiss).argmax())
    fall = np.exp(-FALL_60_DB * np.arange(frames) / rate_hz / (timbre.noise_decay_ms / 1000.0))
    return np.asarray(np.roll(hiss, -crest) / (hiss[crest] or 1.0) * fall)


def _shape(frames: int, attack: int, fade: int) -> NDArray[np.float64]:
    """Gains that rise as a raised cosine from START_GAIN at the first frame, and fall alike to 0 at the last."""
    gains = np.ones(frames)
    attack, fade = min(attack, frames // 2), min(fade, frames // 2)
    rise = 0.5 - 0.5 * np.cos(math.pi * np.arange(attack) / max(attack, 1))
    gains[:attack] *= START_GAIN + (1.0 - START_GAIN) * rise
    gains[frames - fade :] *= 0.5 + 0.5 * np.cos(math.pi * np.arange(1, fade + 1) / fade)
    return gains


def _played(sound: Playback, semitones: float, rate_hz: int) -> NDArray[np.float64]:
    """A recording from where it begins to sound, at the bank's rate, peak 1, shaped: float64 (frames, 2)."""
    step = sound.recording.rate_hz / rate_hz * shifted_hz(1.0, semitones)
    out = _resampled(sound.recording.samples.astype(np.float64), step)
    size = np.abs(out).max(axis=1)
    out = out[int(np.argmax(size >= RECORDING_FLOOR * size.max())) :]
    gains = _shape(len(out), _frames(RECORDING_ATTACK_MS, rate_hz), _frames(FADE_MS, rate_hz))
    return np.asarray(out * gains[:, np.newaxis] / size.max())


def _resampled(samples: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Samples (frames, 2) read every `step` frames through a Hann-windowed sinc, cut off at the lower rate."""
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
