"""Sounds: onsets to the frame, shaped ends, pitches, sides, jugglers and cues told apart by numbers."""

import wave
from itertools import combinations
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
import scipy.signal

from tests.audio.banks import BANKS, RATE_HZ
from tests.bundled import KITS
from trainer.audio.kit import ROLES, Kit, Strike
from trainer.audio.kitfiles import VARIANTS, load_kit
from trainer.audio.render import PlacedSound, mix
from trainer.audio.synth import Bank, Samples, Voice, pan_gains
from trainer.audio.wav import to_int16
from trainer.siteswap.throws import Hand

SOUNDS = Path(__file__).parents[2] / "sounds"

every_kit = pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)


def voices(kit: Kit) -> list[Voice]:
    """A voice for each role that sounds, hand and value, and some of other jugglers."""
    return [
        Voice(role, value, hand, juggler)
        for role in kit.sounds
        for value, hand, juggler in ((0, None, 0), (3, "R", 0), (9, "L", 0), (35, "R", 1), (3, "L", 5))
    ]


def decibels(samples: Samples) -> float:
    """Energy in dB."""
    return float(10.0 * np.log10(np.sum(samples.astype(np.float64) ** 2)))


@every_kit
def test_first_frame_is_already_sound_in_16_bits_and_the_last_is_zero(kit: Kit) -> None:
    for voice in voices(kit):
        samples = BANKS[kit.name][voice]
        assert samples.dtype == np.float32
        assert samples.shape[1] == 2
        assert to_int16(samples)[0].any(), voice
        assert not samples[-1].any(), voice
        assert not samples.flags.writeable


@every_kit
def test_starts_and_ends_are_shaped(kit: Kit) -> None:
    """No pop: from silence to the first frame, and over the last millisecond, at most 1/20 of the peak."""
    for voice in voices(kit):
        samples = BANKS[kit.name][voice]
        peak = np.abs(samples).max()
        assert np.abs(samples[0]).max() <= peak / 20.0, voice
        assert np.abs(samples[-44:]).max() <= peak / 20.0, voice


@every_kit
def test_no_sound_is_longer_than_the_bank_says(kit: Kit) -> None:
    bank = BANKS[kit.name]
    assert max(len(bank[voice]) for voice in voices(kit)) <= bank.longest_frames
    assert bank.longest_frames <= 2 * RATE_HZ


def test_a_voice_has_the_same_samples_in_every_bank_and_asked_in_any_order() -> None:
    one = BANKS["gym"]
    kit = one.kit
    two = Bank(kit, RATE_HZ)
    one.prepare(voices(kit))
    for voice in reversed(voices(kit)):
        assert one[voice].tobytes() == two[voice].tobytes()
        assert one[voice] is one[voice]


def test_a_hand_by_name_and_by_letter_is_one_voice() -> None:
    kit = load_kit(SOUNDS / "gym.toml")
    by_name, by_letter = Voice("hold", 2, Hand.RIGHT), Voice("hold", 2, "R")
    assert by_name == by_letter
    assert Bank(kit, RATE_HZ)[by_name].tobytes() == Bank(kit, RATE_HZ)[by_letter].tobytes()


@every_kit
def test_without_a_rise_the_value_makes_no_difference(kit: Kit) -> None:
    bank = BANKS[kit.name]
    for role in ("catch", "zip", "hold"):
        assert bank[Voice(role, 1, "R")].tobytes() == bank[Voice(role, 7, "R")].tobytes()
        np.testing.assert_allclose(bank[Voice(role, 1, "R")], bank[Voice(role, 1, "L")][:, ::-1], atol=1e-6)


@every_kit
def test_cues_of_no_hand_come_from_the_middle(kit: Kit) -> None:
    for role in ("count-in", "round"):
        samples = BANKS[kit.name][Voice(role, 0, "R")]
        np.testing.assert_allclose(samples[:, 0], samples[:, 1], atol=1e-6)


def test_silent_roles_have_no_frames_and_strange_voices_are_refused() -> None:
    bank = BANKS["kitchen"]
    assert bank[Voice("gap")].shape == (0, 2)
    with pytest.raises(KeyError):
        bank[Voice("clap")]
    with pytest.raises(ValueError, match="36"):
        bank[Voice("right", 36)]


def test_equal_power_panning() -> None:
    """cos² + sin² = 1 everywhere; -3.01 dB a side in the middle (the usual equal-power law)."""
    for pan in (-1.0, -0.4, 0.0, 0.55, 1.0):
        assert np.sum(pan_gains(pan) ** 2) == pytest.approx(1.0)
    assert 20.0 * np.log10(pan_gains(0.0)) == pytest.approx([-3.0103, -3.0103], abs=1e-3)
    assert pan_gains(1.0) == pytest.approx([0.0, 1.0], abs=1e-12)


@every_kit
def test_each_hand_is_heard_on_its_side_and_still_in_the_other_earpiece(kit: Kit) -> None:
    for role, hand, near in (("right", "R", 1), ("left", "L", 0), ("right", None, 1), ("left", None, 0),
                             ("catch", "L", 0), ("catch", "R", 1), ("zip", "R", 1), ("hold", "L", 0)):  # fmt: skip
        samples = BANKS[kit.name][Voice(role, 3, hand)]
        louder_db = decibels(samples[:, near]) - decibels(samples[:, 1 - near])
        assert 4.0 <= louder_db <= 14.0, (role, hand)


@every_kit
def test_throws_sound_at_the_pitch_of_their_numbers(kit: Kit) -> None:
    """The strongest frequency, found by scipy, within 3 % of pitch_hz x 2^(rise x steps / 12)."""
    for role in ("right", "left"):
        sound = kit.sounds[role]
        assert isinstance(sound, Strike)
        for value, steps in ((1, -2), (3, 0), (5, 2), (9, 6), (13, 7)):  # above 9 a quarter: 13 is 6 + 4/4
            samples = BANKS[kit.name][Voice(role, value)][:, 0]
            hz, power = scipy.signal.periodogram(samples, RATE_HZ, nfft=2**17)
            assert hz[power.argmax()] == pytest.approx(sound.pitch_hz * 2 ** (sound.rise * steps / 12), rel=0.03)


@every_kit
def test_both_rates_sound_alike(kit: Kit) -> None:
    slow, fast = BANKS[kit.name][Voice("right", 5, "R")], Bank(kit, 48_000)[Voice("right", 5, "R")]
    assert len(fast) / len(slow) == pytest.approx(48_000 / 44_100, rel=0.001)
    assert decibels(fast) - 10.0 * np.log10(48_000 / 44_100) == pytest.approx(decibels(slow), abs=0.5)


def features(samples: Samples) -> tuple[float, float, float]:
    """Strongest frequency (Hz), centre of the spectrum on a logarithmic scale (Hz), time of 95 % of the energy (s)."""
    mono = samples.astype(np.float64).sum(axis=1)
    hz, power = scipy.signal.periodogram(mono, RATE_HZ, nfft=2**16)
    energy = np.cumsum(mono**2)
    centre = np.exp(np.sum(power[1:] * np.log(hz[1:])) / np.sum(power[1:]))
    return float(hz[power.argmax()]), float(centre), float(np.searchsorted(energy, 0.95 * energy[-1]) / RATE_HZ)


@every_kit
def test_cues_are_told_apart_from_throws_and_from_each_other(kit: Kit) -> None:
    """Pitch, brightness or length differ at least 1.5 to 1, far above what an ear needs.

    From memory: the just noticeable difference is under 1 % in pitch and 10 to 20 % in length.
    """
    bank = BANKS[kit.name]
    throws = {
        f"{role} {value}": features(bank[Voice(role, value)]) for role in ("right", "left") for value in (3, 5, 9)
    }
    cues = {
        role: features(bank[Voice(role, value)])
        for role, value in (
            ("zip", 1), ("hold", 2), ("round", 0), ("count-in", 0), ("flash", 0), ("qualify", 0),
            ("up", 0), ("down", 0),
        )
    }  # fmt: skip
    in_turn = {("up", "down")}  # the same two notes in turn and turned round; told apart by the order, not by these
    pairs = [(throw, cue) for throw in throws for cue in cues] + list(combinations(cues, 2))
    pairs = [pair for pair in pairs if pair not in in_turn]
    for one, other in pairs:
        ratios = [a / b for a, b in zip((throws | cues)[one], cues[other], strict=True)]
        assert max(max(ratio, 1.0 / ratio) for ratio in ratios) >= 1.5, (one, other, ratios)


@every_kit
def test_what_is_heard_between_tries_is_told_apart(kit: Kit) -> None:
    roles = ("count-in", "drop", "ended", "target", "block", "countdown", "ready")
    heard = {role: features(BANKS[kit.name][Voice(role)]) for role in roles}
    for one, other in combinations(roles[3:], 2):
        ratios = [a / b for a, b in zip(heard[one], heard[other], strict=True)]
        assert max(max(ratio, 1.0 / ratio) for ratio in ratios) >= 1.5, (one, other, ratios)
    for one in roles[:3]:
        for other in roles[4:]:
            ratios = [a / b for a, b in zip(heard[one], heard[other], strict=True)]
            assert max(max(ratio, 1.0 / ratio) for ratio in ratios) >= 1.5, (one, other, ratios)


@every_kit
def test_catches_and_steps_stay_softer_than_throws(kit: Kit) -> None:
    bank = BANKS[kit.name]
    throw_db = decibels(bank[Voice("right", 3, "R")])
    for role in ("catch", "step"):
        assert decibels(bank[Voice(role, 3, "R")]) < throw_db - 6.0


@every_kit
def test_a_role_made_from_another_is_about_as_loud_and_not_the_same(kit: Kit) -> None:
    bank = BANKS[kit.name]
    for role, variant in VARIANTS.items():
        louder_db = decibels(bank[Voice(role)]) - decibels(bank[Voice(variant.of)])
        assert -6.0 <= louder_db <= 6.0, role
        assert bank[Voice(role)].tobytes() != bank[Voice(variant.of)].tobytes()


@every_kit
def test_empty_hands_rise_and_full_ones_fall(kit: Kit) -> None:
    """The strongest frequency, found by scipy: of up lower in the first 65 ms than after them, of down higher."""
    for role, rises in (("up", True), ("down", False)):
        mono = BANKS[kit.name][Voice(role)].astype(np.float64).sum(axis=1)
        cut = round(0.065 * RATE_HZ)
        first, second = (
            scipy.signal.periodogram(part, RATE_HZ, nfft=2**16) for part in (mono[:cut], mono[cut : 3 * cut])
        )
        assert (second[0][second[1].argmax()] > first[0][first[1].argmax()]) == rises, role


@every_kit
def test_jugglers_differ_in_pitch_and_in_place_or_ring(kit: Kit) -> None:
    for one, other in combinations(kit.seats, 2):
        assert abs(one.shift - other.shift) >= 1.0  # semitones
        assert abs(one.place - other.place) >= 0.25 or max(one.ring, other.ring) / min(one.ring, other.ring) >= 1.25
    bank = BANKS[kit.name]
    heard = {bank[Voice("right", 3, "R", juggler)].tobytes() for juggler in range(6)}
    assert len(heard) == 6


def reference_passage(kit: Kit) -> Samples:
    """Three objects in a cascade at 172 beats/min for 12 s: right and left clicks of value 3 in turn."""
    placed = [
        PlacedSound(round(beat * 60 * RATE_HZ / 172), Voice(("right", "left")[beat % 2], 3, "RL"[beat % 2]))
        for beat in range(34)
    ]
    return mix(placed, BANKS[kit.name], 0, 12 * RATE_HZ)


def test_kits_are_equally_loud() -> None:
    """Within 1 dB, K-weighted and gated by ITU-R BS.1770 as pyloudnorm computes it."""
    meter = pyloudnorm.Meter(RATE_HZ)
    loudness = {kit.name: meter.integrated_loudness(reference_passage(kit).astype(np.float64)) for kit in KITS}
    assert max(loudness.values()) - min(loudness.values()) <= 1.0, loudness


def recorded(path: Path, rate_hz: int, seconds: float, hz: float, silence_s: float) -> None:
    """A mono 16-bit file: silence, then a sine that dies away."""
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    sine = 0.8 * np.exp(-10.0 * time_s) * np.sin(2.0 * np.pi * hz * time_s)
    samples = np.concatenate([np.zeros(round(silence_s * rate_hz)), sine])
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, rate_hz, 0, "NONE", ""))
        file.writeframes((samples * 32767).astype("<i2").tobytes())


@pytest.mark.parametrize("file_rate_hz", [22_050, 44_100, 48_000])
def test_an_own_recording_keeps_its_pitch_at_any_rate_and_begins_at_once(tmp_path: Path, file_rate_hz: int) -> None:
    recorded(tmp_path / "knock.wav", file_rate_hz, 0.4, 1000.0, silence_s=0.1)
    text = (SOUNDS / "kitchen.toml").read_text(encoding="utf-8")
    before, after = text.split("[roles.right]\n")
    kept = after[after.index("[roles.left]") :]
    own = tmp_path / "own.toml"
    own.write_text(f'{before}[roles.right]\nfile = "knock.wav"\nlevel_db = -3\nrise = 1\n\n{kept}', encoding="utf-8")
    bank = Bank(load_kit(own), RATE_HZ)
    for value, expected_hz in ((3, 1000.0), (5, 1000.0 * 2 ** (2 / 12)), (0, 1000.0 * 2 ** (-3 / 12))):
        samples = bank[Voice("right", value, "R")]
        hz, power = scipy.signal.periodogram(samples[:, 1], RATE_HZ, nfft=2**16)
        assert hz[power.argmax()] == pytest.approx(expected_hz, rel=0.01)
        assert power[hz > 5000.0].sum() < power.sum() * 1e-5  # -50 dB: no mirror images of the pitch
        assert to_int16(samples)[0].any()
        assert not samples[-1].any()
        assert len(samples) <= bank.longest_frames
        assert len(samples) / RATE_HZ == pytest.approx(0.4 * 1000.0 / expected_hz, abs=0.01)


def test_every_role_is_explained() -> None:
    assert len(ROLES) == 25
    assert all(ROLES.values())
