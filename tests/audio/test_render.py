"""Rendering: the same frames however cut, nothing above the ceiling, every onset on its frame."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import scipy.signal
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tests.audio.banks import BANKS, RATE_HZ
from tests.bundled import KITS
from trainer.audio.kit import DEFAULT_KIT, SEATS, Kit, Note, Partial, Strike, Timbre
from trainer.audio.render import CEILING, KNEE, PlacedSound, blocks, mix, under_ceiling
from trainer.audio.synth import Bank, Samples, Voice
from trainer.audio.wav import to_int16

SOUNDS = Path(__file__).parents[2] / "sounds"
BANK = BANKS[DEFAULT_KIT]
LENGTH = 30_000

placed_sounds = st.lists(
    st.builds(
        PlacedSound,
        st.integers(-15_000, LENGTH + 1000),
        st.builds(
            Voice,
            st.sampled_from(sorted(BANK.kit.sounds)),
            st.sampled_from([0, 1, 3, 5, 9]),
            st.sampled_from(["R", "L", None]),
            st.integers(0, 1),
        ),
    ),
    max_size=40,
)


@settings(max_examples=30)
@given(placed_sounds, st.lists(st.integers(0, LENGTH), max_size=12))
def test_any_cutting_gives_the_same_frames_to_the_bit(placed: list[PlacedSound], cuts: list[int]) -> None:
    edges = [0, *sorted(cuts), LENGTH]
    pieces = [mix(placed, BANK, start, stop - start) for start, stop in pairwise(edges)]
    assert np.concatenate(pieces).tobytes() == mix(placed, BANK, 0, LENGTH).tobytes()


@settings(max_examples=20)
@given(placed_sounds, st.integers(1, LENGTH), st.integers(-20_000, 20_000))
def test_a_stream_has_the_frames_of_one_mix(placed: list[PlacedSound], block_frames: int, start: int) -> None:
    placed = sorted(placed, key=lambda sound: sound.at_frame)
    block_frames = max(block_frames, 500)
    whole = np.concatenate(list(blocks(iter(placed), BANK, start, start + LENGTH, block_frames)))
    assert whole.tobytes() == mix(placed, BANK, start, LENGTH).tobytes()


@settings(max_examples=20)
@given(placed_sounds, st.integers(0, LENGTH - 4096))
def test_only_sounds_within_the_longest_matter(placed: list[PlacedSound], start: int) -> None:
    near = [p for p in placed if start - BANK.longest_frames < p.at_frame < start + 4096]
    assert mix(near, BANK, start, 4096).tobytes() == mix(placed, BANK, start, 4096).tobytes()


def test_a_stream_reads_no_further_than_it_plays() -> None:
    read = 0

    def endless() -> Iterator[PlacedSound]:
        nonlocal read
        while True:
            yield PlacedSound(read * 1000, Voice("right", 3, "R"))
            read += 1

    stream = blocks(endless(), BANK, 0, 10**9, 1000)
    for _ in range(10):
        next(stream)
    assert read <= 11


def test_a_stream_out_of_order_is_refused() -> None:
    placed = [PlacedSound(500, Voice("right", 3, "R")), PlacedSound(0, Voice("left", 3, "L"))]
    with pytest.raises(ValueError, match="order"):
        list(blocks(placed, BANK, 0, 1000))


def test_no_frames_and_no_sounds() -> None:
    assert mix([], BANK, 0, 0).shape == (0, 2)
    assert not mix([], BANK, 5, 100).any()
    assert not mix([PlacedSound(0, Voice("gap"))], BANK, 0, 100).any()


def test_a_lone_sound_is_its_own_samples_wherever_it_stands() -> None:
    voice = Voice("left", 5, "L")
    out = mix([PlacedSound(1000, voice), PlacedSound(20_001, voice)], BANK, 0, LENGTH)
    frames = len(BANK[voice])
    assert out[1000 : 1000 + frames].tobytes() == BANK[voice].tobytes()
    assert out[20_001 : 20_001 + frames].tobytes() == BANK[voice].tobytes()


def test_the_longest_sound_is_heard_to_its_end_in_small_blocks() -> None:
    voice = max((Voice(role, 3, "R", 2) for role in BANK.kit.sounds), key=lambda voice: len(BANK[voice]))
    frames = len(BANK[voice])
    pieces = [mix([PlacedSound(0, voice)], BANK, start, 64) for start in range(0, frames, 64)]
    assert frames == BANK.longest_frames
    assert np.concatenate(pieces)[:frames].tobytes() == mix([PlacedSound(0, voice)], BANK, 0, frames).tobytes()
    assert np.concatenate(pieces)[frames - 2].any()


def test_the_ceiling_leaves_quiet_samples_alone_and_never_breaks_order() -> None:
    quiet = np.linspace(-KNEE, KNEE, 999, dtype=np.float32).reshape(-1, 1)
    assert under_ceiling(quiet).tobytes() == quiet.tobytes()
    rising = np.linspace(-50.0, 50.0, 200_001, dtype=np.float32).reshape(-1, 1)
    bent = under_ceiling(rising)
    assert np.all(np.diff(bent[:, 0]) >= 0.0)
    assert np.abs(bent).max() <= CEILING
    np.testing.assert_array_equal(bent, -bent[::-1])
    near = (np.abs(rising) < KNEE + 0.01)[:, 0]
    np.testing.assert_allclose(bent[near], rising[near], atol=0.0012)  # no corner at the knee


def true_peak_db(samples: Samples) -> float:
    """The highest level between the samples too, by eightfold oversampling (ITU-R BS.1770 asks for fourfold)."""
    return float(20.0 * np.log10(np.abs(scipy.signal.resample_poly(samples.astype(np.float64), 8, 1, axis=0)).max()))


def crowd(roles: list[str], sounds: int, frames: int) -> list[PlacedSound]:
    """Very many sounds at random frames."""
    chance = np.random.default_rng(7)
    return [
        PlacedSound(int(at), Voice(str(chance.choice(roles)), int(chance.choice((3, 9))), "RL"[chance.integers(2)]))
        for at in sorted(chance.integers(0, frames, sounds))
    ]


@pytest.mark.parametrize("a_second", [30, 300, 3_000])
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
def test_no_crowd_of_sounds_passes_minus_1_dbfs(kit: Kit, a_second: int) -> None:
    """True peak at most -1 dBFS for 30 sounds a second (fast play) up to what no hands could do."""
    bank, frames = BANKS[kit.name], RATE_HZ // 10
    for roles in (sorted(kit.sounds), ["right"], ["count-in"]):
        assert true_peak_db(mix(crowd(roles, a_second // 10, frames), bank, 0, frames)) <= -1.0


def test_the_loudest_noise_a_kit_may_ask_for_stays_below_too() -> None:
    timbre = Timbre((Partial(1.0, 1.0),), 0.5, 1.0, 300.0, 8000.0, 2000.0)
    loud = Strike(timbre, 1000.0, 0.0, 500.0, 0.0, 0.0, None, (Note(0.0, 0.0),))
    bank = Bank(Kit("loud", "Tests.", 0.0, 1.0, SEATS, {"right": loud}, Path("loud.toml")), RATE_HZ)
    for sounds in (4, 200, 4000):
        assert true_peak_db(mix(crowd(["right"], sounds, RATE_HZ // 5), bank, 0, RATE_HZ // 5)) <= -1.0


def frame_of(beat: int, tempo_bpm: Fraction) -> int:
    """The exact second of a beat times the rate, rounded half up."""
    return int(beat * 60 / tempo_bpm * RATE_HZ + Fraction(1, 2))


@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
def test_onsets_out_of_silence_are_the_first_frame_that_sounds(kit: Kit) -> None:
    bank = BANKS[kit.name]
    frames = [frame_of(beat, Fraction(60)) + beat for beat in range(1, 9)]  # some odd frames too
    placed = [PlacedSound(at, Voice(("right", "left")[n % 2], 3 + n)) for n, at in enumerate(frames)]
    sounding = to_int16(mix(placed, bank, 0, 10 * RATE_HZ)).any(axis=1)
    quiet_before: NDArray[np.int64] = np.concatenate([[0], np.cumsum(sounding)])  # sounding frames before each frame
    onsets = [at for at in np.flatnonzero(sounding).tolist() if quiet_before[at] == quiet_before[max(at - 400, 0)]]
    assert onsets == frames


@pytest.mark.parametrize("tempo_bpm", [Fraction(60), Fraction(172), Fraction(1001, 3), Fraction(480)])
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
def test_scipy_finds_every_onset_again_within_one_frame(kit: Kit, tempo_bpm: Fraction) -> None:
    """By matched filter in the 16-bit sound: the lag of the highest correlation with the voice, catches between."""
    bank = BANKS[kit.name]
    placed = []
    for beat in range(12):
        hand = "RL"[beat % 2]
        placed.append(
            PlacedSound(frame_of(beat, tempo_bpm) + 1000, Voice(("right", "left")[beat % 2], 3 + beat % 5, hand))
        )
        placed.append(PlacedSound(frame_of(3 * beat + 2, tempo_bpm * 3) + 1000, Voice("catch", 3, hand)))
    heard = to_int16(mix(placed, bank, 0, placed[-1].at_frame + RATE_HZ)).astype(np.float64)
    for sound in placed[::2]:
        pattern = bank[sound.voice].astype(np.float64)
        around = heard[sound.at_frame - 300 : sound.at_frame + 300 + len(pattern)]
        match = sum(scipy.signal.correlate(around[:, side], pattern[:, side], "valid") for side in (0, 1))
        assert abs(int(np.argmax(match)) - 300) <= 1, sound
