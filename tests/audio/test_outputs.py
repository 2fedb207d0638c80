"""The outputs without a device: time, losing and regaining, and what the user is told."""

import os
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.audio.fakes import BUFFER, Counting, FakeDevice, Hand, without_threads
from tests.audio.manual_output import ManualOutput
from trainer.audio.outputs import choice
from trainer.audio.outputs.choice import SETTINGS, make_output, open_output
from trainer.audio.outputs.frameclock import RATE_HZ, FrameClock
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.protocols import BUFFER_MS, Fill, OutputError, Pcm
from trainer.audio.outputs.silent_device import BLOCK, SilentDevice
from trainer.audio.outputs.simpleaudio_device import load_simpleaudio
from trainer.audio.outputs.stderr import listening_to_stderr
from trainer.config import Settings


@pytest.fixture(autouse=True)
def no_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    without_threads(monkeypatch)


# -- the frame clock ------------------------------------------------------------------------------------------


@given(st.lists(st.floats(0.0, 0.059), min_size=40, max_size=80), st.floats(0.0, 1e6))
def test_late_requests_never_move_the_estimate_away_from_the_least_late(lates: list[float], zero_s: float) -> None:
    lates[-1] = 0.0
    clock = FrameClock()
    for number, late_s in enumerate(lates):
        clock.note(BUFFER, zero_s + number * BUFFER / RATE_HZ + late_s)
    assert clock.second_at(0) == pytest.approx(zero_s, abs=1e-6)
    assert clock.frame_at(zero_s + 1.0) == pytest.approx(RATE_HZ, abs=0.1)
    assert clock.hiccups == 0


def test_nothing_is_known_before_the_first_request() -> None:
    clock = FrameClock()
    assert clock.frame_at(5.0) is None
    assert clock.second_at(0) is None


def test_a_sink_that_slept_settles_and_is_no_hiccup() -> None:
    # As measured: the first request at once, the second 0.64 s later, then every 0.1 s.
    clock = FrameClock()
    clock.note(BUFFER, 0.0)
    for number in range(20):
        clock.note(BUFFER, 0.64 + number * 0.1)
    assert clock.hiccups == 0
    assert clock.second_at(BUFFER) == pytest.approx(0.64)


def test_a_gap_is_one_hiccup_and_the_time_is_learned_anew() -> None:
    clock = FrameClock()
    for number in range(10):
        clock.note(BUFFER, number * 0.1)
    clock.note(BUFFER, 0.9 + 0.159)  # under 1.6 buffers: late, not a gap
    assert clock.hiccups == 0
    clock.note(BUFFER, 1.059 + 0.161)
    assert clock.hiccups == 1
    assert clock.second_at(11 * BUFFER) == pytest.approx(1.22)


def test_a_drifting_device_is_followed() -> None:
    clock = FrameClock()
    fast = 1 - 200e-6
    for number in range(36_000):  # an hour
        clock.note(BUFFER, number * 0.1 * fast)
    # The least of the last 3.2 s: off by no more than they drifted apart in that time.
    assert clock.second_at(36_000 * BUFFER) == pytest.approx(3600 * fast, abs=1e-3)
    assert clock.hiccups == 0


# -- an output on a device ------------------------------------------------------------------------------------


def opened() -> tuple[Output, FakeDevice, Hand, Counting]:
    device, clock, pull = FakeDevice(), Hand(), Counting()
    output = Output(device, clock)
    output.open(pull)
    return output, device, clock, pull


def run(device: FakeDevice, clock: Hand, requests: int) -> None:
    for _ in range(requests):
        assert device.fill is not None
        device.fill(BUFFER, clock.now_s)
        clock.now_s += BUFFER / RATE_HZ


def test_frames_and_seconds_are_each_others_inverse_with_the_latency_between() -> None:
    output, device, clock, _ = opened()
    assert output.heard_frame(clock.now_s) is None
    assert output.heard_at_s(0) is None
    run(device, clock, 10)
    assert output.heard_at_s(0) == pytest.approx(1000.07)
    heard = output.heard_frame(1000.57)
    assert heard is not None
    assert heard == pytest.approx(RATE_HZ / 2)
    assert output.heard_at_s(heard) == pytest.approx(1000.57)
    output.latency_s = 0.2  # the user's own
    assert output.heard_at_s(0) == pytest.approx(1000.2)
    output.close()


def test_closing_twice_is_closing_once_and_a_late_request_gets_silence() -> None:
    output, device, clock, pull = opened()
    run(device, clock, 2)
    output.close()
    output.close()
    assert device.fill is not None
    assert not device.fill(BUFFER, clock.now_s).any()
    assert pull.frame == 2 * BUFFER


def test_a_lost_device_leaves_time_unbroken_and_comes_back() -> None:
    output, device, clock, pull = opened()
    run(device, clock, 20)
    zero_s = output.heard_at_s(0)
    clock.now_s += 2.0  # it said nothing for 2 s
    device.alive, device.there = False, False
    output.watch()
    assert output.lost
    assert pull.frame / RATE_HZ == pytest.approx(4.0, abs=0.05)  # caught up with the clock
    assert output.heard_at_s(0) == pytest.approx(zero_s)

    stale = device.fill
    assert stale is not None
    before = pull.frame
    assert not stale(BUFFER, clock.now_s).any()  # the dead device wakes: it may not pull beside the stand-in
    assert pull.frame == before

    clock.now_s += 1.1
    output.watch()  # tried, in vain
    assert output.lost
    assert device.starts == 1
    assert pull.frame / RATE_HZ == pytest.approx(5.1, abs=0.05)
    assert output.heard_at_s(0) == pytest.approx(zero_s)

    device.there = True
    clock.now_s += 1.0
    output.watch()  # the wait has doubled: not yet
    assert output.lost
    clock.now_s += 1.1
    output.watch()
    assert not output.lost
    assert device.starts == 2
    run(device, clock, 10)
    # The wait for the device's first request was 2.1 s here with no stand-in thread running.
    assert output.heard_at_s(pull.frame) == pytest.approx(clock.now_s + device.latency_s)
    output.close()


def test_waits_between_tries_double_up_to_half_a_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    output, device, clock, _ = opened()
    run(device, clock, 5)
    device.alive = device.there = False
    output.watch()
    tries: list[float] = []
    refuse = device.start

    def start(fill: Fill, due_s: float) -> None:
        tries.append(clock.now_s)
        refuse(fill, due_s)

    monkeypatch.setattr(device, "start", start)
    for _ in range(2000):
        clock.now_s += 0.1
        output.watch()
    waits = np.diff(tries)
    assert waits[:4] == pytest.approx([2, 4, 8, 16], abs=0.15)
    assert waits[4:] == pytest.approx(30, abs=0.15)
    output.close()


# -- the silent device ----------------------------------------------------------------------------------------


def test_the_silent_device_asks_for_each_frame_when_it_is_due() -> None:
    clock = Hand(0.0)
    asked: list[tuple[int, float]] = []
    device = SilentDevice(clock)

    def fill(frames: int, at_s: float) -> Pcm:
        asked.append((frames, at_s))
        return np.zeros((frames, 2), np.int16)

    device.start(fill, 0.0)
    for _ in range(50):
        clock.now_s += 0.02
        device.step()
    frames = sum(frames for frames, _ in asked)
    assert frames == pytest.approx(RATE_HZ, abs=BLOCK)
    assert [at_s for _, at_s in asked] == pytest.approx([number * BLOCK / RATE_HZ for number in range(len(asked))])
    clock.now_s += 3600  # the machine slept
    device.step()
    assert sum(frames for frames, _ in asked) == pytest.approx(RATE_HZ, abs=2 * BLOCK)


# -- choosing -------------------------------------------------------------------------------------------------


def refused(_clock: object, _buffer_ms: int) -> FakeDevice:
    device = FakeDevice()
    device.there = False
    return device


@pytest.mark.parametrize("setting", ["auto", "miniaudio", "simpleaudio"])
def test_without_a_device_the_output_is_silent_and_says_so_in_one_line(
    monkeypatch: pytest.MonkeyPatch, setting: str
) -> None:
    monkeypatch.setitem(choice.DEVICES, "miniaudio", refused)
    monkeypatch.setitem(choice.DEVICES, "simpleaudio", refused)
    output, notice = open_output(setting, Counting(), clock=Hand())
    assert output.name == "silent"
    assert notice == "No device. The trainer runs without sound. Get one."
    output.close()


def test_silence_asked_for_needs_no_notice() -> None:
    output, notice = open_output("silent", Counting(), clock=Hand())
    assert (output.name, notice, output.lost) == ("silent", None, False)
    output.close()


def test_an_unknown_setting_names_the_known_ones() -> None:
    with pytest.raises(OutputError) as caught:
        open_output("loud", Counting())
    assert "'loud'" in str(caught.value)
    assert all(setting in str(caught.value) for setting in SETTINGS)
    assert "\n" not in str(caught.value)


def test_simpleaudio_is_refused_where_it_ends_the_process_and_never_imported(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 12, 0))
    monkeypatch.setitem(sys.modules, "simpleaudio", None)  # importing it would be another error
    with pytest.raises(OutputError, match=r"from Python 3\.12 on") as caught:
        load_simpleaudio()
    assert "Set the output to auto" in caught.value.advice


def test_a_missing_library_is_told_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 11, 0))
    monkeypatch.setitem(sys.modules, "simpleaudio", None)
    with pytest.raises(OutputError, match="could not be loaded") as caught:
        load_simpleaudio()
    assert "pip install simpleaudio" in caught.value.advice


def test_importing_the_outputs_loads_no_sound_library() -> None:
    program = (
        "import sys, trainer.audio.outputs, trainer.audio.transport\n"
        "print([name for name in ('miniaudio', 'simpleaudio', '_miniaudio') if name in sys.modules])\n"
    )
    environ = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    ran = subprocess.run([sys.executable, "-c", program], env=environ, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_what_a_library_writes_to_descriptor_2_is_kept_and_not_shown(capfd: pytest.CaptureFixture[str]) -> None:
    with listening_to_stderr() as said:
        os.write(2, b"ALSA lib: no card\n")
    os.write(2, b"after\n")
    assert said.text == "ALSA lib: no card"
    assert capfd.readouterr().err == "after\n"


# -- the manual output ----------------------------------------------------------------------------------------


def test_the_manual_output_plays_what_it_is_told_and_keeps_it() -> None:
    output, pull = ManualOutput(latency_s=0.05), Counting()
    assert output.heard_frame(0.0) is None
    output.open(pull)
    output.advance(1000, block=300)
    assert [len(block) for block in output.played] == [300, 300, 300, 100]
    assert output.clock() == pytest.approx(1000 / RATE_HZ)
    assert output.heard_frame(output.clock()) == pytest.approx(1000 - 0.05 * RATE_HZ)
    assert output.heard_at_s(500) == pytest.approx(500 / RATE_HZ + 0.05)
    output.close()
    output.close()
    output.advance(1000)
    assert pull.frame == 1000


@pytest.mark.parametrize(
    ("buffer_ms", "latency_ms"),
    [(50, 35), (75, 47.5), (100, 60), (200, 120), (250, 142.5), (300, 165), (500, 255)],  # by hand, from the measured
)
def test_the_latency_follows_the_buffer_as_measured(buffer_ms: int, latency_ms: float) -> None:
    assert make_output("miniaudio", buffer_ms=buffer_ms).latency_s * 1000 == pytest.approx(latency_ms)


def test_the_setting_and_the_outputs_keep_the_same_sound_ahead() -> None:
    assert Settings().buffer_ms == BUFFER_MS
