"""The tape of the second output: written ahead, turned in silence, no frame lost."""

import types

import numpy as np
import pytest

from tests.audio.fakes import Counting, Hand, without_threads
from trainer.audio.outputs import simpleaudio_device
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.protocols import Pcm
from trainer.audio.outputs.simpleaudio_device import BLOCK, LEAST_AHEAD_S, READ_AHEAD_S, SimpleaudioDevice

LEAD_S = READ_AHEAD_S + LEAST_AHEAD_S


@pytest.fixture(autouse=True)
def no_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    without_threads(monkeypatch)


class Play:
    """What the library gives for a buffer being played."""

    def __init__(self, memory: object) -> None:
        self.samples = np.frombuffer(memory, np.int16).reshape(-1, 2)  # type: ignore[call-overload]
        self.playing = True

    def stop(self) -> None:
        self.playing = False

    def is_playing(self) -> bool:
        return self.playing


class Plays(list[Play]):
    """All that was played; `opening` stands for the time it takes."""

    def opening(self) -> None:
        pass


@pytest.fixture
def plays(monkeypatch: pytest.MonkeyPatch) -> Plays:
    made = Plays()

    def play_buffer(memory: object, channels: int, width: int, rate_hz: int) -> Play:
        assert (channels, width, rate_hz) == (2, 2, RATE_HZ)
        made.opening()
        made.append(Play(memory))
        return made[-1]

    library = types.SimpleNamespace(
        play_buffer=play_buffer, _simpleaudio=types.SimpleNamespace(SimpleaudioError=ValueError)
    )
    monkeypatch.setattr(simpleaudio_device, "load_simpleaudio", lambda: library)
    return made


def test_the_tape_begins_silent_and_is_always_written_ahead(plays: Plays) -> None:
    clock, pull = Hand(), Counting()
    device = SimpleaudioDevice(clock, tape_s=20.0)
    due: list[float] = []
    device.start(lambda frames, at_s: (due.append(at_s), pull(frames))[1], 0.0)
    lead = int(LEAD_S * RATE_HZ)
    for _ in range(100):
        clock.now_s += 0.02
        device.step()
        heard = round((clock.now_s - 1000) * RATE_HZ)
        assert plays[0].samples[max(lead, heard) : heard + lead - BLOCK, 0].all(), "not written yet, but being read"
    assert not plays[0].samples[:lead].any()
    assert np.array_equal(plays[0].samples[lead : lead + pull.frame], Counting()(pull.frame))
    assert due == pytest.approx([1000 + (lead + number * BLOCK) / RATE_HZ for number in range(len(due))])
    device.stop()
    assert not plays[0].playing


def test_a_writer_that_came_too_late_leaves_silence_not_old_sound(plays: Plays) -> None:
    clock, pull = Hand(), Counting()
    device = SimpleaudioDevice(clock, tape_s=20.0)
    output = Output(device, clock)
    output.open(pull)
    for _ in range(50):
        clock.now_s += 0.02
        device.step()
    assert output.hiccups == 0
    clock.now_s += 1.5
    device.step()
    assert output.hiccups == 1
    assert output.heard_at_s(pull.frame) == pytest.approx(clock.now_s + LEAD_S, abs=0.05)
    output.close()


@pytest.mark.parametrize(
    ("clicks", "turns"),
    [
        ("none", 1),  # silence for long enough: it turns
        ("always", 0),  # something sounds at least each second: it waits
    ],
)
def test_a_tape_turns_only_when_nothing_was_heard_for_a_while(plays: Plays, clicks: str, turns: int) -> None:
    clock = Hand()
    frame = 0

    def fill(frames: int, at_s: float) -> Pcm:
        nonlocal frame
        block = np.zeros((frames, 2), np.int16)
        if clicks == "always" and frame % RATE_HZ < frames:
            block[0] = 1000
        frame += frames
        return block

    device = SimpleaudioDevice(clock, tape_s=60.0, turn_after_s=5.0)
    device.start(fill, 0.0)
    for _ in range(400):
        clock.now_s += 0.02
        device.step()
    assert device.turns == turns
    assert [play.playing for play in plays] == [False, True][-1 - turns :]
    device.stop()


def test_a_full_tape_is_followed_by_the_next_without_a_frame_lost_or_doubled(plays: Plays) -> None:
    clock, pull = Hand(), Counting()
    due: list[float] = []
    device = SimpleaudioDevice(clock, tape_s=3.0)
    device.start(lambda frames, at_s: (due.append(at_s), pull(frames))[1], 0.0)
    starts = [clock.now_s]

    def take_10_ms() -> None:
        clock.now_s += 0.01
        starts.append(clock.now_s)

    plays.opening = take_10_ms  # type: ignore[method-assign]
    for _ in range(400):
        clock.now_s += 0.02
        device.step()
    assert len(plays) == 3
    assert np.diff(due) == pytest.approx(BLOCK / RATE_HZ, abs=2 / RATE_HZ)
    mixed = np.zeros((10 * RATE_HZ, 2), np.int64)
    for play, start_s in zip(plays, starts, strict=True):
        at = round((start_s - 1000) * RATE_HZ)
        mixed[at : at + len(play.samples)] += play.samples
    begins = int(LEAD_S * RATE_HZ)
    stream = mixed[begins : begins + pull.frame]
    wrong = np.flatnonzero((stream != Counting()(pull.frame)).any(axis=1))
    assert len(wrong) == 0
    device.stop()
