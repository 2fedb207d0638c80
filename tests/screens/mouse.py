"""A mouse as the terminal's reader tells of it; the library's own test mouse goes past the app."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot


async def click(pilot: Pilot[None], where: str, button: int, down_s: float, up_s: float) -> None:
    """A button (1 left, 2 middle, 3 right) pressed and let go over a widget, at seconds of one's own choosing."""
    x, y = pilot.app.screen.query_one(where).region.offset
    for kind, at_s in ((events.MouseDown, down_s), (events.MouseUp, up_s)):
        event = kind(None, x, y, 0, 0, button, False, False, False, screen_x=x, screen_y=y)
        event.time = at_s
        pilot.app.post_message(event)
    await pilot.pause()
