"""The flight view: the pattern in motion, drawn in braille dots; only the rows that have changed are drawn again."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar

from textual.geometry import Size

from trainer.library.chosen import Chosen, choice_to_manner, choice_to_places
from trainer.screens.parts.dots import DotSheet
from trainer.screens.parts.inked import Bare, InkedText
from trainer.screens.practice.drawing import FAINT, RIGHT, SCALE_COLUMNS, Fit, draw_moving, draw_still
from trainer.timing.motion import Motion
from trainer.timing.tempo import TempoMap

BEATS_BEFORE = 2
"""The picture begins so many beats before the first throw."""


class FlightView(Bare):
    """Shows every object, every hand, and a scale in metres. The caller says which beat to show.

    motion, fit: what is drawn, and its scale; there from the first picture on.
    """

    INKS = (
        "",
        *(f"flight--{name}" for name in ("faint", "right", "left", "warn", "one", "two", "three", "four")),
    )
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}

    motion: Motion
    fit: Fit

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.sheet = DotSheet(0, 0)
        self._shown: tuple[Chosen | None, TempoMap | None] = (None, None)
        self._still = DotSheet(0, 0)
        self._drawn_for: tuple[Size, float | None] | None = None
        self._caption = ("", "")
        self._keys: list[object] = []

    def show(
        self, chosen: Chosen, tempo: TempoMap, beat: Fraction, caption: tuple[str, str], ceiling_m: float | None
    ) -> None:
        """Show a moment of what is juggled, at this tempo beat by beat.

        caption: what to say of it, and the keys, left out if there is no room.
        """
        if not self.size:  # no room, or not laid out yet
            return
        if self._shown[0] is not chosen or self._shown[1] is not tempo:  # to compare values would take too long
            self._shown, self.motion, self._drawn_for = (chosen, tempo), _to_motion(chosen, tempo), None
        if self._drawn_for != (self.size, ceiling_m) or caption != self._caption:
            self._prepare(ceiling_m, caption)
        self.sheet.take(self._still)
        draw_moving(self.sheet, self.motion, self.fit, float(beat))
        keys: list[object] = [self.sheet.row_key(row) for row in range(self.sheet.rows)]
        changed = [row for row, (one, other) in enumerate(zip(keys, self._keys, strict=True)) if one != other]
        self._keys = keys
        if changed:
            self.redraw(changed)

    def _prepare(self, ceiling_m: float | None, caption: tuple[str, str]) -> None:
        """Work out the scale for the present size, and draw all that does not move."""
        columns, rows = self.size
        self._drawn_for, self._caption = (self.size, ceiling_m), caption
        self.fit = Fit.of(self.motion, columns, rows)
        self._still = draw_still(self.motion, self.fit, columns, rows, ceiling_m)
        said, keys = caption
        self._still.write_under(SCALE_COLUMNS, 0, said, RIGHT)
        if SCALE_COLUMNS + len(said) + 2 + len(keys) <= columns:
            self._still.write_under(columns - len(keys), 0, keys, FAINT)
        self.sheet = DotSheet(columns, rows)
        self._keys = [None] * rows

    def runs(self, y: int) -> list[InkedText]:
        inks = self.INKS
        return [(text, inks[ink]) for text, ink in self.sheet.runs(y)] if y < self.sheet.rows else []


def _to_motion(chosen: Chosen, tempo: TempoMap) -> Motion:
    """The score in motion, with the arms, the jugglers' places and the floor that the choice asks for."""
    choice, score, carriage = chosen.choice, chosen.score, chosen.carriage
    bounces = carriage.bounces(score, tempo.segments[-1].tempo_bpm)
    return Motion(
        score, tempo, choice_to_manner(choice), choice_to_places(choice), tuple(bounces.items()), carriage.hand_m
    )
