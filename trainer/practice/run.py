"""The run: one attempt after another, driven by a single pedal, as a table of states.

    armed ─tap→ count-in ─first beat→ running ─tap→ ended (drop); a second tap within COLLECT_S → collected
    running ─goal reached and held, or time over→ ended by itself, where something is aimed at
    ended ─settled→ rest ─rested, or tap→ armed

What the table does not list changes nothing, so no press at any moment can do harm.
Times are seconds of the clock that stamps the presses.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum

from trainer.practice.pedal import REPEAT_S
from trainer.records.attempt import CountedBy, Ended

COLLECT_S = 0.4
SETTLE_S = COLLECT_S + REPEAT_S
"""So long after its end a run is settled: by then a second tap has come, and one that was a repeat is taken back."""

NO_TAP_S = 5.0
"""Counted by taps, a run without any tap yet waits this much longer before it ends."""


class RunState(StrEnum):
    """The states of a run."""

    ARMED = "armed"
    COUNT_IN = "count-in"
    RUNNING = "running"
    ENDED = "ended"
    REST = "rest"


class Signal(StrEnum):
    """What can happen to a run."""

    TAP = "tap"
    END = "end"
    FIRST_BEAT = "first beat"
    QUIET = "quiet"
    GOAL = "goal"
    TIME = "time"
    SETTLED = "settled"
    RESTED = "rested"
    GIVE_UP = "give up"


MOVES: dict[tuple[RunState, Signal], RunState] = {
    (RunState.ARMED, Signal.TAP): RunState.COUNT_IN,
    (RunState.COUNT_IN, Signal.FIRST_BEAT): RunState.RUNNING,
    (RunState.COUNT_IN, Signal.GIVE_UP): RunState.ARMED,
    (RunState.RUNNING, Signal.TAP): RunState.ENDED,
    (RunState.RUNNING, Signal.END): RunState.ENDED,
    (RunState.RUNNING, Signal.QUIET): RunState.ENDED,
    (RunState.RUNNING, Signal.GOAL): RunState.ENDED,
    (RunState.RUNNING, Signal.TIME): RunState.ENDED,
    (RunState.RUNNING, Signal.GIVE_UP): RunState.ENDED,
    (RunState.ENDED, Signal.TAP): RunState.ENDED,
    (RunState.ENDED, Signal.END): RunState.ENDED,
    (RunState.ENDED, Signal.SETTLED): RunState.REST,
    (RunState.REST, Signal.RESTED): RunState.ARMED,
    (RunState.REST, Signal.TAP): RunState.ARMED,
}
"""(state, signal) → next state. Counted by taps, a tap while running is a catch: the state stays, unless an aim is met.

A second tap after the end makes a drop a clean finish; after an aim met by taps it makes the end settle later.
"""

ENDINGS = {Signal.GOAL: Ended.GOAL, Signal.TIME: Ended.TIME, Signal.GIVE_UP: Ended.GIVEN_UP}
"""Signal → how it ends a run; every other signal that ends one means a drop."""

BY_ITSELF = (Ended.GOAL, Ended.TIME)
"""Endings that no press makes."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What ends a run by itself. signal: GOAL or TIME. at_s: when it is reached, None where taps alone can tell.

    hold_s: for so long after it a drop may still be pressed. Counted by taps nothing is waited for: the tap that
    makes the number `taps`, or the first one from at_s on, ends the run.
    """

    signal: Signal
    at_s: float | None = None
    hold_s: float = 0.0
    taps: int | None = None

    def met_by(self, taps_s: tuple[float, ...]) -> bool:
        """Whether the last of these taps reaches the aim."""
        if self.taps is not None:
            return len(taps_s) >= self.taps
        return self.at_s is not None and taps_s[-1] >= self.at_s


@dataclass(frozen=True, slots=True)
class Run:
    """The state of the run, and of its present or last attempt.

    since_s: when the state began. taps_s: the counted taps. ended_s: the press that ended the attempt (counted
    by taps and ended by quiet: the last tap; ended by itself: when the aim was reached). limit: what ends the attempt
    by itself, None for nothing. before: the run as it was before the last tap, whether that changed
    it or not, for taking the tap back.
    """

    counted_by: CountedBy
    rest_s: float
    quiet_s: float
    state: RunState = RunState.ARMED
    since_s: float = 0.0
    taps_s: tuple[float, ...] = ()
    started_s: float = 0.0
    ended_s: float | None = None
    ended: Ended | None = None
    limit: Limit | None = None
    before: Run | None = field(default=None, repr=False, compare=False)

    def signal(self, signal: Signal, at_s: float) -> Run:
        """The run after a signal; the same run where the table has no move."""
        after = self._moved(signal, at_s) if (self.state, signal) in MOVES else self
        if signal in (Signal.TAP, Signal.END):
            return replace(after, before=replace(self, before=None))
        # Keep the run before the tap in step with time; once the two differ (the attempt has begun, or is written
        # down), the tap can't be taken back.
        before = self.before.signal(signal, at_s) if self.before is not None else None
        return replace(after, before=before if before is not None and before.state is after.state else None)

    def adjusted(self, counted_by: CountedBy, rest_s: float, quiet_s: float) -> Run:
        """The run with other settings; they stay when a tap is taken back."""
        before = self.before.adjusted(counted_by, rest_s, quiet_s) if self.before is not None else None
        return replace(self, counted_by=counted_by, rest_s=rest_s, quiet_s=quiet_s, before=before)

    def limited(self, limit: Limit | None) -> Run:
        """The run with another limit; it stays when a tap is taken back."""
        if limit == self.limit:
            return self
        before = self.before.limited(limit) if self.before is not None else None
        return replace(self, limit=limit, before=before)

    def untouched(self) -> Run:
        """The run after a tap that may begin no try now: unchanged, also if the tap is taken back."""
        return replace(self, before=replace(self, before=None))

    def _moved(self, signal: Signal, at_s: float) -> Run:
        if self.state is RunState.RUNNING and signal is Signal.TAP and self.counted_by is CountedBy.TAPS:
            return self._tapped(at_s)
        if self.state is RunState.ENDED and signal in (Signal.TAP, Signal.END):
            return self._second_tap(at_s)
        after = replace(self, state=MOVES[self.state, signal], since_s=at_s)
        if after.state is RunState.ENDED:
            return after._finished(signal, at_s)
        if after.state is RunState.RUNNING:
            return replace(after, started_s=at_s)
        if after.state is RunState.COUNT_IN:
            return replace(after, taps_s=(), ended_s=None, ended=None, limit=None)
        return after

    def take_back(self) -> Run:
        """The run as it were without the last tap; the same run if there is no tap to take back."""
        return self.before or self

    def next_change(self) -> tuple[float, Signal] | None:
        """The second at which time moves the run on, and by which signal; None if it does not."""
        if self.state is RunState.ENDED:
            return self.since_s + (max(SETTLE_S, self.quiet_s) if self._ended_by_taps else SETTLE_S), Signal.SETTLED
        if self.state is RunState.REST:
            return self.since_s + self.rest_s, Signal.RESTED
        if self.state is RunState.RUNNING and self.counted_by is CountedBy.TAPS:
            last_s = self.taps_s[-1] if self.taps_s else self.since_s + NO_TAP_S
            return last_s + self.quiet_s, Signal.QUIET
        if self.state is RunState.RUNNING and self.limit is not None and self.limit.at_s is not None:
            return self.limit.at_s + self.limit.hold_s, self.limit.signal
        return None

    def step(self, now_s: float) -> Run | None:
        """The run after the first signal that time has brought by now; None if it has brought none."""
        change = self.next_change()
        return self.signal(change[1], change[0]) if change is not None and change[0] <= now_s else None

    @property
    def _ended_by_taps(self) -> bool:
        """Whether taps met the aim; the juggler may go on tapping for a moment."""
        return self.counted_by is CountedBy.TAPS and self.ended in BY_ITSELF

    def _tapped(self, at_s: float) -> Run:
        tapped = replace(self, taps_s=(*self.taps_s, at_s))
        if self.limit is None or not self.limit.met_by(tapped.taps_s):
            return tapped
        return replace(tapped, state=RunState.ENDED, since_s=at_s, ended_s=at_s, ended=ENDINGS[self.limit.signal])

    def _second_tap(self, at_s: float) -> Run:
        if self._ended_by_taps:
            return replace(self, since_s=at_s)
        if self.ended is not Ended.DROP or self.ended_s is None or at_s - self.ended_s > COLLECT_S:
            return self
        return replace(self, ended=Ended.COLLECTED)

    def _finished(self, signal: Signal, at_s: float) -> Run:
        ended, ended_s = ENDINGS.get(signal, Ended.DROP), at_s
        if signal in (Signal.GOAL, Signal.TIME) and self.limit is not None and self.limit.at_s is not None:
            ended_s = self.limit.at_s
        if signal is Signal.QUIET:
            ended_s = self.taps_s[-1] if self.taps_s else at_s
            ended = Ended.DROP if self.taps_s else Ended.GIVEN_UP
        return replace(self, ended_s=ended_s, ended=ended)
