"""Outputs: the only code that opens a sound device; each pulls one endless stream of frames, silence too.

An output is opened once and left open. It asks for the next frames whenever it needs them, from a thread of
its own, and can say at any time which frame is coming out of the speaker.
"""

from trainer.audio.outputs.choice import (
    SETTINGS,
    ProbeResult,
    begin_output,
    make_output,
    open_output,
    probe_outputs,
)
from trainer.audio.outputs.frameclock import RATE_HZ, FrameClock
from trainer.audio.outputs.miniaudio_device import device_names
from trainer.audio.outputs.output import LOST_NOTICE, DeviceOutput, ManualOutput, Output
from trainer.audio.outputs.protocols import Device, Frames, OutputError, Pull

__all__ = [
    "LOST_NOTICE",
    "RATE_HZ",
    "SETTINGS",
    "Device",
    "DeviceOutput",
    "FrameClock",
    "Frames",
    "ManualOutput",
    "Output",
    "OutputError",
    "ProbeResult",
    "Pull",
    "begin_output",
    "device_names",
    "make_output",
    "open_output",
    "probe_outputs",
]
