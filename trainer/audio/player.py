"""The player: one try after another on the stream, each a performance that only its own changes can reach."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.audio.hearing import Hearing
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.output import Output
from trainer.audio.performance import Performance
from trainer.audio.render import PlacedSound
from trainer.audio.synth import Bank, Voice
from trainer.audio.transport import SILENCE, Scene, SceneChange, Transport
from trainer.timing.score import Score
from trainer.timing.tempo import TempoMap

PerformanceChange = Callable[[Performance, int], Performance]
"""Gives the performance that goes on from a frame that is not yet rendered."""

ENDLESS_S = 1e9
SPOKEN_AFTER_S = 0.9
"""From a sound to the number spoken after it."""


class Player:
    """Starts tries, changes the one under way, and tells which beat of it is heard when.

    Seconds are those of the output's clock.
    """

    def __init__(self, transport: Transport, output: Output) -> None:
        self._transport, self._output = transport, output
        self._take = 0

    @property
    def hiccups(self) -> int:
        """How often a click may have been misplaced so far."""
        return self._output.hiccups

    def troubles(self) -> tuple[str, ...]:
        """What went wrong with the sound, in sentences for the note of a try."""
        failure = self._transport.failure
        return () if failure is None else (f"the sound stopped ({failure}); the beat was counted by the clock",)

    def start(
        self,
        score: Score,
        tempo_bpm: Fraction,
        bank: Bank,
        count_in_beats: int,
        goals: tuple[tuple[int, str], ...],
        hearing: Hearing,
    ) -> None:
        """Begin a try with the next block, from its count-in on; goals as in Performance."""
        self._take += 1
        begun = Performance.steady(score, tempo_bpm, bank, count_in_beats, goals, hearing, self._take)
        begun.prepare()
        self._transport.post(lambda _, at_frame: begun.later(at_frame))

    def change(self, change: PerformanceChange) -> None:
        """Have the try under way go on otherwise from the next block on; a try that is over is left as it is."""
        self._transport.post(change_of_take(self._take, change))

    def stop(self) -> None:
        """Let nothing new begin; what has begun rings out."""
        self.change(lambda performance, at_frame: performance.stopped(at_frame))

    def resume(self) -> None:
        """Go on after a stop that is taken back."""
        self.change(lambda performance, _: performance.resumed())

    def stand_by(self, score: Score, tempo_bpm: Fraction, bank: Bank) -> None:
        """Put a stopped performance on the stream, so that cues can sound before the first try."""
        waiting = Performance.steady(score, tempo_bpm, bank, take=self._take)
        self._transport.post(lambda _, at_frame: waiting.later(at_frame).stopped(at_frame))

    def cue(self, role: str, number: int = 0) -> None:
        """Sound one role with the next block; after it, speak a number if the kit has it."""

        def change(performance: Performance, at_frame: int) -> Performance:
            cues = [PlacedSound(at_frame, Voice(role))]
            if 0 < number <= len(performance.bank.kit.numbers):
                cues.append(PlacedSound(at_frame + round(SPOKEN_AFTER_S * RATE_HZ), Voice("count-in", number)))
            return performance.with_cues(tuple(cues), at_frame)

        self.change(change)

    def count_down(self, end_s: float | None, seconds: int, rest_s: float = ENDLESS_S) -> None:
        """Sound the end of a rest and so many of the seconds before it, at most those of half the rest.

        end_s: None for a rest without an end of its own, in which nothing sounds. With 0 seconds nothing sounds either.
        """
        frame = self._output.heard_frame(end_s) if end_s is not None else None
        if frame is None or not seconds:
            return
        end_frame, seconds = round(frame), min(seconds, int(rest_s / 2))

        def change(performance: Performance, at_frame: int) -> Performance:
            cues = countdown(performance.bank, end_frame, seconds)
            return performance.with_cues(tuple(cue for cue in cues if cue.at_frame >= at_frame), at_frame)

        self.change(change)

    def cancel_cues(self) -> None:
        """Take back the cues that have not begun, such as the rest of a countdown."""
        self.change(lambda performance, at_frame: performance.without_cues(at_frame + 1))

    def leave(self) -> None:
        """Let nothing begin any more, whatever is on the stream; what has begun rings out."""
        self._transport.post(_to_silence)

    def beat_at(self, second: float) -> Fraction | None:
        """The exact beat heard at a second; None before the try has begun to be rendered."""
        performance, frame = self._performance(), self._output.heard_frame(second)
        return performance.beat_at(Fraction(frame)) if performance and frame is not None else None

    def heard_s(self, beat: Fraction) -> float | None:
        """When a beat of the try is heard, as its tempo stands now; None as for beat_at."""
        performance = self._performance()
        return self._output.heard_at_s(performance.frame_at(beat)) if performance else None

    def first_throw_s(self) -> float | None:
        """When the first throw is heard, the entry's if there is an entry; None as for beat_at."""
        performance = self._performance()
        return self.heard_s(Fraction(-performance.score.lead_beats)) if performance else None

    @property
    def tempo(self) -> TempoMap | None:
        """The tempo of the try, with all changes that are rendered; None as for beat_at."""
        performance = self._performance()
        return performance.tempo if performance else None

    def _performance(self) -> Performance | None:
        return performance_of_take(self._take, self._transport.scene)


def performance_of_take(take: int, scene: Scene) -> Performance | None:
    """The scene, if it is the performance with this number; else None."""
    return scene if isinstance(scene, Performance) and scene.take == take else None


def change_of_take(take: int, change: PerformanceChange) -> SceneChange:
    """A change of the stream that reaches the performance with this number and leaves every other scene as it is."""

    def changed(scene: Scene, at_frame: int) -> Scene:
        performance = performance_of_take(take, scene)
        return change(performance, at_frame) if performance else scene

    return changed


def prepare(score: Score, tempo_bpm: Fraction, bank: Bank, count_in_beats: int) -> None:
    """Make the sounds that a try will need: some 50 ms of work that the stream must not wait for."""
    Performance.steady(score, tempo_bpm, bank, count_in_beats).prepare()


def countdown(bank: Bank, end_frame: int, seconds: int) -> tuple[PlacedSound, ...]:
    """The cues of the last seconds before a frame, spoken where the kit has the numbers, and of the frame itself."""
    spoken = len(bank.kit.numbers)
    pips = (
        PlacedSound(end_frame - number * RATE_HZ, Voice("count-in", number) if number <= spoken else Voice("countdown"))
        for number in range(seconds, 0, -1)
    )
    return (*pips, PlacedSound(end_frame, Voice("ready")))


def _to_silence(scene: Scene, at_frame: int) -> Scene:
    return scene.stopped(at_frame).without_cues(at_frame + 1) if isinstance(scene, Performance) else SILENCE
