"""Put on the path of a trainer by holding.py: every block that it renders is kept in a file in memory.

OVERHEARD names the file. Beside it, in OVERHEARD.times, stands the second of each request and its number of frames.
"""

import os
import struct
import time

if "OVERHEARD" in os.environ:
    from trainer.audio.transport import Transport

    _pull = Transport.pull
    _blocks = open(os.environ["OVERHEARD"], "ab", buffering=0)  # noqa: SIM115
    _times = open(os.environ["OVERHEARD"] + ".times", "ab", buffering=0)  # noqa: SIM115

    def pull(self, frames):  # type: ignore[no-untyped-def]
        _times.write(struct.pack("<dq", time.monotonic(), frames))
        block = _pull(self, frames)
        _blocks.write(block.data)
        return block

    Transport.pull = pull  # type: ignore[method-assign]
