"""When a screen under test is at rest: nothing is left that it would do before the next key or the next timer.

The event loop knows: a message that waits in a queue, a callback and a finished thread each make a task ready to run.
So a screen is at rest when no task is ready, no timer is due, no worker runs, nothing moves and nothing is to be drawn.
A busy machine only makes this take longer. All names that the library and the event loop keep for themselves and that
the tests need are used in this module, in tests/screens/picture.py and where a test is about such a name.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterator
from typing import Any

import textual.pilot
import textual.screen
from textual._context import active_app
from textual.app import App
from textual.css.stylesheet import Stylesheet
from textual.pilot import Pilot

PATIENCE_S = 30.0
POLL_S = 0.001
"""How often a thread or a timer is asked for; a task of the loop is waited for without any pause."""

REFRESH_S = 0.001
"""Between two drawings; the library's own sixtieth of a second is for eyes."""


class NeverAtRestError(AssertionError):
    """A screen that is still busy after `PATIENCE_S`, with what keeps it busy."""


async def come_to_rest(app: App[Any]) -> None:
    """Let the event loop turn until the app is at rest or has failed."""
    end_s = time.monotonic() + PATIENCE_S
    while True:
        await asyncio.sleep(0)
        if _is_ready() and time.monotonic() < end_s:
            continue
        busy = list(_busy_with(app))
        if not busy or app._exception is not None or getattr(app, "failure", None) is not None:
            return
        if time.monotonic() > end_s:
            raise NeverAtRestError(f"busy after {PATIENCE_S:g} s with: {', '.join(busy)}")
        await asyncio.sleep(POLL_S)


async def until(holds: Callable[[], bool]) -> None:
    """Let the event loop turn until something holds, beside a thread that never comes to rest."""
    end_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end_s, "it never held"
        await asyncio.sleep(POLL_S)


async def turn(times: int) -> None:
    """Let every task that is ready run, so often."""
    for _ in range(times):
        await asyncio.sleep(0)


def install() -> None:
    """Have every wait of the library's pilot be for rest, and styles parsed once for all apps."""

    async def wait_for_screen(pilot: Pilot[Any], timeout: float = PATIENCE_S) -> bool:
        await come_to_rest(pilot.app)
        return pilot.app._exception is None

    async def wait_for_idle(min_sleep: float = 0, max_sleep: float = PATIENCE_S) -> None:
        await come_to_rest(active_app.get())

    parse_rules, parsed = Stylesheet._parse_rules, dict[Any, Any]()

    def parse_once(sheet: Stylesheet, css: str, read_from: Any, *given: Any, **named: Any) -> Any:
        """Every app of the tests has the same styles, as long as its colours are the same."""
        key = (css, read_from, given, *named.items(), *sheet._variables.items())
        if key not in parsed:
            parsed[key] = parse_rules(sheet, css, read_from, *given, **named)
        return parsed[key]

    for owner, name, put in (
        (Stylesheet, "_parse_rules", parse_once),
        (textual.pilot.Pilot, "_wait_for_screen", wait_for_screen),
        (textual.pilot, "wait_for_idle", wait_for_idle),
        (textual.app, "wait_for_idle", wait_for_idle),
        (textual.screen, "UPDATE_PERIOD", REFRESH_S),
    ):
        assert hasattr(owner, name), name
        setattr(owner, name, put)


def _is_ready() -> bool:
    """Some task would run before anything else happens; asked right after a turn of the loop."""
    loop: Any = asyncio.get_running_loop()
    return bool(loop._ready)


def _busy_with(app: App[Any]) -> Iterator[str]:
    loop: Any = asyncio.get_running_loop()
    yield from (f"the task {handle}" for handle in tuple(loop._ready))
    now_s = loop.time()
    yield from (f"the timer {each}" for each in tuple(loop._scheduled) if not each.cancelled() and each.when() <= now_s)
    yield from (f"the worker {each.name or each.group}" for each in app.workers if not each.is_finished)
    yield from (f"{pump}'s messages" for pump in app._registry if pump._message_queue.qsize() or pump._next_callbacks)
    yield from (f"the animation of {name}" for _, name in app.animator._animations)
    if app._batch_count or not app.screen_stack:
        return
    screen = app.screen
    for name in ("_dirty_widgets", "_callbacks", "_layout_required", "_repaint_required", "_scroll_required"):
        if getattr(screen, name):
            yield f"{screen}.{name}"
