"""The progress screen: choose a figure, see its best and its rates, and how catches, tempo and days went."""

from __future__ import annotations

import textwrap
from enum import Enum

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from trainer.library.catalogue import Choice
from trainer.library.spelling import to_words
from trainer.logbook.store import Logbook
from trainer.progress import wording
from trainer.progress.figure import FigureProgress, progress
from trainer.progress.learning import Curve, NoCurve
from trainer.progress.lines import calendar_lines, day_lines, tempo_lines
from trainer.records.totals import Figure
from trainer.screens.lookback.base import LookingBack
from trainer.screens.lookback.plot import Plot
from trainer.screens.parts.browse import QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing

EMPTY = "No tries to show yet. Practise a pattern, and its progress is here."
NO_CLIMBS = (
    "No climb has told yet which tempo is held here. A staircase climb does: it goes up after two successes and down "
    "after a miss, and its turning points settle on the tempo held about 7 times in 10."
)
MOST_DAYS = 60
LABEL = 10
ABOVE = 7
BESIDE = 4
"""Rows above the page, and columns beside its lines."""


class ProgressPage(Enum):
    """What is shown of the figure; the value is its name on the screen."""

    CURVE = "catches"
    TEMPO = "tempo"
    WEEKS = "weeks"
    DAYS = "days"


class ProgressScreen(LookingBack):
    """Figures to choose from, the numbers of the one under the cursor, and a page of what they came from."""

    BINDINGS = bindings_of("progress")
    NAME = "progress"
    WORD = "flash"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-wide")]  # noqa: RUF012 (the library's own way to declare them)

    def __init__(self, figure: Figure | None = None) -> None:
        super().__init__(figure)
        self.turned_to = ProgressPage.CURVE
        self.all: tuple[Figure, ...] = ()
        self.listed: tuple[Figure, ...] = ()
        self.progress: FigureProgress | None = None

    def compose(self) -> ComposeResult:
        yield QueryLine(placeholder="Type a pattern, a prop, a name", select_on_focus=False, id="query")
        with Horizontal(id="browse"):
            yield Listing(id="list")
            with Vertical(id="figure"):
                yield Lines(id="explained")
                yield Static(id="pages", markup=False)
                yield Plot(id="plot")
                yield Lines(id="page")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        self.begin(lambda: Logbook.open_to_read(self.sitting.places.logbook))
        self.all = self.ask(lambda book: book.tried(), ())
        self.fill("")
        wanted = self.first_figure
        if wanted is not None:  # that figure, or another one of the same pattern
            alike = [figure for figure in self.listed if (figure.pattern, figure.name) == (wanted.pattern, wanted.name)]
            if alike:
                self.choose(self.listed.index(wanted if wanted in alike else alike[0]))

    def on_resize(self, _: events.Resize) -> None:
        self.call_after_refresh(self._show)

    # -- what keys do ---------------------------------------------------------------------------------------

    def action_practise(self) -> None:
        """Practise the pattern: the library's, or by its throws if the library has none of that name."""
        if self.progress is not None:
            figure, library = self.progress.figure, self.sitting.library
            entry = library.find(figure.name) if figure.name else None
            self.navigator.practise(Choice(entry.pattern, entry) if entry else library.to_choice(figure.pattern))

    def action_next_page(self) -> None:
        pages = tuple(ProgressPage)
        self.turned_to = pages[(pages.index(self.turned_to) + 1) % len(pages)]
        self._show()

    def figure_at_hand(self) -> Figure | None:
        return None if self.progress is None else self.progress.figure

    # -- what is shown --------------------------------------------------------------------------------------

    def fill(self, query: str) -> None:
        """List the figures that have every word typed in them."""
        words = to_words(query)
        hay = {figure: " ".join(to_words(wording.heading(figure))) for figure in self.all}
        self.listed = tuple(figure for figure in self.all if all(word in hay[figure] for word in words))
        self.listing.show(labels(self.listed))
        self.progress = None
        if self.listed:
            self.choose(0)
        else:
            self._show()

    def choose(self, index: int) -> None:
        self.listing.highlighted = index
        figure = self.listed[index]
        if self.progress is None or self.progress.figure != figure:
            self.progress = self.ask(
                lambda book: progress(figure, book.tallies(figure), book.tempos(figure), book.thresholds(figure)), None
            )
            self._show()

    def _show(self) -> None:
        found = self.progress
        plot, page, pages = self.query_one("#plot", Plot), self.query_one("#page", Lines), self.query_one("#pages")
        if found is None:
            self.page.show([EMPTY if not self.all else "Nothing here has all that in it."])
            plot.display = page.display = pages.display = False
            return
        pages.display = True
        names = [f"[{each.value}]" if each is self.turned_to else f" {each.value} " for each in ProgressPage]
        self.query_one("#pages", Static).update(" ".join(names))
        self.page.show([wording.whose(found.figure), *(f"{name:{LABEL}}{text}" for name, text in wording.lines(found))])
        width = max(20, self.query_one("#figure").size.width - BESIDE)
        plot.display = {ProgressPage.CURVE: has_marks(found.curve), ProgressPage.WEEKS: bool(found.held)}.get(
            self.turned_to, False
        )
        page.show(self._lines(found, width))
        page.display = bool(page.rows)
        below = max(2, (self.query_one("#figure").size.height - ABOVE) // 2 - 1)
        page.styles.height = min(len(page.rows), below) if plot.display else "1fr"
        if plot.display and self.turned_to is ProgressPage.CURVE:
            plot.show_curve(found.curve, found.total.tries)
        elif plot.display:
            plot.show_held(found.held)

    def _lines(self, found: FigureProgress, width: int) -> list[str]:
        """The lines of the page; of a page with a plot, what the plot says."""
        if self.turned_to is ProgressPage.TEMPO:
            return tempo_lines(found.tempos, width)
        if self.turned_to is ProgressPage.DAYS:
            days = dict(found.days)
            return [*calendar_lines(days, self.sitting.now().date(), width), "", *day_lines(days, MOST_DAYS)]
        if self.turned_to is ProgressPage.WEEKS:
            said = f"Beats a minute held, weeks since {found.held[0].week}" if found.held else NO_CLIMBS
            return textwrap.wrap(said, width)
        return [line for said in curve_sentences(found.curve) for line in textwrap.wrap(said, width)]


def curve_sentences(curve: Curve | NoCurve) -> tuple[str, ...]:
    """What the plot is of, and what it says."""
    return (*(("● catches a drop over tries, some days each",) if has_marks(curve) else ()), *wording.curve(curve))


def has_marks(curve: Curve | NoCurve) -> bool:
    """Whether there is anything to plot: a drop, and a catch before it."""
    return any(stretch.mean for stretch in curve.stretches)


def labels(listed: tuple[Figure, ...]) -> list[str]:
    """What to call each figure in the list: its pattern, and what tells it from the others."""
    parts = [(figure.title, figure.juggler or "", figure.prop, figure.counted_by.value) for figure in listed]
    telling_apart = [place == 0 or len({part[place] for part in parts}) > 1 for place in range(4)]
    return [
        " · ".join(text for text, needed in zip(part, telling_apart, strict=True) if needed and text) for part in parts
    ]
