"""Writes a passage as a Standard MIDI File 1.0 of format 1: a tempo map, and a track for each hand.

Ticks: a beat is a quarter note (a half or a whole one where a quarter would be longer than the 16.7 s a tempo can
say). The ticks of a quarter are the least common multiple of 480 and the denominators of the score's beats, so
that thirds of a beat and the like fall on whole ticks; only where that passes 32767, the most a file can say, a
catch is rounded (half up) to a tick, a throw never.

Tempo: a file says whole microseconds a quarter note, and most tempos are not whole. The tempo map therefore
changes by a microsecond now and then, before the beats have gone astray by a quarter of a tick (or, where a tick
is shorter than that can be steered, by two microseconds): no error adds up over an hour.

Pitches: each role at its pitch in the kit, to the nearest semitone at throw value 3; where the kit's values lie
closer than a semitone, the notes lie a semitone apart, so that a higher throw stays the higher note.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, partial
from heapq import heappop, heappush
from itertools import cycle, pairwise
from math import ceil, floor, lcm, log2
from pathlib import Path
from typing import Final

from mido import Message, MetaMessage, MidiFile

from trainer.audio.kit import HIGHEST_VALUE, MIDDLE_VALUE, Kit, Strike, value_to_semitones
from trainer.export.passage import EVENTS_BETWEEN_TELLING, Passage, Tell, untold
from trainer.files.whole import Existing, open_whole
from trainer.siteswap.throws import Hand
from trainer.timing.score import Event, EventKind, Score
from trainer.timing.tempo import TempoMap

USUAL_TICKS: Final = 480  # of a quarter note, what most programs use
MOST_TICKS: Final = 32_767  # 15 bits
MINUTE_US: Final = 60_000_000
LONGEST_QUARTER_US: Final = 2**24 - 1
A4_HZ, A4_NOTE, HIGHEST_NOTE = 440.0, 69, 127
RECORDING_NOTE: Final = 60  # of a recording, whose pitch is not known, at throw value 3
CHANNELS: Final = tuple(channel for channel in range(16) if channel != 9)  # 9 is percussion by General MIDI
NOTE_BEATS: Final = Fraction(1, 2)  # shorter than any hand needs to throw again
ERROR_TICKS: Final = Fraction(1, 4)
LEAST_ERROR_US: Final = 1  # a change of one microsecond a quarter note can't steer closer
PAN, PAN_MIDDLE, PAN_REACH = 10, 64, 63
VELOCITY: Final = {EventKind.THROW: 100, EventKind.ENTRY: 100, EventKind.COUNT_IN: 90, EventKind.GOAL: 100}
USUAL_VELOCITY: Final = 70

HAND_KINDS: Final = frozenset({EventKind.ENTRY, EventKind.THROW, EventKind.HOLD, EventKind.GAP})
CUE_KINDS: Final = frozenset({EventKind.ROUND, EventKind.GOAL, EventKind.STEP, EventKind.FLOOR})


@dataclass(frozen=True, slots=True)
class Track:
    """A track of notes: which events it plays; juggler and hand None for those of no hand."""

    name: str
    channel: int
    kinds: frozenset[EventKind]
    juggler: int | None = None
    hand: Hand | None = None

    def plays(self, event: Event) -> bool:
        """Whether an event belongs to this track."""
        return event.kind in self.kinds and self.juggler in (None, event.juggler) and self.hand in (None, event.hand)


@dataclass(frozen=True, slots=True)
class Grid:
    """How beats become ticks: ticks of a quarter note, quarter notes of a beat, the beat of tick 0."""

    quarter_ticks: int
    quarters: int
    first_beat: int

    @property
    def beat_ticks(self) -> int:
        """Ticks of one beat."""
        return self.quarter_ticks * self.quarters

    def tick_at(self, beat: Fraction | int) -> int:
        """The tick of a beat, rounded half up where it lies between two."""
        return floor((beat - self.first_beat) * self.beat_ticks + Fraction(1, 2))


def to_grid(passage: Passage) -> Grid:
    """The grid on which the beats of a passage lie exactly, or as closely as a file can say."""
    performance = passage.performance
    slowest_bpm = min(segment.tempo_bpm for segment in performance.tempo.segments)
    quarters = 1
    while slowest_bpm * quarters * LONGEST_QUARTER_US < MINUTE_US:
        quarters *= 2
    return Grid(quarter_ticks(performance.score), quarters, performance.first_beat)


def quarter_ticks(score: Score) -> int:
    """Ticks of a quarter note: the fewest, from 480 up, on which the catches of a score fall exactly."""
    needed = lcm(*(offset.denominator for offset, _ in score.catch_cells))
    if needed > MOST_TICKS:
        needed = score.dwell.limit_denominator(MOST_TICKS).denominator
    both = lcm(needed, USUAL_TICKS)
    return both if both <= MOST_TICKS else needed * ceil(Fraction(USUAL_TICKS, needed))


def to_parts(jugglers: int) -> tuple[Track, ...]:
    """The tracks of notes, each with a channel of its own up to three jugglers; with more, some catches share."""
    channels = cycle(CHANNELS)
    parts = [
        Track("count-in", next(channels), frozenset({EventKind.COUNT_IN})),
        Track("cues", next(channels), CUE_KINDS),
    ]
    for words, kinds in (("", HAND_KINDS), (", catches", frozenset({EventKind.CATCH}))):
        for juggler in range(jugglers):
            who = f"juggler {juggler + 1}, " if jugglers > 1 else ""
            for hand, side in ((Hand.RIGHT, "right hand"), (Hand.LEFT, "left hand")):
                parts.append(Track(f"{who}{side}{words}", next(channels), kinds, juggler, hand))
    return tuple(parts)


def tempo_steps(tempo: TempoMap, first_beat: int, stop_beat: Fraction, grid: Grid) -> Iterator[tuple[Fraction, int]]:
    """The tempo map as whole microseconds a quarter note: (beat, microseconds), each from that beat on.

    A tempo stays for whole beats, until one more would lead too far from the exact time; then comes the next
    whole number on the other side.
    """
    turns = sorted({segment.beat for segment in tempo.segments if first_beat < segment.beat < stop_beat})
    error_us, at_us = Fraction(0), 0
    for beat, stop in pairwise((Fraction(first_beat), *turns, stop_beat)):
        beat_us = MINUTE_US / tempo.tempo_at(beat)
        most_us = max(beat_us / grid.beat_ticks * ERROR_TICKS, Fraction(grid.quarters * LEAST_ERROR_US))
        while beat < stop:
            if abs(error_us + grid.quarters * at_us - beat_us) > most_us:
                before_us = at_us
                at_us = floor(beat_us / grid.quarters) if error_us > 0 else ceil(beat_us / grid.quarters)
                if at_us != before_us:
                    yield beat, at_us
            drift_us = grid.quarters * at_us - beat_us
            beats = stop - beat
            if drift_us:
                room_us = most_us - error_us if drift_us > 0 else most_us + error_us
                beats = min(beats, Fraction(max(1, floor(room_us / abs(drift_us)))))
            error_us += beats * drift_us
            beat += beats


def role_to_notes(kit: Kit, role: str, juggler: int) -> tuple[int, ...]:
    """The note of each throw value from 0 on, rising where the kit's pitch rises, even by less than a semitone."""
    sound = kit.sounds[role]
    middle = float(RECORDING_NOTE)
    if isinstance(sound, Strike):
        middle = A4_NOTE + 12 * log2(sound.pitch_hz / A4_HZ) + kit.seat(juggler).shift
    exact = [middle + value_to_semitones(value, sound.rise) for value in range(HIGHEST_VALUE + 1)]
    notes = [round(each) for each in exact]
    for value in range(MIDDLE_VALUE + 1, len(exact)):
        notes[value] = max(notes[value], notes[value - 1] + (exact[value] > exact[value - 1]))
    for value in range(MIDDLE_VALUE - 1, -1, -1):
        notes[value] = min(notes[value], notes[value + 1] - (exact[value] < exact[value + 1]))
    while notes[-1] > HIGHEST_NOTE:  # whole octaves down
        notes = [note - 12 for note in notes]
    return tuple(notes)


def _tempo_track(passage: Passage, grid: Grid) -> Iterator[MetaMessage]:
    performance, now = passage.performance, 0
    yield MetaMessage("track_name", name=passage.title)
    steps = tempo_steps(performance.tempo, performance.first_beat, passage.stop_beat, grid)
    marker = (Fraction(0), "first throw")
    for beat, what in sorted([*steps, marker], key=lambda step: step[0]):
        tick = grid.tick_at(beat)
        if isinstance(what, str):
            yield MetaMessage("marker", text=what, time=tick - now)
        else:
            yield MetaMessage("set_tempo", tempo=what, time=tick - now)
        now = tick
    yield MetaMessage("end_of_track", time=grid.tick_at(passage.stop_beat) - now)


def _notes(passage: Passage, part: Track, grid: Grid, tell: Tell) -> Iterator[tuple[int, int, int]]:
    """(tick, note, velocity) of what a part plays, the ends of notes with velocity 0, in order."""
    performance = passage.performance
    to_notes = cache(partial(role_to_notes, performance.bank.kit))
    length = max(1, int(NOTE_BEATS * grid.beat_ticks))
    ends: list[tuple[int, int]] = []
    first, beats = performance.first_beat, passage.stop_beat - performance.first_beat
    for number, event in enumerate(performance.events(first, passage.stop_beat)):
        if number % EVENTS_BETWEEN_TELLING == 0:
            tell(float((event.beat - first) / beats))
        gain = performance.hearing.gain(event, performance.score) if part.plays(event) else 0.0
        voice = performance.voice_of(event) if gain else None
        if voice is None:
            continue
        tick = grid.tick_at(event.beat)
        while ends and ends[0][0] <= tick:
            yield *heappop(ends), 0
        note = to_notes(voice.role, voice.juggler)[voice.value]
        heappush(ends, (tick + length, note))
        yield tick, note, max(1, round(gain * VELOCITY.get(event.kind, USUAL_VELOCITY)))
    while ends:
        yield *heappop(ends), 0


def _part_track(passage: Passage, part: Track, grid: Grid, tell: Tell) -> Iterator[Message | MetaMessage]:
    yield MetaMessage("track_name", name=part.name)
    yield Message("control_change", channel=part.channel, control=PAN, value=part_to_pan(part, passage))
    now = 0
    for tick, note, velocity in _notes(passage, part, grid, tell):
        kind = "note_on" if velocity else "note_off"
        yield Message(kind, channel=part.channel, note=note, velocity=velocity, time=tick - now)
        now = tick
    yield MetaMessage("end_of_track", time=max(grid.tick_at(passage.stop_beat) - now, 0))


def part_to_pan(part: Track, passage: Passage) -> int:
    """Where a part is heard, 0 (left) to 127 (right): as the kit places its hand and its juggler."""
    kit = passage.performance.bank.kit
    seat = kit.seat(part.juggler or 0)
    side = {Hand.RIGHT: 1.0, Hand.LEFT: -1.0, None: 0.0}[part.hand] * kit.spread * seat.width + seat.place
    return PAN_MIDDLE + round(PAN_REACH * min(max(side, -1.0), 1.0))


def write_midi(path: Path, passage: Passage, existing: Existing, tell: Tell = untold) -> None:
    """The tempo map, then count-in, cues, each hand's throws and each hand's catches; errors as in open_whole."""
    grid = to_grid(passage)
    parts = to_parts(passage.performance.score.pattern.jugglers)
    file = MidiFile(type=1, ticks_per_beat=grid.quarter_ticks)
    # Generators: the messages are made as they are written, so an hour takes no more memory than its bytes.
    file.tracks.append(_tempo_track(passage, grid))
    for place, part in enumerate(parts):
        tell_part = partial(_tell_part, tell, place, len(parts))
        file.tracks.append(_part_track(passage, part, grid, tell_part))
    with open_whole(path, existing) as whole:
        file.save(file=whole)


def _tell_part(tell: Tell, place: int, parts: int, share: float) -> None:
    tell((place + share) / parts)
