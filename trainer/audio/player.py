"""The stage: one try after another on the stream, each a performance that only its own changes can reach."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.audio.hearing import Hearing
from trainer.audio.outputs import RATE_HZ, Output
from trainer.audio.performance import Performance
from trainer.audio.render import Placed
from trainer.audio.synth import Bank, Voice
from trainer.audio.transport import SILENCE, Scene, Transport
from trainer.timing.score import Score
from trainer.timing.tempo import TempoMap

PerformanceChange = Callable[[Performance, int], Performance]
"""The performance that goes on from a frame not yet rendered."""


ENDLESS_S = 1e9
SPOKEN_AFTER_S = 0.9
"""A number is spoken so long after the sound that announces it."""


class Player:
    """Starts tries, changes the one under way, and tells which beat of it is heard when.

    Seconds are those of the output's clock.
    """

    def __init__(self, transport: Transport, output: Output) -> None:
        self._transport, self._output = transport, output
        self._take = 0

    @property
    def hiccups(self) -> int:
        """How often so far a click may have been misplaced."""
        return self._output.hiccups

    def troubles(self) -> tuple[str, ...]:
        """What went wrong with the sound, for the note of a try: counted by the clock, it goes on all the same."""
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
        """Begin a try as soon as can be, with its count-in; goals as in Performance."""
        self._take += 1
        take = self._take
        prepare(score, tempo_bpm, bank, count_in_beats)
        first_beat = -score.lead_beats - count_in_beats
        tempo, lead_s = TempoMap.steady(tempo_bpm, first_beat), -first_beat * 60 / tempo_bpm

        def begin(_: Scene, at_frame: int) -> Scene:
            origin_s = Fraction(at_frame, RATE_HZ) + lead_s
            return Performance(score, tempo, bank, origin_s, count_in_beats, goals, take=take, hearing=hearing)

        self._transport.post(begin)

    def change(self, change: PerformanceChange) -> None:
        """Have the try under way go on otherwise, from the next block on; one that is over by then is left alone."""
        take = self._take

        def command(scene: Scene, at_frame: int) -> Scene:
            if isinstance(scene, Performance) and scene.take == take:
                return change(scene, at_frame)
            return scene

        self._transport.post(command)

    def stop(self) -> None:
        """Let nothing new begin; what has begun rings out."""
        self.change(lambda performance, at_frame: performance.stopped(at_frame))

    def resume(self) -> None:
        """Go on after a stop that is taken back."""
        self.change(lambda performance, _: performance.resumed())

    def attend(self, score: Score, tempo_bpm: Fraction, bank: Bank) -> None:
        """Be able to sound roles before the first try: a try that is over before it begins."""
        take = self._take

        def begin(_: Scene, at_frame: int) -> Scene:
            return Performance(
                score, TempoMap.steady(tempo_bpm), bank, Fraction(at_frame, RATE_HZ), stop_frame=at_frame, take=take
            )

        self._transport.post(begin)

    def cue(self, role: str, number: int = 0) -> None:
        """Sound one role now; after it, the kit speaks the number if it can."""

        def change(performance: Performance, at_frame: int) -> Performance:
            cues = [Placed(at_frame, Voice(role))]
            if 0 < number <= len(performance.bank.kit.numbers):
                cues.append(Placed(at_frame + round(SPOKEN_AFTER_S * RATE_HZ), Voice("count-in", number)))
            return performance.with_cues(tuple(cues), at_frame)

        self.change(change)

    def count_down(self, end_s: float | None, seconds: int, rest_s: float = ENDLESS_S) -> None:
        """Have the end of a rest heard, and so many of the seconds before it, but no more than half the rest.

        end_s: None where it has no end of its own. With 0 seconds its end is not heard either.
        """
        frame = self._output.heard_frame(end_s) if end_s is not None else None
        if frame is None or not seconds:
            return
        end_frame, seconds = round(frame), min(seconds, int(rest_s / 2))

        def change(performance: Performance, at_frame: int) -> Performance:
            cues = countdown(performance.bank, end_frame, seconds)
            return performance.with_cues(tuple(cue for cue in cues if cue.at_frame >= at_frame), at_frame)

        self.change(change)

    def hush(self) -> None:
        """Take back what was to be sounded later, such as the rest of a countdown."""
        self.change(lambda performance, at_frame: performance.without_cues(at_frame + 1))

    def leave(self) -> None:
        """Nothing is begun any more, whatever sounds."""
        self._transport.post(_to_silence)

    def beat_at(self, second: float) -> Fraction | None:
        """The exact beat that was or is heard at a second; None before the try has begun to be rendered."""
        performance, frame = self._performance(), self._output.heard_frame(second)
        return performance.beat_at(Fraction(frame)) if performance and frame is not None else None

    def heard_s(self, beat: Fraction) -> float | None:
        """When a beat of the try is heard, as its tempo stands now; None as for beat_at."""
        performance = self._performance()
        return self._output.heard_at_s(performance.frame_at(beat)) if performance else None

    def first_beat_s(self) -> float | None:
        """When the first throw is heard, that of the entry if there is one; None as for beat_at."""
        performance = self._performance()
        return self.heard_s(Fraction(-performance.score.lead_beats)) if performance else None

    @property
    def tempo(self) -> TempoMap | None:
        """The tempo of the try, with the changes that are heard by now or soon; None as for beat_at."""
        performance = self._performance()
        return performance.tempo if performance else None

    def _performance(self) -> Performance | None:
        scene = self._transport.scene
        return scene if isinstance(scene, Performance) and scene.take == self._take else None


def prepare(score: Score, tempo_bpm: Fraction, bank: Bank, count_in_beats: int) -> None:
    """Make the sounds that a try will need: some 50 ms of work that the stream must not be kept waiting for."""
    tempo = TempoMap.steady(tempo_bpm, -score.lead_beats - count_in_beats)
    Performance(score, tempo, bank, Fraction(0), count_in_beats).prepare()


def countdown(bank: Bank, end_frame: int, seconds: int) -> tuple[Placed, ...]:
    """The last seconds before a frame, spoken where the kit has the numbers, and the frame itself."""
    spoken = len(bank.kit.numbers)
    pips = (
        Placed(end_frame - number * RATE_HZ, Voice("count-in", number) if number <= spoken else Voice("countdown"))
        for number in range(seconds, 0, -1)
    )
    return (*pips, Placed(end_frame, Voice("ready")))


def _to_silence(scene: Scene, at_frame: int) -> Scene:
    """What sounds is let ring out; what does not sound by then never will."""
    return scene.stopped(at_frame).without_cues(at_frame + 1) if isinstance(scene, Performance) else SILENCE
