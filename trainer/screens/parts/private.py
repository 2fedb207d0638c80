"""All that the screens take from textual's private names, beside what trainer.screens.terminal does with the terminal.

The library has no public way for these. Where a name is gone, in a newer version, each does it the public way or leaves
it out. tests/screens/test_private_names.py has the table of the names, says what is lost without each, and tries that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import takewhile
from typing import Any, Final

from rich.console import Console
from textual import events, messages
from textual.app import App
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.screen import Screen
from textual.scroll_view import ScrollView
from textual.timer import Timer
from textual.widget import Widget

try:
    from textual._compositor import CompositorUpdate
except ImportError:
    CompositorUpdate = object  # type: ignore[assignment, misc]

FAILED = 1
CLOSING: Final = (events.Callback, events.ScreenSuspend, events.Unmount, messages.Prune, messages.CloseMessages)
"""What a screen that is being closed still has to hear."""


def mend() -> None:
    """Have one cache of the library belong to its class and not to each widget; once is enough.

    As it is, it keeps a thousand widgets that are gone, with the rows they drew: half a megabyte for each look at the
    help. Its first parameter, which it does not use, tells that a class method was meant.
    """
    try:
        from textual._styles_cache import StylesCache
    except ImportError:  # a newer library, which may be mended: tests/screens/parts/test_mended.py tells
        return
    kept = vars(StylesCache).get("get_inner_outer")
    if hasattr(kept, "cache_info"):  # else it is mended, here or by a newer library
        StylesCache.get_inner_outer = classmethod(kept)  # type: ignore[method-assign, assignment, arg-type]


class FaultProofApp(App[None]):
    """Ends at a fault in a handler, with the terminal as it was; the library would write the fault over the screen.

    failure: the fault; None if there was none.
    """

    failure: Exception | None = None

    def _handle_exception(self, error: Exception) -> None:
        if self.failure is None:
            self.failure = error
            self.exit(return_code=FAILED)


class Dated(Message):
    """A message about something that may have become another thing before the screen hears of it."""

    @property
    def outdated(self) -> bool:
        """Whether it has."""
        raise NotImplementedError


class ClosableScreen(Screen[None]):
    """Hears nothing more while it is being closed, by message, callback or timer, and no message that is outdated.

    The library takes the widgets away first, and whatever is still to come for the screen would ask for them.
    """

    @property
    def gone(self) -> bool:
        """Whether it is being closed, or is not open yet."""
        return getattr(self, "_pruning", False) or not self.is_attached

    async def _dispatch_message(self, message: Message) -> None:
        outdated = isinstance(message, Dated) and message.outdated
        if isinstance(message, CLOSING) or not (self.gone or outdated):
            await super()._dispatch_message(message)

    def call_after_refresh(self, callback: Callable[..., Any], *args: Any, **kwargs: Any) -> bool:
        """The library's, as long as the screen is open: it has another screen call back if that is at the top then."""
        return super().call_after_refresh(self._while_open(callback), *args, **kwargs)

    def set_interval(self, interval: float, callback: Callable[..., Any], **options: Any) -> Timer:  # type: ignore[override]
        """The library's, as long as the screen is open."""
        return super().set_interval(interval, self._while_open(callback), **options)

    def _while_open(self, callback: Callable[..., Any]) -> Callable[..., Any]:
        return lambda *args, **kwargs: None if self.gone else callback(*args, **kwargs)


def fit_bars(view: ScrollView, size: Size) -> None:
    """Have the bars of a view tell another size of what is in it, without laying the screen out anew."""
    update = getattr(view, "_scroll_update", None)
    if update is None:
        view.refresh(layout=True)
    else:
        update(size)


class Rows(CompositorUpdate):
    """Rows to be shown from a place on the screen on, as the terminal takes them."""

    def __init__(self, place: Offset, rows: Iterable[tuple[int, str]]) -> None:
        self.text = "".join(f"\x1b[{place.y + 1 + row};{place.x + 1}H{text}" for row, text in rows)

    def render_segments(self, console: Console) -> str:
        """The rows, for a terminal."""
        return self.text


def draw(widget: Widget, rows: Iterable[tuple[int, str]]) -> bool:
    """Show rows of a widget, each by its number, with its control sequences; False where only the library can.

    That is so while the widget is not, or not yet, or not wholly in view, or has another one over it. The library's
    compositor would ask every widget for all of its rows before it sends one: of a picture that moves thirty times a
    second that is most of the cost. It keeps no copy of what the terminal shows, so nothing has to be told to it.
    """
    app, screen = widget.app, widget.screen
    try:
        is_waiting = app._batch_count or screen._layout_required or screen._scroll_required
        visible, display = screen._compositor.visible_widgets, app._display
    except AttributeError:
        return False
    if CompositorUpdate is object or is_waiting or app.screen is not screen:
        return False
    place, clip = visible.get(widget, (Region(), Region()))
    if not place or place.size != widget.outer_size or not clip.contains_region(place):
        return False
    over = takewhile(lambda each: each is not widget, visible)  # the foremost come first
    if any(place.overlaps(visible[each][0]) for each in over):
        return False
    display(screen, Rows(place.offset, rows))  # type: ignore[arg-type]
    return True
