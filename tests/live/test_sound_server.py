"""The trainer's own stream through a real sound server, recorded and located to the sample."""

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from tests.live.clicks import Clicks, beat_frames
from tests.live.soundserver import Recording, SoundServer, onsets
from trainer.audio.outputs.choice import open_output, probe_outputs
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.simpleaudio_device import SimpleaudioDevice
from trainer.audio.transport import Scene, Transport

pytestmark = pytest.mark.live

ROOT = Path(__file__).parents[2]
OUTPUTS = ("miniaudio", "simpleaudio") if sys.version_info < (3, 12) else ("miniaudio",)
MOST_SPREAD_MS = 0.05
LEAD_FRAMES = RATE_HZ // 2
RECORDER_MS = 10
"""The recorder hears the sink's work this much before a listener would."""


def begin_clicks(transport: Transport, tempo_bpm: int, beats: int) -> list[int]:
    """Have clicks begin half a second from now; the list will hold the frame of the first."""
    begun: list[int] = []

    def begin(_scene: Scene, at_frame: int) -> Scene:
        begun.append(at_frame + LEAD_FRAMES)
        return Clicks(at_frame + LEAD_FRAMES, tempo_bpm, beats)

    transport.post(begin)
    return begun


def wait_for(what: str, told: object, within_s: float) -> None:
    """Wait until `told()` is true, or fail."""
    until_s = time.monotonic() + within_s
    while not told():  # type: ignore[operator]
        assert time.monotonic() < until_s, f"not within {within_s} s: {what}"
        time.sleep(0.02)


def interval_errors_ms(recording: Recording, tempo_bpm: int, beats: int) -> np.ndarray:
    """Check that every click was heard once, and give how far off each interval was."""
    heard = onsets(recording.heard())
    assert len(heard) == beats, f"{len(heard)} clicks were heard where {beats} were played: {np.diff(heard)}"
    return (np.diff(heard) - np.diff(beat_frames(tempo_bpm, beats))) * 1000 / RATE_HZ


@pytest.mark.parametrize("name", OUTPUTS)
@pytest.mark.parametrize(("tempo_bpm", "beats"), [(60, 12), (172, 30), (480, 80)])
def test_every_click_is_heard_once_and_in_its_place(
    sound_server: SoundServer, name: str, tempo_bpm: int, beats: int
) -> None:
    transport = Transport(RATE_HZ)
    with sound_server.recording() as recording:
        output, notice = open_output(name, transport.pull)
        try:
            assert notice is None
            assert output.name == name
            time.sleep(2.5)  # a sink that slept has asked a second time by then
            begin_clicks(transport, tempo_bpm, beats)
            time.sleep(60 / tempo_bpm * beats + 1.5)
        finally:
            output.close()
        errors_ms = interval_errors_ms(recording, tempo_bpm, beats)
    assert errors_ms.std() <= MOST_SPREAD_MS
    assert np.abs(errors_ms).max() <= MOST_SPREAD_MS
    assert output.hiccups == 0
    assert transport.failure is None


@pytest.mark.parametrize("name", OUTPUTS)
def test_a_click_is_heard_when_the_output_says_so(sound_server: SoundServer, name: str) -> None:
    transport = Transport(RATE_HZ)
    with sound_server.recording() as recording:
        output, _ = open_output(name, transport.pull)
        try:
            time.sleep(2.5)
            begun = begin_clicks(transport, 480, 8)
            time.sleep(2.5)
            said_s = output.heard_at_s(begun[0])
        finally:
            output.close()
        heard_s = recording.zero_s + onsets(recording.heard())[0] / RATE_HZ + RECORDER_MS / 1000
    assert said_s is not None
    assert abs(heard_s - said_s) < 0.025


@pytest.mark.skipif("simpleaudio" not in OUTPUTS, reason="simpleaudio ends the process from Python 3.12 on")
def test_a_tape_that_ends_or_turns_harms_no_click(sound_server: SoundServer) -> None:
    transport = Transport(RATE_HZ)
    device = SimpleaudioDevice(tape_s=4.0, turn_after_s=1e9)
    output = Output(device)
    with sound_server.recording() as recording:
        try:
            output.open(transport.pull)
            time.sleep(0.5)
            begin_clicks(transport, 240, 40)
            time.sleep(12)
        finally:
            output.close()
        errors_ms = interval_errors_ms(recording, 240, 40)
    assert device.turns >= 2
    # A turn in the middle of a run is the last resort; it may move one interval a little, and no other.
    assert np.abs(errors_ms).max() < 15
    assert np.count_nonzero(np.abs(errors_ms) > MOST_SPREAD_MS) <= device.turns


@pytest.mark.parametrize("name", OUTPUTS)
def test_a_killed_sound_server_stops_the_sound_but_not_the_run(sound_server: SoundServer, name: str) -> None:
    transport = Transport(RATE_HZ)
    output, _ = open_output(name, transport.pull)
    try:
        time.sleep(2.5)
        before_s = time.monotonic()
        before = output.heard_frame(before_s)
        assert before is not None
        sound_server.kill()
        wait_for("the loss noticed", lambda: output.lost, 5)
        wait_for("the stream caught up", lambda: transport.rendered_frame > before + 1.5 * RATE_HZ, 5)
        gone_by_s = time.monotonic() - before_s
        after = output.heard_frame(time.monotonic())
        assert after is not None
        assert (after - before) / RATE_HZ == pytest.approx(gone_by_s, abs=0.05)
        assert (transport.rendered_frame - after) / RATE_HZ == pytest.approx(output.latency_s, abs=0.5)

        sound_server.start()
        wait_for("the device back", lambda: not output.lost, 15)
        with sound_server.recording() as recording:
            time.sleep(2.5)
            begin_clicks(transport, 240, 8)
            time.sleep(3.5)
            errors_ms = interval_errors_ms(recording, 240, 8)
        assert np.abs(errors_ms).max() <= MOST_SPREAD_MS
    finally:
        output.close()


@pytest.mark.parametrize("setting", ["auto", *OUTPUTS])
def test_without_a_device_there_is_silence_and_one_notice(sound_server: SoundServer, setting: str) -> None:
    sound_server.kill()
    program = (
        "import sys, time\n"
        "from trainer.audio.outputs.choice import open_output, probe_outputs\n"
        "from trainer.audio.outputs.frameclock import RATE_HZ\n"
        "from trainer.audio.transport import Transport\n"
        "transport = Transport(RATE_HZ)\n"
        f"output, notice = open_output({setting!r}, transport.pull)\n"
        "time.sleep(0.5)\n"
        "assert transport.rendered_frame > 0.4 * RATE_HZ, transport.rendered_frame\n"
        "assert output.name == 'silent'\n"
        "print(notice)\n"
        "said = {result.name: result.said for result in probe_outputs()}\n"
        f"assert said[{'miniaudio' if setting == 'auto' else setting!r}], 'what the libraries wrote was lost'\n"
    )
    ran = run_python(program, sound_server)
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == ""  # the libraries' complaints tore no screen
    lines = ran.stdout.splitlines()
    assert len(lines) == 1
    assert "No sound device could be opened" in lines[0]
    assert "without sound" in lines[0]


@pytest.mark.parametrize("name", OUTPUTS)
def test_leaving_without_closing_ends_the_program(sound_server: SoundServer, name: str) -> None:
    program = (
        "import time\n"
        "from trainer.audio.outputs.choice import open_output\n"
        "from trainer.audio.outputs.frameclock import RATE_HZ\n"
        "from trainer.audio.transport import Transport\n"
        f"output, notice = open_output({name!r}, Transport(RATE_HZ).pull)\n"
        "assert notice is None, notice\n"
        "time.sleep(0.5)\n"
    )
    ran = run_python(program, sound_server)
    assert ran.returncode == 0, ran.stderr


def test_probing_says_what_works_and_why_the_rest_does_not(sound_server: SoundServer) -> None:
    found = {result.name: result for result in probe_outputs()}
    assert [name for name in OUTPUTS if not found[name].works] == []
    assert found["silent"].works
    assert "PulseAudio" in found["miniaudio"].device
    assert 0 < found["miniaudio"].latency_ms < 300
    sound_server.kill()
    found = {result.name: result for result in probe_outputs()}
    assert not found["miniaudio"].works
    assert "No sound device" in found["miniaudio"].why
    assert found["miniaudio"].advice


def run_python(program: str, server: SoundServer) -> "subprocess.CompletedProcess[str]":
    """Run a program in a fresh interpreter, its sound going to the server; fail if it hangs."""
    return subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env=os.environ | server.environ,
        capture_output=True,
        text=True,
        timeout=30,
    )
