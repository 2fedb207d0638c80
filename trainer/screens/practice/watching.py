"""The keys of the flight view, and which beat it shows: the one heard, or that of the preview.

During a run the transport says what beat it is. Before one there is no sound to be true to: the pattern goes on in
silence, by the clock, for somebody to be shown it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor

from trainer.library.catalogue import Choice
from trainer.screens.parts.base import BaseScreen
from trainer.screens.practice.flight import BEATS_BEFORE, FlightView
from trainer.session.session import AT_REST, Session
from trainer.session.view import View
from trainer.timing.tempo import TempoMap

WHAT_IS_HEARD = "In a run you see what you hear: slow motion and single beats are for before it."
NOT_SHOWN = "Press v to see the objects in flight first."
ARMS_UNKNOWN = ("mess", "body", "steals")
"""Categories whose arm movements are not in the library as data."""

ARMS_PLAIN = "arms as in the plain pattern"
NOT_HERE = "The objects in flight are shown in a practice of one pattern."
KEYS_LINE = "s slower  , . step"
STOPPED_LINE = "s go on"
SPEEDS = (Fraction(1), Fraction(1, 2), Fraction(1, 4))
SPEED_WORDS = {Fraction(1): "", Fraction(1, 2): " at half speed", Fraction(1, 4): " at a quarter"}
steady_tempo = lru_cache(maxsize=1)(TempoMap.steady)
"""A steady tempo map; the same object as long as the tempo does not change."""

GRAIN = 10**6
"""Beats are rounded to this part of one: nothing is heard that they have to fit exactly."""


@dataclass(frozen=True, slots=True)
class Preview:
    """Which beat is shown while nothing sounds: it goes on from `beat` at since_s. stopped: it stays at `beat`."""

    since_s: float
    beat: Fraction
    tempo_bpm: Fraction
    speed: Fraction = SPEEDS[0]
    stopped: bool = False

    def beat_at(self, now_s: float) -> Fraction:
        """The beat to show at a second."""
        if self.stopped:
            return self.beat
        gone = (now_s - self.since_s) * float(self.tempo_bpm * self.speed) / 60
        return self.beat + Fraction(round(gone * GRAIN), GRAIN)

    def at_tempo(self, now_s: float, tempo_bpm: Fraction) -> Preview:
        """The preview at another tempo from now on; the beat shown now stays."""
        if tempo_bpm == self.tempo_bpm:
            return self
        return replace(self, since_s=now_s, beat=self.beat_at(now_s), tempo_bpm=tempo_bpm)

    def slower(self, now_s: float) -> Preview:
        """The preview at half its speed, after a quarter at full speed again; if stopped, it goes on at its speed."""
        speed = self.speed if self.stopped else SPEEDS[(SPEEDS.index(self.speed) + 1) % len(SPEEDS)]
        return replace(self, since_s=now_s, beat=self.beat_at(now_s), speed=speed, stopped=False)

    def stepped(self, now_s: float, beats: int, first_beat: Fraction) -> Preview:
        """The preview stopped at the next multiple of so many beats, or at the one before for beats below 0."""
        at = self.beat_at(now_s) / abs(beats)
        place = floor(at) + 1 if beats > 0 else ceil(at) - 1
        return replace(self, since_s=now_s, beat=max(first_beat, Fraction(place * abs(beats))), stopped=True)

    def words(self) -> str:
        """The caption: the speed, or the beat it is stopped at."""
        if not self.stopped:
            return f"preview{SPEED_WORDS[self.speed]}"
        return f"stopped at beat {self.beat + 1}" if self.beat >= 0 else "stopped before the start"


class Watching(BaseScreen):
    """The part of the practice screen that shows the objects in flight."""

    HAS_FLIGHT = True
    """Whether there is room for a flight view on this screen."""

    session: Session
    _preview: Preview | None = None

    @property
    def choice(self) -> Choice:
        """The pattern that is practised; a climb is set up for it."""
        return self.session.chosen.choice

    def tick(self) -> None:
        """Draw what has changed."""

    @property
    def flies(self) -> bool:
        """Whether the flight view is shown."""
        return self.HAS_FLIGHT and self.sitting.settings.practice_shows == "flight"

    def action_flight_view(self) -> None:
        if not self.HAS_FLIGHT:
            self.say(NOT_HERE)
            return
        self.sitting.use(practice_shows="count" if self.flies else "flight")
        self._preview = None
        self.set_class(self.flies, "flight")

    def action_slow(self) -> None:
        self._change_preview(lambda preview, now_s: preview.slower(now_s))

    def action_step_on(self) -> None:
        self._step(self.session.chosen.score.pattern.beat_step)

    def action_step_back(self) -> None:
        self._step(-self.session.chosen.score.pattern.beat_step)

    def _step(self, beats: int) -> None:
        first_beat = Fraction(-self.session.chosen.score.lead_beats - BEATS_BEFORE)
        self._change_preview(lambda preview, now_s: preview.stepped(now_s, beats, first_beat))

    def _change_preview(self, change: Callable[[Preview, float], Preview]) -> None:
        now_s = self.sitting.clock()
        if not self.flies:
            self.say(NOT_SHOWN if self.HAS_FLIGHT else NOT_HERE)
        elif self.session.view(now_s).state not in AT_REST or self._preview is None:
            self.say(WHAT_IS_HEARD)
        else:
            self._preview = change(self._preview, now_s)
            self.tick()

    def show_flight(self, view: View) -> Fraction | None:
        """Draw the flight view if it is shown; returns the beat that it and the lanes show."""
        if not self.flies:
            return None if view.beat is None else self._moved(view.beat, view)
        now_s = view.now_s
        before = Fraction(-view.chosen.score.lead_beats - BEATS_BEFORE)
        caption = (self._about_arms(), "")
        if view.state in AT_REST:
            preview = self._preview or Preview(now_s, before, view.chosen.tempo_bpm)
            self._preview = preview = preview.at_tempo(now_s, view.chosen.tempo_bpm)
            beat, caption = preview.beat_at(now_s), (preview.words(), STOPPED_LINE if preview.stopped else KEYS_LINE)
        else:
            if self._preview is not None:  # the next one begins anew, at the speed chosen
                self._preview = replace(self._preview, since_s=now_s, beat=before, stopped=False)
            beat = before if view.beat is None else view.beat
        beat = self._moved(beat, view)
        tempo = view.tempo or steady_tempo(view.chosen.tempo_bpm)
        self.query_one(FlightView).show(view.chosen, tempo, beat, caption, self.sitting.settings.ceiling_m)
        return beat

    def _about_arms(self) -> str:
        """A caption if the arms are drawn as in the plain pattern; empty otherwise."""
        entry, style = self.choice.entry, self.choice.pattern.style
        return ARMS_PLAIN if entry is not None and not style and entry.category in ARMS_UNKNOWN else ""

    def _moved(self, beat: Fraction, view: View) -> Fraction:
        """The beat to draw; without animation the last one on which hands throw."""
        step = view.chosen.score.pattern.beat_step
        return beat if self.sitting.settings.animate else Fraction(floor(beat / step) * step)
