"""The pedal: which of the presses that arrive are taps of a foot, and which are the key repeating itself.

Where a release is told (some terminals, a mouse, a MIDI footswitch) there is nothing to guess: a press after a release
is a tap, however soon, unless it comes within BOUNCE_S: then the contact bounced.

Most terminals send no key-up. A pedal held down sends its key once, again after a pause, then in a quick
stream. Two rules tell taps from that:

1. A press within REPEAT_S of the last is no tap: the key repeats (or, within BOUNCE_S, its contact bounced).
2. If the press before it was taken for a tap, but came where a first repeat comes (FIRST_REPEAT_S after the tap
   before), it was the first repeat, and is taken back.

So a tap is final REPEAT_S after it. Times are seconds of one monotonic clock, stamped where the bytes arrive.
Repeats come 15 to 50 a second after a pause of 225 to 660 ms (measured).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

REPEAT_S = 0.090
BOUNCE_S = 0.015
FIRST_REPEAT_S = (0.200, 0.700)

LONG_AGO_S = float("-inf")


class Edge(StrEnum):
    """What the terminal says of a key. DOWN may be a repeat too: most terminals do not tell the two apart."""

    DOWN = "down"
    REPEAT = "repeat"
    UP = "up"


class Meant(StrEnum):
    """What the pedal takes a press for."""

    TAP = "tap"
    BOUNCE = "bounce"
    REPEAT = "repeat"
    RELEASE = "release"
    TAKE_BACK = "take back"
    """A repeat which shows that the press taken for a tap before it was a repeat too."""


@dataclass(frozen=True, slots=True)
class Pedal:
    """One pedal's recent past: the last press, the last tap, the tap before that, the last release; in seconds.

    tap_before_s is long ago too where the last tap can't be taken back.
    """

    press_s: float = LONG_AGO_S
    tap_s: float = LONG_AGO_S
    tap_before_s: float = LONG_AGO_S
    release_s: float = LONG_AGO_S

    def press(self, at_s: float, edge: Edge = Edge.DOWN) -> tuple[Pedal, Meant]:
        """Take in a press or a release; returns the pedal after it and what it was."""
        if edge is Edge.UP:
            return replace(self, release_s=at_s), Meant.RELEASE
        if edge is Edge.REPEAT:
            return replace(self, press_s=at_s), Meant.REPEAT
        if self.release_s >= self.press_s:
            return self._pressed_again(at_s)
        gap = at_s - self.press_s
        if gap >= REPEAT_S:
            return replace(self, press_s=at_s, tap_s=at_s, tap_before_s=self.tap_s), Meant.TAP
        last_was_the_tap = self.press_s - self.tap_s < BOUNCE_S  # or a quick repeat that passed for a bounce of it
        earliest, latest = FIRST_REPEAT_S
        if gap >= BOUNCE_S and last_was_the_tap and earliest <= self.tap_s - self.tap_before_s <= latest:
            back = replace(self, press_s=at_s, tap_s=self.tap_before_s, tap_before_s=LONG_AGO_S)
            return back, Meant.TAKE_BACK
        return replace(self, press_s=at_s), Meant.BOUNCE if gap < BOUNCE_S else Meant.REPEAT

    def _pressed_again(self, at_s: float) -> tuple[Pedal, Meant]:
        """A press with a release before it."""
        if at_s - self.release_s < BOUNCE_S:
            return replace(self, press_s=at_s), Meant.BOUNCE
        return replace(self, press_s=at_s, tap_s=at_s, tap_before_s=LONG_AGO_S), Meant.TAP
