"""The simpleaudio output's device: one long buffer that is written a little ahead of where it is being played.

The library plays one finished buffer, but its thread reads the buffer's memory only as it goes along. So the buffer is
a tape: silent at first, filled ahead of the clock while it plays. The library doesn't tell where it is, so the clock
has to. Sound card and clock drift apart, so the tape is replaced by a new one in moments of silence.
"""

from __future__ import annotations

import mmap
import sys
import time
from typing import Any

from trainer.audio.arrays import np
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.protocols import BUFFER_MS, Clock, Fill, OutputError, Pcm
from trainer.audio.outputs.stderr import listening_to_stderr
from trainer.audio.outputs.ticking import Ticking

BLOCK = 882
TICK_S = 0.02
READ_AHEAD_S = 0.12
"""The library reads 0.1 s ahead of what is heard; a block written later than this would be missed in part."""

LEAST_AHEAD_S = 0.06
DRIFT = 100e-6
"""The tape is written as far ahead as the buffer is long, at least so far before it is read; and DRIFT s more for each
second of its age: sound cards run up to 100 ppm off the clock."""

LATENCY_S = 0.0
"""A tape is heard as soon as it plays (0 to 5 ms measured on a null sink); a sound card adds its own."""

CAN_LET_GO = hasattr(mmap, "MADV_DONTNEED")
TAPE_S = 3600 if CAN_LET_GO else 600
"""A tape takes 10.6 MB a minute. Where played memory can't be given back to the system, tapes are short."""

TURN_AFTER_S = 300.0
TURN_SILENCE_S = 2.0
"""An older tape is replaced after so much silence that nothing is being practised."""

OLD_KEPT_S = 0.5
"""A tape that was replaced is stopped so long after the last frame written on it was due."""

FRAME_BYTES = 4
LET_GO_BYTES = 1 << 22
STOP_WAIT_S = 2.0


class Tape:
    """One buffer being played: when it began, and how many of its frames are written."""

    def __init__(self, seconds: float, lead_s: float) -> None:
        self.frames = int(seconds * RATE_HZ)
        self.memory = mmap.mmap(-1, self.frames * FRAME_BYTES)
        self.samples = np.frombuffer(self.memory, dtype=np.int16).reshape(-1, 2)
        self.written = int(lead_s * RATE_HZ)
        self.started_s = 0.0
        self.play: Any = None
        self._let_go = 0

    @property
    def due_s(self) -> float:
        """The second at which the next frame to be written is due."""
        return self.started_s + self.written / RATE_HZ

    def write(self, block: Pcm) -> None:
        """Put a block after the last one."""
        self.samples[self.written : self.written + len(block)] = block
        self.written += len(block)

    def has_room(self) -> bool:
        """Whether one more block fits."""
        return self.written + BLOCK <= self.frames

    def skip_to(self, second: float) -> None:
        """Leave silence up to a second of the clock."""
        self.written = round((second - self.started_s) * RATE_HZ)

    def let_go(self, now_s: float) -> None:
        """Give memory played at least a second ago back to the system."""
        played = int((now_s - self.started_s - 1.0) * RATE_HZ) * FRAME_BYTES
        if CAN_LET_GO and played - self._let_go >= LET_GO_BYTES:
            self.memory.madvise(mmap.MADV_DONTNEED, self._let_go, LET_GO_BYTES)
            self._let_go += LET_GO_BYTES


class SimpleaudioDevice:
    """The system's default device through simpleaudio 1.0.4; only on Python before 3.12."""

    name = "simpleaudio"
    latency_s = LATENCY_S

    def __init__(
        self,
        clock: Clock = time.monotonic,
        buffer_ms: int = BUFFER_MS,
        tape_s: float = TAPE_S,
        turn_after_s: float = TURN_AFTER_S,
    ) -> None:
        self._clock = clock
        self._lead_s = max(buffer_ms / 1000, READ_AHEAD_S + LEAST_AHEAD_S)
        self._tape_s = tape_s
        self._turn_after_s = turn_after_s
        self._library: Any = None
        self._fill: Fill | None = None
        self._tape: Tape | None = None
        self._old: Tape | None = None
        self._silent_s = 0.0
        self._ticking: Ticking | None = None
        self.turns = 0
        self.said = ""

    def start(self, fill: Fill, due_s: float) -> None:
        """Open the device and write ahead from `fill`; `due_s` is not used, because a tape starts at once."""
        self.stop()
        self._library = load_simpleaudio()
        self._tape = self._play()
        self._fill = fill
        self._ticking = Ticking(self.step, TICK_S, "simpleaudio output")

    def _play(self) -> Tape:
        tape = Tape(self._tape_s, self._lead_s)
        try:
            with listening_to_stderr() as said:
                tape.play = self._library.play_buffer(tape.memory, 2, 2, RATE_HZ)
                tape.started_s = self._clock()
        except self._library._simpleaudio.SimpleaudioError as error:
            raise OutputError(
                f"No sound device could be opened (simpleaudio: {error}).",
                "Switch a sound device or the sound server on, then try “throwbeat check”.",
                said.text,
            ) from error
        self.said = said.text
        return tape

    def step(self) -> None:
        """Write the tape as far ahead as it has to be, and replace it if it is time."""
        now_s, tape = self._clock(), self._tape
        if self._old is not None and now_s - self._old.due_s > OLD_KEPT_S:
            self._old.play.stop()
            self._old = None
        if tape is not None and self._is_time_to_turn(tape, now_s):
            tape = self._turn(tape)
        if tape is None or self._fill is None:
            return
        if tape.due_s < now_s + READ_AHEAD_S:
            tape.skip_to(now_s + self._lead_s)
        lead_s = self._lead_s + DRIFT * (now_s - tape.started_s)
        while tape.due_s < now_s + lead_s and tape.has_room():
            block = self._fill(BLOCK, tape.due_s)
            tape.write(block)
            self._silent_s = 0.0 if block.any() else self._silent_s + BLOCK / RATE_HZ
        tape.let_go(now_s)

    def _is_time_to_turn(self, tape: Tape, now_s: float) -> bool:
        at_rest = now_s - tape.started_s > self._turn_after_s and self._silent_s > TURN_SILENCE_S
        return at_rest or not tape.has_room()

    def _turn(self, tape: Tape) -> Tape | None:
        """Start the tape that follows: silent for as long as there is more to be heard of this one. None: no device."""
        try:
            following = self._play()
        except OutputError:
            tape.play.stop()  # so that is_alive tells that the device is gone; the output sees to the rest
            return None
        following.skip_to(tape.due_s)
        self._old, self._tape = tape, following
        self._silent_s = 0.0
        self.turns += 1
        return following

    def stop(self) -> None:
        """End playing and wait until the library's thread let go: it may crash if the interpreter is left before."""
        if self._ticking is not None:
            self._ticking.stop()
        plays = [tape.play for tape in (self._old, self._tape) if tape is not None]
        for play in plays:
            play.stop()
        until_s = time.monotonic() + STOP_WAIT_S
        while any(play.is_playing() for play in plays) and time.monotonic() < until_s:
            time.sleep(0.01)
        self._ticking = self._fill = self._tape = self._old = None

    def is_alive(self) -> bool:
        """Whether the tape still plays."""
        return self._tape is not None and bool(self._tape.play.is_playing())

    def device_name(self) -> str:
        """The default device: the library knows no other."""
        return "the system's default device"


def load_simpleaudio() -> Any:
    """The library; raises OutputError where it is missing or would end the process."""
    if sys.version_info >= (3, 12):
        raise OutputError(
            "The output simpleaudio was refused: from Python 3.12 on its library ends the whole program "
            "as soon as a sound ends.",
            "Set the output to auto or miniaudio, or use Python 3.11.",
        )
    try:
        import simpleaudio
    except ImportError as error:
        raise OutputError(
            f"The library simpleaudio could not be loaded: {error}.",
            "Install it with `pip install simpleaudio` (on Linux it needs a C compiler and ALSA's headers), "
            "or set the output to auto.",
        ) from error
    return simpleaudio
