"""How long after a request is its first frame heard? For buffers of several lengths, through a sound server of our own.

    python tests/bench/latency.py [BUFFER_MS …]      50 100 150 200 300 400 unless told otherwise

Clicks are played by the output alone and recorded. Printed for each buffer: the latency, from the second at which the
output takes a frame to be needed until it was heard, in ms, and the constant that miniaudio_device.py reckons with.
Linux; needs PulseAudio.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.clicks import Clicks, beat_frames
from tests.live.soundserver import RATE_HZ, SoundServer, onsets
from trainer.audio.outputs.choice import begin_output, make_output
from trainer.audio.transport import Transport

TEMPO_BPM, BEATS, SETTLE_S, ROUNDS = 240, 24, 3.0, 3


def latency_ms(buffer_ms: int) -> tuple[float, float]:
    """Measured, and as the output has it."""
    transport = Transport(RATE_HZ)
    output = make_output("miniaudio", buffer_ms=buffer_ms)
    begun: list[int] = []

    def begin(_scene: object, at_frame: int) -> Clicks:
        begun.append(at_frame + RATE_HZ // 2)
        return Clicks(begun[0], TEMPO_BPM, BEATS)

    if notice := begin_output(output, transport.pull):
        sys.exit(notice)
    with server.recording() as recording:
        try:
            time.sleep(SETTLE_S)
            transport.post(begin)
            time.sleep(60 / TEMPO_BPM * BEATS + 1.5)
            zero_s = output.heard_at_s(0.0)
        finally:
            output.close()
        heard = onsets(recording.heard())
    assert zero_s is not None
    assert len(heard) == BEATS
    needed_s = zero_s - output.latency_s
    late = [
        recording.zero_s + at / RATE_HZ - needed_s - frame / RATE_HZ
        for at, frame in zip(heard, beat_frames(TEMPO_BPM, BEATS) + begun[0], strict=True)
    ]
    return 1000 * statistics.median(late), 1000 * output.latency_s


if __name__ == "__main__":
    server = SoundServer()
    os.environ.update(server.environ)
    server.start()
    try:
        for asked in [int(word) for word in sys.argv[1:]] or [50, 100, 150, 200, 300, 400]:
            found = [latency_ms(asked) for _ in range(ROUNDS)]
            print(f"{asked:>4} ms: heard {', '.join(f'{each:.0f}' for each, _ in found)} ms later; {found[0][1]:.0f}")
    finally:
        server.close()
