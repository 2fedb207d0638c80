"""A passage: a performance from its first beat to a last, read event by event as often as a file needs it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from trainer.audio.performance import Performance, PlacedEvent
from trainer.timing.score import EventKind

Tell = Callable[[float], None]
"""A function that is told now and then which share of the work, from 0 to 1, is done."""

EVENTS_BETWEEN_TELLING = 256


def untold(_share: float) -> None:
    """Tell nobody how far the work is."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A placed event, its exact second from the start of the file, and the catches made by then, itself included."""

    placed: PlacedEvent
    second: Fraction
    catches: int


@dataclass(frozen=True, slots=True)
class Passage:
    """What a hand-out is made from: a performance whose first beat falls on second 0, and the beat it ends at.

    title: one line that says what it is.
    """

    performance: Performance
    stop_beat: Fraction
    title: str

    def second_at(self, beat: Fraction | int) -> Fraction:
        """The exact second of a beat from the start of the file."""
        return self.performance.origin_s + self.performance.tempo.second_at(Fraction(beat))

    @property
    def stop_frame(self) -> int:
        """The frame after the last sound: the end of the last beat, or later if a sound still rings then."""
        performance, bank = self.performance, self.performance.bank
        stop_frame = performance.frame_at(self.stop_beat)
        # What began earlier than the longest sound before the end has rung out: only the last beats are looked at.
        first = max(performance.beat_at(stop_frame - bank.longest_frames), Fraction(performance.first_beat))
        ends = (
            placed.at_frame + len(bank[placed.voice])
            for placed in performance.placed_events(first, self.stop_beat)
            if placed.voice is not None
        )
        return max((stop_frame, *ends))

    def placed_events(self) -> Iterator[PlacedEvent]:
        """Every event, those that make no sound included, in order."""
        return self.performance.placed_events(self.performance.first_beat, self.stop_beat)

    def moments(self, tell: Tell = untold) -> Iterator[Moment]:
        """Every event with its second and the count of catches, in order, made as they are read."""
        first, length = self.performance.first_beat, self.stop_beat - self.performance.first_beat
        catches = 0
        for number, placed in enumerate(self.placed_events()):
            if number % EVENTS_BETWEEN_TELLING == 0:
                tell(float((placed.event.beat - first) / length))
            catches += placed.event.kind is EventKind.CATCH
            yield Moment(placed, self.second_at(placed.event.beat), catches)
