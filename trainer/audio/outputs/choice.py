"""Opens the output that the setting asks for, or the silent one, and says what to tell the user."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from trainer.audio.arrays import np
from trainer.audio.outputs.miniaudio_device import MiniaudioDevice, device_names
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.protocols import BUFFER_MS, Clock, Device, OutputError, Pcm, Pull
from trainer.audio.outputs.silent_device import SilentDevice
from trainer.audio.outputs.simpleaudio_device import SimpleaudioDevice

DEVICES: dict[str, Callable[[Clock, int], Device]] = {
    "miniaudio": MiniaudioDevice,
    "simpleaudio": SimpleaudioDevice,
    "silent": lambda clock, _: SilentDevice(clock),
}
"""How each is made, of its clock and the length of its buffer in ms."""

AUTO = "miniaudio"
SETTINGS = ("auto", *DEVICES)
PROBE_S = 0.3


def open_output(
    setting: str,
    pull: Pull,
    latency_s: float | None = None,
    clock: Clock = time.monotonic,
    device: str | None = None,
    buffer_ms: int = BUFFER_MS,
) -> tuple[Output, str | None]:
    """Open the output a setting asks for, or the silent one with one notice saying why and what to do.

    `latency_s` is the user's own latency, None for the device's. `device` is the name of the one to play on where the
    output can choose (miniaudio), None for the system's default; a name that is not there gives a notice. `buffer_ms`
    is how much sound is kept ahead. Raises OutputError for an unknown setting.
    """
    output = make_output(setting, latency_s, clock, device, buffer_ms)
    return output, begin_output(output, pull, device)


def make_output(
    setting: str,
    latency_s: float | None = None,
    clock: Clock = time.monotonic,
    device: str | None = None,
    buffer_ms: int = BUFFER_MS,
) -> Output:
    """The output a setting asks for, not yet open; arguments and errors as for `open_output`."""
    if setting not in SETTINGS:
        raise OutputError(f"The output {setting!r} is not known.", f"Set the output to one of {', '.join(SETTINGS)}.")
    name = AUTO if setting == "auto" else setting
    if device and name == MiniaudioDevice.name:
        return Output(MiniaudioDevice(clock, buffer_ms, device), clock, latency_s)
    return Output(DEVICES[name](clock, buffer_ms), clock, latency_s)


def begin_output(output: Output, pull: Pull, device: str | None = None) -> str | None:
    """Open an output, without a device if its own can't be opened; gives one notice saying why and what to do.

    `device` is the name that `make_output` was given.
    """
    np.zeros(0)  # numpy is loaded here: the first block that a device asks for has no time for it
    try:
        output.open(pull)
    except OutputError as error:
        output.go_silent()
        output.open(pull)
        return f"{error.why} The trainer runs without sound. {error.advice}"
    if device and output.name == MiniaudioDevice.name and device not in device_names():
        return f"The sound device “{device}” was not there; the system's default plays. Choose one in Setup (F2)."
    return None


@dataclass(frozen=True, slots=True)
class ProbeResult:
    """What came of trying one output.

    why, advice: empty when it works. device: what plays, as the system calls it. said: what libraries wrote to stderr.
    """

    name: str
    works: bool
    why: str
    advice: str
    latency_ms: float
    device: str
    said: str


def probe_outputs() -> tuple[ProbeResult, ...]:
    """Try every output for a moment, playing silence."""
    return tuple(_probe(name, make(time.monotonic, BUFFER_MS)) for name, make in DEVICES.items())


def _probe(name: str, device: Device) -> ProbeResult:
    output = Output(device)
    try:
        output.open(_silence)
    except OutputError as error:
        return ProbeResult(name, False, error.why, error.advice, 0.0, "", error.said)
    try:
        time.sleep(PROBE_S)
        alive, heard = device.is_alive(), output.heard_frame(time.monotonic())
        device_name = device.device_name()
    finally:
        output.close()
    why = advice = ""
    if not alive or heard is None:
        why = "The device opened but asked for no sound."
        advice = "Try another output, or restart the sound server."
    return ProbeResult(name, not why, why, advice, 1000 * output.latency_s, device_name, device.said)


def _silence(frames: int) -> Pcm:
    return np.zeros((frames, 2), np.int16)
