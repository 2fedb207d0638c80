"""The flight view: the pattern in motion, drawn in braille dots; only the rows that have changed are drawn again."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from textual.geometry import Size

from trainer.library.chosen import Chosen, choice_to_manner, choice_to_places
from trainer.screens.parts.dots import DotSheet
from trainer.screens.parts.inked import Bare, Stretch
from trainer.screens.practice.drawing import FAINT, RIGHT, SCALE_COLUMNS, Fit, draw_moving, draw_still
from trainer.timing.motion import Motion
from trainer.timing.tempo import TempoMap

BEATS_BEFORE = 2
"""The picture begins so many beats before the first throw."""


@dataclass(frozen=True, slots=True)
class Juggled:
    """What is juggled and how fast, beat by beat: where nothing of it changes, the same motion goes on."""

    chosen: Chosen
    tempo: TempoMap

    def same_as(self, other: Juggled | None) -> bool:
        """Whether these are the very same values: comparing them in full would take too long for every picture."""
        return other is not None and self.chosen is other.chosen and self.tempo is other.tempo

    def motion(self) -> Motion:
        """The score in motion, with the arms, the jugglers' places and the floor that the choice asks for."""
        choice, score, carriage = self.chosen.choice, self.chosen.score, self.chosen.carriage
        bounces = carriage.bounces(score, self.tempo.segments[-1].tempo_bpm)
        return Motion(
            score,
            self.tempo,
            choice_to_manner(choice),
            choice_to_places(choice),
            tuple(bounces.items()),
            carriage.hand_m,
        )


class FlightView(Bare):
    """Shows every object, every hand, and a scale in metres. The caller says which beat to show."""

    INKS = (
        "",
        *(f"flight--{name}" for name in ("faint", "right", "left", "warn", "one", "two", "three", "four")),
    )
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.motion: Motion | None = None
        self.fit: Fit | None = None
        self.sheet = DotSheet(0, 0)
        self._shown: Juggled | None = None
        self._still = DotSheet(0, 0)
        self._drawn_for: tuple[Size, float | None] | None = None
        self._caption = ("", "")
        self._keys: list[object] = []

    def show(self, shown: Juggled, beat: Fraction, caption: tuple[str, str], ceiling_m: float | None) -> None:
        """Show a moment of the motion. caption: what to say of it, and the keys, left out if there is no room."""
        size = self.size
        if not size.width or not size.height:
            return
        if not shown.same_as(self._shown):
            self._shown, self.motion, self._drawn_for = shown, shown.motion(), None
        assert self.motion is not None
        if self._drawn_for != (size, ceiling_m) or caption != self._caption:
            self._prepare(self.motion, ceiling_m, caption)
        assert self.fit is not None
        self.sheet.take(self._still)
        draw_moving(self.sheet, self.motion, self.fit, float(beat))
        keys: list[object] = [self.sheet.row_key(row) for row in range(self.sheet.rows)]
        changed = [row for row, (one, other) in enumerate(zip(keys, self._keys, strict=True)) if one != other]
        self._keys = keys
        if changed:
            self.redraw(changed)

    def _prepare(self, motion: Motion, ceiling_m: float | None, caption: tuple[str, str]) -> None:
        """Work out the scale for the present size, and draw all that does not move."""
        columns, rows = self.size
        self._drawn_for, self._caption = (self.size, ceiling_m), caption
        self.fit = Fit.of(motion, columns, rows)
        self._still = draw_still(motion, self.fit, columns, rows, ceiling_m)
        said, keys = caption
        self._still.write_under(SCALE_COLUMNS, 0, said, RIGHT)
        if SCALE_COLUMNS + len(said) + 2 + len(keys) <= columns:
            self._still.write_under(columns - len(keys), 0, keys, FAINT)
        self.sheet = DotSheet(columns, rows)
        self._keys = [None] * rows

    def runs(self, y: int) -> list[Stretch]:
        inks = self.INKS
        return [(text, inks[ink]) for text, ink in self.sheet.runs(y)] if y < self.sheet.rows else []
