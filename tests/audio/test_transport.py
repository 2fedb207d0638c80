"""The transport: blocks join into one stream, changes fall between blocks, nothing wraps or is hidden."""

from dataclasses import dataclass
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import RAMP_S, SILENCE, GainRamp, Scene, Transport


@dataclass(frozen=True, slots=True)
class Ramp:
    """A scene whose every frame says which frame it is."""

    step: float = 1e-5

    def render(self, start_frame: int, frames: int) -> np.ndarray:
        line = np.arange(start_frame, start_frame + frames, dtype=np.float64) * self.step
        return np.stack([line, -line], axis=1).astype(np.float32)


@dataclass(frozen=True, slots=True)
class Level:
    level: float

    def render(self, start_frame: int, frames: int) -> np.ndarray:
        return np.full((frames, 2), self.level, np.float32)


@dataclass(frozen=True, slots=True)
class Broken:
    def render(self, start_frame: int, frames: int) -> np.ndarray:
        raise RuntimeError("the kit had no such voice")


def playing(scene: Scene) -> Transport:
    transport = Transport(RATE_HZ)
    transport.post(lambda _scene, _at: scene)
    return transport


def test_silence_is_rendered_from_the_first_frame_on() -> None:
    transport = Transport(RATE_HZ)
    block = transport.pull(100)
    assert block.dtype == np.int16
    assert block.shape == (100, 2)
    assert block.flags.c_contiguous
    assert not block.any()
    assert transport.rendered_frame == 100
    assert transport.scene is SILENCE


@given(st.lists(st.integers(1, 5000), min_size=1, max_size=12))
def test_any_cutting_into_blocks_gives_the_same_frames(cuts: list[int]) -> None:
    pieces = playing(Ramp())
    whole = playing(Ramp())
    cut = np.concatenate([pieces.pull(frames) for frames in cuts])
    assert np.array_equal(cut, whole.pull(sum(cuts)))


def test_a_change_is_applied_at_the_start_of_the_next_block_and_told_the_frame() -> None:
    transport = Transport(RATE_HZ)
    transport.pull(441)
    told: list[int] = []

    def begin(scene: object, at_frame: int) -> Level:
        told.append(at_frame)
        return Level(1.0)

    transport.post(begin)
    assert transport.scene is SILENCE  # posting alone changes nothing
    assert (transport.pull(10) == 32767).all()
    assert told == [441]


def test_changes_keep_their_order_and_each_sees_the_scene_before_it() -> None:
    transport = Transport(RATE_HZ)
    transport.post(lambda _scene, _at: Level(0.25))
    transport.post(lambda scene, _at: Level(cast(Level, scene).level * 2))
    assert transport.pull(1)[0, 0] == round(0.5 * 32767)


def test_a_change_posted_by_a_change_waits_for_the_block_after() -> None:
    transport = Transport(RATE_HZ)

    def again(scene: Scene, _at: int) -> Scene:
        transport.post(again)
        return scene

    transport.post(again)
    transport.pull(1)  # would never return if it took them all
    assert transport.rendered_frame == 1


@pytest.mark.parametrize(
    ("level", "sample"),
    [
        (1.0, 32767),
        (-1.0, -32767),
        (1.5, 32767),  # beyond full scale: held, not wrapped
        (-7.0, -32767),
        (0.6 / 32767, 1),  # rounded, not cut off
        (0.4 / 32767, 0),
        (-0.6 / 32767, -1),
    ],
)
def test_floats_become_int16_by_rounding_and_never_wrap(level: float, sample: int) -> None:
    assert (playing(Level(level)).pull(4) == sample).all()


def test_a_scene_that_raises_is_silenced_and_the_failure_kept() -> None:
    transport = playing(Broken())
    assert not transport.pull(64).any()
    assert isinstance(transport.failure, RuntimeError)
    assert transport.rendered_frame == 64
    transport.post(lambda _scene, _at: Level(1.0))
    assert not transport.pull(64).any()  # silence from then on
    assert isinstance(transport.failure, RuntimeError)


def test_a_change_that_raises_is_a_failure_too() -> None:
    transport = Transport(RATE_HZ)
    transport.post(lambda scene, _at: [scene][1 // 0])
    assert not transport.pull(8).any()
    assert isinstance(transport.failure, ZeroDivisionError)


@pytest.mark.parametrize("level", [float("nan"), float("inf")])
def test_a_sample_that_is_no_number_is_a_failure_not_a_bang(level: float) -> None:
    transport = playing(Level(level))
    assert not transport.pull(8).any()
    assert "no number" in str(transport.failure)


def test_a_block_of_the_wrong_shape_is_a_failure() -> None:
    @dataclass(frozen=True)
    class Short:
        def render(self, start_frame: int, frames: int) -> np.ndarray:
            return np.zeros((frames - 1, 2), np.float32)

    transport = playing(Short())
    assert transport.pull(8).shape == (8, 2)
    assert "(7, 2)" in str(transport.failure)


def test_a_new_gain_is_reached_without_a_jump_in_any_cutting() -> None:
    def turned_down(cuts: list[int]) -> np.ndarray:
        transport = playing(Level(1.0))
        transport.pull(1000)
        transport.gain = 0.25
        return np.concatenate([transport.pull(frames) for frames in cuts])

    ramp_frames = round(RAMP_S * RATE_HZ)
    whole = turned_down([2 * ramp_frames])
    assert np.array_equal(whole, turned_down([1, 7, 500, 2 * ramp_frames - 508]))
    assert whole[0, 0] == 32767
    assert whole[-1, 0] == round(0.25 * 32767)
    assert np.abs(np.diff(whole[:, 0].astype(int))).max() <= 32767 * 0.75 / ramp_frames + 1


def test_a_gain_changed_half_way_through_a_change_goes_on_from_where_it_is() -> None:
    transport = playing(Level(1.0))
    transport.gain = 0.0
    first = transport.pull(round(RAMP_S * RATE_HZ) // 2)
    transport.gain = 1.0
    second = transport.pull(4)
    assert abs(int(second[0, 0]) - int(first[-1, 0])) < 32767 / 1000
    assert second[3, 0] > second[0, 0]


@pytest.mark.parametrize("gain", [-0.1, 1.01, float("nan")])
def test_a_gain_outside_0_to_1_is_refused(gain: float) -> None:
    with pytest.raises(ValueError, match="from 0 to 1"):
        Transport(RATE_HZ).gain = gain


def test_gain_ramp_rows() -> None:
    ramp = GainRamp(at_frame=100, before=1.0, after=0.0, frames=10)
    rows = [(0, 1.0), (100, 1.0), (105, 0.5), (110, 0.0), (500, 0.0)]
    assert [float(ramp.gains(frame, 1)[0]) for frame, _ in rows] == pytest.approx([gain for _, gain in rows])
    assert not ramp.is_over(109)
    assert ramp.is_over(110)
