"""Plots of progress, drawn by textual-plot in braille; dots, dashes and words tell what a colour might.

Imported by the progress screen only, and only when that is opened: the library takes 0.07 s to load.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Final

from textual.widget import Widget
from textual_plot import HiResMode, NumericAxisFormatter, PlotWidget

from trainer.progress.figure import HeldTempo
from trainer.progress.learning import Curve, NoCurve
from trainer.progress.ticks import ticks

BRAILLE: Final = HiResMode.BRAILLE
POINTS: Final = 80  # of a curve
DASHES: Final = 5  # of the forecast
HEADROOM: Final = 1.08
COLUMNS_A_TICK: Final = 9
ROWS_A_TICK: Final = 2
MOST_TICKS: Final = 8


class Plot(PlotWidget, can_focus=False):
    """A plot that takes no keys and no wheel: those are for the list beside it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"plot--dot", "plot--line", "plot--band"}

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id, allow_pan_and_zoom=False)
        self.set_reactive(Plot.margin_top, 1)
        self.set_reactive(Plot.margin_bottom, 2)
        self.set_reactive(Plot.margin_left, 7)
        self._limits = (0.0, 1.0, 0.0, 1.0)
        self._draw: Callable[[], None] = lambda: None
        self.set_x_formatter(_Numbers())
        self.set_y_formatter(_Numbers())

    def show_curve(self, curve: Curve | NoCurve, tries: int) -> None:
        """Show catches a drop over tries: a dot a stretch, the fitted line, dashed as a forecast, its band dotted."""
        self._draw = lambda: self._draw_curve(curve, tries)
        self._draw()

    def show_held(self, held: Sequence[HeldTempo]) -> None:
        """Show the tempo held each week: a mark for the mean, a bar from the lowest climb to the highest."""
        self._draw = lambda: self._draw_held(held)
        self._draw()

    def _draw_curve(self, curve: Curve | NoCurve, tries: int) -> None:
        self.clear()
        last = curve.ahead if isinstance(curve, Curve) else tries
        top = max((stretch.mean for stretch in curve.stretches), default=1.0)
        if isinstance(curve, Curve):
            first = curve.stretches[0].practice
            xs = [first + (last - first) * (step / POINTS) ** 2 for step in range(POINTS + 1)]  # close where it bends
            low, high = zip(*map(curve.band, xs), strict=True)
            top = max(top, high[-1])
            for edge in (low, high):
                self.scatter(xs, edge, marker_style=self._style("plot--band"), hires_mode=BRAILLE)
            self._line([x for x in xs if x <= curve.tries], curve)
            to_come = [curve.tries + (last - curve.tries) * step / (2 * DASHES) for step in range(2 * DASHES + 1)]
            for start in range(1, 2 * DASHES, 2):
                self._line(to_come[start : start + 2], curve)
        dots = [(stretch.practice, stretch.mean) for stretch in curve.stretches]
        self._marks(dots)
        self._frame(0, max(last, 1), 0, top * HEADROOM)

    def _draw_held(self, held: Sequence[HeldTempo]) -> None:
        self.clear()
        weeks = [(week.week - held[0].week).days / 7 for week in held]
        for x, week in zip(weeks, held, strict=True):
            self.plot([x, x], [week.lowest_bpm, week.highest_bpm], self._style("plot--band"), BRAILLE)
        self._marks([(x, week.mean_bpm) for x, week in zip(weeks, held, strict=True)])
        low, high = min(week.lowest_bpm for week in held), max(week.highest_bpm for week in held)
        self._frame(-0.5, weeks[-1] + 0.5, low - 5, high + 5)

    def on_mount(self) -> None:
        self.app.theme_changed_signal.subscribe(self, lambda _theme: self.call_after_refresh(self._restyle))

    def on_unmount(self) -> None:
        self.app.theme_changed_signal.unsubscribe(self)  # a subscription would keep the plot alive

    def _restyle(self) -> None:
        """Draw everything again in the new colours: each line keeps the one it was drawn in."""
        Widget.notify_style_update(self)  # the library's plot skips it, and would keep the old colours
        self._draw()

    def _style(self, name: str) -> str:
        return str(self.get_component_rich_style(name, partial=True))

    def _line(self, xs: Sequence[float], curve: Curve) -> None:
        self.plot(xs, [curve.at(x) for x in xs], self._style("plot--line"), BRAILLE)

    def _marks(self, points: Sequence[tuple[float, float]]) -> None:
        if points:
            xs, ys = zip(*points, strict=True)
            self.scatter(xs, ys, marker="●", marker_style=self._style("plot--dot"))

    def _frame(self, left: float, right: float, bottom: float, top: float) -> None:
        """Show axes with these limits."""
        self._limits = left, right, bottom, top
        self._number()
        self.call_after_refresh(self._number)  # once the plot has its new size

    def on_resize(self) -> None:
        self._number()

    def _number(self) -> None:
        """Round numbers along the axes, as far as there is room for them."""
        left, right, bottom, top = self._limits
        columns, rows = self.size.width - self.margin_left, self.size.height - self.margin_top - self.margin_bottom
        self.set_xticks(ticks(left, right, min(MOST_TICKS, max(2, columns // COLUMNS_A_TICK))))
        self.set_yticks(ticks(bottom, top, min(MOST_TICKS, max(3, rows // ROWS_A_TICK))))
        self.set_xlimits(left, right)
        self.set_ylimits(bottom, top)


class _Numbers(NumericAxisFormatter):
    """Tick labels as the rest of the trainer writes numbers."""

    def get_labels_for_ticks(self, ticks: Sequence[float]) -> list[str]:
        return [f"{tick:,g}" if abs(tick) < 1e6 else f"{tick / 1e6:g} M" for tick in ticks]
