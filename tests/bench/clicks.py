"""How exact are the clicks? One play call per click from a sleeping thread, against the trainer's stream.

Both play through a real sound server of our own (PulseAudio with a null sink) and are recorded from its monitor.
Run: python tests/bench/clicks.py [TEMPO] [CLICKS]
"""

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.live.clicks import CLICK, Clicks, beat_frames
from tests.live.soundserver import SoundServer, missing_programs, onsets
from trainer.audio.outputs.choice import open_output
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import Transport

SETTLE_S = 2.5
STREAM, SLEEPING = "our stream, miniaudio", "a play call per click, simpleaudio"


def play_from_a_sleeping_thread(tempo_bpm: int, clicks: int) -> None:
    """Sleep until each beat, then have one finished sound played."""
    import simpleaudio

    # With silence around it: a new sound often loses its first milliseconds, and this way gets its best chance.
    sound = np.zeros((RATE_HZ // 5, 2), np.int16)
    begins = RATE_HZ // 20
    sound[begins : begins + len(CLICK)] = np.rint(CLICK * 32767)[:, np.newaxis]
    begun_s = time.monotonic() + 0.5
    for beat in range(clicks):
        time.sleep(max(0.0, begun_s + beat * 60 / tempo_bpm - time.monotonic()))
        simpleaudio.play_buffer(sound, 2, 2, RATE_HZ)
    time.sleep(1.0)


def play_as_a_stream(name: str) -> Callable[[int, int], None]:
    """Play through one of the trainer's outputs."""

    def play(tempo_bpm: int, clicks: int) -> None:
        transport = Transport(RATE_HZ)
        output, notice = open_output(name, transport.pull)
        try:
            if notice is not None:
                sys.exit(notice)
            time.sleep(SETTLE_S)
            transport.post(lambda _scene, at: Clicks(at + RATE_HZ // 2, tempo_bpm, clicks))
            time.sleep(60 / tempo_bpm * clicks + 1.5)
        finally:
            output.close()

    return play


def interval_errors_ms(heard: np.ndarray, tempo_bpm: int) -> np.ndarray:
    """Give how far each interval was off the nearest whole number of beats (a click between may be missing)."""
    beat = np.rint((heard - heard[0]) * tempo_bpm / 60 / RATE_HZ).astype(int)
    return (np.diff(heard) - np.diff(beat_frames(tempo_bpm, beat[-1] + 1)[beat])) * 1000 / RATE_HZ


def measure(tempo_bpm: int, clicks: int) -> dict[str, np.ndarray]:
    """The error of each interval in ms, for each way of playing, as recorded from the sound server."""
    if missing := missing_programs():
        sys.exit(f"Install {', '.join(missing)} first (Debian: pulseaudio pulseaudio-utils libasound2-plugins).")
    ways: dict[str, Callable[[int, int], None]] = {STREAM: play_as_a_stream("miniaudio")}
    if sys.version_info < (3, 12):
        ways["our stream, simpleaudio"] = play_as_a_stream("simpleaudio")
        ways[SLEEPING] = play_from_a_sleeping_thread
    errors_ms = {}
    server = SoundServer()
    os.environ.update(server.environ)
    try:
        server.start()
        for way, play in ways.items():
            with server.recording() as recording:
                play(tempo_bpm, clicks)
                heard = onsets(recording.heard())
            errors_ms[way] = interval_errors_ms(heard, tempo_bpm)
    finally:
        server.close()
    return errors_ms


def main() -> None:
    """Print one row for each way of playing."""
    tempo_bpm = int(sys.argv[1]) if len(sys.argv) > 1 else 240
    clicks = int(sys.argv[2]) if len(sys.argv) > 2 else 60
    print(f"{clicks} clicks at {tempo_bpm} a minute, error of the interval in ms")
    print(f"{'way of playing':<36}{'heard':>6}{'std':>9}{'worst':>9}")
    for way, errors_ms in measure(tempo_bpm, clicks).items():
        print(f"{way:<36}{len(errors_ms) + 1:>6}{errors_ms.std():>9.3f}{np.abs(errors_ms).max():>9.3f}")


if __name__ == "__main__":
    main()
