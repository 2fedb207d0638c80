"""A performance: a score with a tempo, a kit and a place in the stream, ready to be rendered or listed.

The transport plays it and files are made from it. Both place a sound by one rule: its frame is the exact second × rate,
rounded half up, once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from heapq import merge
from math import ceil, floor

from trainer.audio.hearing import THROWS_HEARD, Hearing
from trainer.audio.render import PlacedSound, mix
from trainer.audio.synth import Bank, Samples, Voice
from trainer.siteswap.throws import Hand
from trainer.timing.counting import beat_of_catch
from trainer.timing.score import Event, EventKind, Score
from trainer.timing.tempo import TempoMap, second_to_frame

SHORTEST_ROUND_HEARD = 3
"""Beats: a shorter round comes back so often that its sound would tell nothing."""

CUES = (
    "flash", "qualify", "best", "goal", "drop", "ended", "block", "target", "rung-up", "rung-down", "countdown",
    "ready",
)  # fmt: skip
"""Roles that may sound at any time in a run."""

MOST_BEATS_PREPARED = 400

BEATS_KEPT = 64
"""How many beats back placed sounds are kept; a block needs only those that may still sound."""


@dataclass(frozen=True, slots=True)
class PlacedEvent:
    """An event of the score, its frame in the stream, and the sound it makes; voice: None if it makes none."""

    at_frame: int
    event: Event
    voice: Voice | None
    gain: float = 1.0


@dataclass(frozen=True)
class Performance:
    """What sounds, from the count-in on.

    tempo: as TempoMap.steady makes it, from first_beat on. origin_s: the second of the stream on which the tempo map's
    second 0 falls. goals: (number of a catch, role that sounds on its beat). cues: sounds that no event makes.
    stop_frame: from there on nothing new begins; None: it goes on for ever. take: the number of the try it is for, so
    that a change meant for one try never reaches the next.
    """

    score: Score
    tempo: TempoMap
    bank: Bank
    origin_s: Fraction
    count_in_beats: int = 0
    goals: tuple[tuple[int, str], ...] = ()
    cues: tuple[PlacedSound, ...] = ()
    stop_frame: int | None = None
    take: int = 0
    hearing: Hearing = THROWS_HEARD

    @classmethod
    def steady(
        cls,
        score: Score,
        tempo_bpm: Fraction,
        bank: Bank,
        count_in_beats: int = 0,
        goals: tuple[tuple[int, str], ...] = (),
        hearing: Hearing = THROWS_HEARD,
        take: int = 0,
    ) -> Performance:
        """A performance at one tempo, whose count-in begins on frame 0; raises TempoError for a tempo out of range."""
        first_beat = Fraction(-score.lead_beats - count_in_beats)
        tempo = TempoMap.steady(tempo_bpm, int(first_beat))
        return cls(score, tempo, bank, -tempo.second_at(first_beat), count_in_beats, goals, take=take, hearing=hearing)

    def later(self, frames: int) -> Performance:
        """The same, begun so many frames later in the stream."""
        return replace(self, origin_s=self.origin_s + Fraction(frames, self.bank.rate_hz))

    @property
    def first_beat(self) -> int:
        """The count-in's first beat; the count-in and the score's entry come before beat 0."""
        return -self.score.lead_beats - self.count_in_beats

    def frame_at(self, beat: Fraction | int) -> int:
        """The frame of the stream on which a beat falls."""
        return second_to_frame(self.origin_s + self.tempo.second_at(Fraction(beat)), self.bank.rate_hz)

    def beat_at(self, frame: int | Fraction) -> Fraction:
        """The exact beat at a frame of the stream."""
        return self.tempo.beat_at(Fraction(frame) / self.bank.rate_hz - self.origin_s)

    def events(self, start_beat: Fraction | int, stop_beat: Fraction | int | None) -> Iterator[Event]:
        """Count-in, score and goals in the order of their beats, from start_beat on and before stop_beat."""
        first = max(self.first_beat, ceil(start_beat))
        counted_in = -self.score.lead_beats
        last = counted_in if stop_beat is None else min(counted_in, ceil(stop_beat))
        count_in = (Event(Fraction(beat), EventKind.COUNT_IN) for beat in range(first, last))
        score = self.score.events(start_beat, stop_beat)
        goals = (
            Event(beat, EventKind.GOAL, name=role)
            for beat, role in self._goal_beats
            if start_beat <= beat and (stop_beat is None or beat < stop_beat)
        )
        yield from count_in
        stop = None if stop_beat is None else Fraction(stop_beat)
        all_up = self.hearing.all_up_events(self.score, max(Fraction(start_beat), Fraction(0)), stop)
        yield from merge(score, all_up, goals, key=lambda event: event.beat)

    def placed_events(self, start_beat: Fraction | int, stop_beat: Fraction | int | None) -> Iterator[PlacedEvent]:
        """The events with their frames and sounds, events that make none included."""
        for event in self.events(start_beat, stop_beat):
            gain = self.hearing.gain(event, self.score)
            yield PlacedEvent(self.frame_at(event.beat), event, self.voice_of(event) if gain else None, gain)

    def voice_of(self, event: Event) -> Voice | None:
        """The sound an event has in the kit, whether the hearing lets it sound or not; None where the kit is silent."""
        role = event_to_role(event, self.score)
        if self.bank.kit.is_silent(role):
            return None
        if event.kind is EventKind.ROUND and self.score.pattern.round < SHORTEST_ROUND_HEARD:
            return None
        if event.kind is EventKind.COUNT_IN and self.bank.kit.numbers:
            number = int(event.beat) - self.first_beat + 1
            return Voice(role, number if number <= len(self.bank.kit.numbers) else 0)
        hand = event.hand.value if event.hand is not None and event.kind is not EventKind.ROUND else None
        return Voice(role, event.value, hand, event.juggler)

    def prepare(self) -> None:
        """Make the sounds of the whole pattern ahead of time, so that a live stream only adds them up."""
        pattern = self.score.pattern
        events = self.events(self.first_beat, min(2 * pattern.period + pattern.highest, MOST_BEATS_PREPARED))
        self.bank.prepare({voice for event in events if (voice := self.voice_of(event)) is not None})
        self.bank.prepare(Voice(role) for role in CUES if not self.bank.kit.is_silent(role))
        self.bank.prepare(Voice("count-in", number) for number in range(1, 1 + len(self.bank.kit.numbers)))

    def render(self, start_frame: int, frames: int) -> Samples:
        """Those frames of the stream: float32 (frames, 2). Pure; any cutting into blocks gives the same."""
        stop_frame = start_frame + frames
        first = floor(self.beat_at(start_frame - self.bank.longest_frames))
        last = ceil(self.beat_at(stop_frame))
        placed = [sound for beat in range(first, last + 1) for sound in self._placed_in_beat(beat)]
        if self.stop_frame is not None:
            placed = [sound for sound in placed if sound.at_frame < self.stop_frame]
        for beat in [beat for beat in self._placed if beat < last - BEATS_KEPT]:
            del self._placed[beat]
        return mix([*placed, *self.cues], self.bank, start_frame, frames)

    @cached_property
    def _goal_beats(self) -> tuple[tuple[Fraction, str], ...]:
        beats = ((beat_of_catch(self.score, catch), role) for catch, role in self.goals)
        return tuple(sorted((beat, role) for beat, role in beats if beat is not None))

    @cached_property
    def _placed(self) -> dict[int, tuple[PlacedSound, ...]]:
        return {}

    def _placed_in_beat(self, beat: int) -> tuple[PlacedSound, ...]:
        found = self._placed.get(beat)
        if found is None:
            events = self.placed_events(beat, beat + 1)
            found = tuple(
                PlacedSound(each.at_frame, each.voice, each.gain) for each in events if each.voice is not None
            )
            self._placed[beat] = found
        return found

    # -- changes: each gives the performance that goes on from a frame that is not yet rendered ---------------

    def with_tempo(self, tempo_bpm: Fraction, at_frame: int) -> Performance:
        """The same at another tempo from the first whole beat at or after a frame on; no earlier beat moves."""
        beat = ceil(self.beat_at(at_frame)) - 1  # a beat that was rounded to this very frame is still to be rendered
        while self.frame_at(beat) < at_frame:
            beat += 1
        return replace(self, tempo=self.tempo.with_tempo(Fraction(max(beat, self.first_beat)), tempo_bpm))

    def with_glide(self, tempo_bpm: Fraction, beats: int, at_frame: int) -> Performance:
        """The same gliding to another tempo: equal steps on so many whole beats at or after a frame; 0: at once."""
        turned = self.with_tempo(tempo_bpm, at_frame)
        if not beats:
            return turned
        first = turned.tempo.segments[-1].beat
        before = self.tempo.tempo_at(first)
        tempo = self.tempo
        for step in range(1, beats + 1):
            tempo = tempo.with_tempo(first + step - 1, before + (tempo_bpm - before) * step / beats)
        return replace(self, tempo=tempo)

    def with_cues(self, cues: tuple[PlacedSound, ...], at_frame: int) -> Performance:
        """More sounds, each at a frame of its own from at_frame on; sounds that are over by then are dropped."""
        still_heard = tuple(cue for cue in self.cues if cue.at_frame > at_frame - self.bank.longest_frames)
        return replace(self, cues=(*still_heard, *cues))

    def without_cues(self, at_frame: int) -> Performance:
        """The same without the cues that begin at or after a frame."""
        return replace(self, cues=tuple(cue for cue in self.cues if cue.at_frame < at_frame))

    def with_score(self, score: Score) -> Performance:
        """The same with another score of the same pattern, such as one of another dwell ratio."""
        return replace(self, score=score)

    def resumed(self) -> Performance:
        """The same without its stop; what would have begun before now stays unheard."""
        return replace(self, stop_frame=None)

    def with_bank(self, bank: Bank) -> Performance:
        """The same with another kit; sounds that have begun change to it too."""
        return replace(self, bank=bank)

    def stopped(self, at_frame: int) -> Performance:
        """The same in which nothing new begins from a frame on; what has begun rings out."""
        return replace(self, stop_frame=at_frame if self.stop_frame is None else min(self.stop_frame, at_frame))


def event_to_role(event: Event, score: Score) -> str:
    """The role of the kit that an event sounds as."""
    if event.kind is EventKind.GOAL:
        return event.name
    if event.kind is not EventKind.THROW:
        return event.kind.value
    throw = score.pattern.throws[event.throw]
    if event.value == 1 or (event.value == 2 and throw.crosses):
        return "zip"
    return "right" if event.hand is Hand.RIGHT else "left"
