"""The library where it holds on to what is gone: mended, so that an evening takes no more memory than an hour.

Looking at the help took half a megabyte for good, at the terms seven tenths; tests/bench/soak.py tells.
"""

from __future__ import annotations

from textual._styles_cache import StylesCache
from textual.screen import Screen
from textual.widgets import Footer

from trainer.screens.inked import Kept

# Meant for the class, by its own signature. Kept for each widget it keeps a thousand of them, with the rows they drew.
_kept = vars(StylesCache).get("get_inner_outer")
if hasattr(_kept, "cache_info"):  # a newer library may have mended that itself
    StylesCache.get_inner_outer = classmethod(_kept)  # type: ignore[method-assign, assignment, arg-type]


class KeyLine(Footer, Kept):
    """The library's footer, made anew only where other keys are to be shown.

    The library makes it anew each time its screen comes back, and holds on to every key it ever made.
    """

    _keys: tuple[tuple[str, str, bool], ...] = ()

    def __init__(self, *, compact: bool = False) -> None:
        super().__init__(show_command_palette=False, compact=compact)

    def bindings_changed(self, screen: Screen[object]) -> None:
        if not (screen.app.app_focus and self.is_attached and screen is self.screen):
            return
        keys = tuple(
            (self.app.get_key_display(binding), binding.description, enabled)
            for _, binding, enabled, _ in screen.active_bindings.values()
            if binding.show
        )
        if keys != self._keys:
            self._keys = keys
            self.mutate_reactive(Footer.compact)  # each key watches it; those that have gone are let go by that
            super().bindings_changed(screen)
