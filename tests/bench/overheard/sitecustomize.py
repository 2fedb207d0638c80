"""Put on the path of a trainer by holding.py: every block that it renders is kept in a file in memory.

OVERHEARD names the file. Beside it stand, each with its second, the number of frames of each request (OVERHEARD.times)
and the frame from which on nothing new began when a run was stopped (OVERHEARD.stops). With OVERHEARD_LATE_S, what all
threads did is written down when no request came for so many seconds (OVERHEARD.stacks).
"""

import faulthandler
import os
import struct
import time

if "OVERHEARD" in os.environ:
    from trainer.audio.performance import Performance
    from trainer.audio.transport import Transport

    _pull, _stopped = Transport.pull, Performance.stopped
    _blocks = open(os.environ["OVERHEARD"], "ab", buffering=0)  # noqa: SIM115
    _times = open(os.environ["OVERHEARD"] + ".times", "ab", buffering=0)  # noqa: SIM115

    _stops = open(os.environ["OVERHEARD"] + ".stops", "ab", buffering=0)  # noqa: SIM115

    _stacks = open(os.environ["OVERHEARD"] + ".stacks", "a", buffering=1)  # noqa: SIM115

    def stopped(self, at_frame):  # type: ignore[no-untyped-def]
        _stops.write(struct.pack("<dq", time.monotonic(), at_frame))
        return _stopped(self, at_frame)

    def pull(self, frames):  # type: ignore[no-untyped-def]
        _times.write(struct.pack("<dq", time.monotonic(), frames))
        if "OVERHEARD_LATE_S" in os.environ:
            faulthandler.dump_traceback_later(float(os.environ["OVERHEARD_LATE_S"]), file=_stacks)
        block = _pull(self, frames)
        _blocks.write(block.data)
        return block

    Transport.pull = pull  # type: ignore[method-assign]
    Performance.stopped = stopped  # type: ignore[method-assign]
