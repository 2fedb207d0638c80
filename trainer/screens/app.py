"""The full-screen trainer: opens the first screen, keeps the keys in order, and ends cleanly however it ends."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import traceback
from collections.abc import Callable
from fractions import Fraction
from weakref import WeakKeyDictionary

from textual import events
from textual.binding import Binding
from textual.driver import Driver
from textual.screen import Screen

from trainer.keys.commands import check_remapped
from trainer.keys.footswitch import Footswitch, FootswitchError, is_midi
from trainer.keys.names import key_to_text
from trainer.library.catalogue import Choice
from trainer.practice.pedal import Edge
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.private import mend
from trainer.screens.parts.themes import THEMES, WITHOUT_COLOUR
from trainer.screens.routes import Routes
from trainer.screens.terminal.presses import FootPress, Press, to_press
from trainer.session.sitting import Sitting

CALM_S = 0.5
"""Calm is so long without an event from outside."""

ENOUGH_COLLECTIONS, MOST_COLLECTIONS = 10, 1000
"""After so many collections of young objects a full one is due: in calm, as Python does it, and at any time."""

Opening = Callable[["TrainerApp"], None]


def _anew(event: events.Key) -> events.Key:
    """A key as it was before anything heard of it."""
    again = type(event)(event.key, event.character)
    again.time = event.time
    return again


class TrainerApp(Routes):
    """The app of a sitting. choice: a pattern to practise at once; None opens the list. opening: called after that."""

    CSS_PATH = "app.tcss"
    TITLE = "throwbeat"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = [  # noqa: RUF012 (the library's own way to declare them)
        Binding("ctrl+q,ctrl+c", "leave", "leave", show=False, priority=True),
    ]

    def __init__(
        self,
        sitting: Sitting,
        choice: Choice | None = None,
        tempo_bpm: Fraction | None = None,
        opening: Opening | None = None,
    ) -> None:
        mend()
        self.sitting = sitting  # before the library begins: it asks for the driver, which the settings choose
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)  # the library asks only once
        self.first_choice, self.first_tempo_bpm, self.opening = choice, tempo_bpm, opening
        self.footswitch = Footswitch(self._stepped, sitting.clock)
        self._up = self._leaving = self._pressed = False
        self._sent_to: WeakKeyDictionary[events.Key, Screen[object]] = WeakKeyDictionary()
        self._collects_after = gc.get_threshold()
        for theme in THEMES:
            self.register_theme(theme)
        self.apply_theme()
        self.stylesheet.set_variables(self.get_css_variables())
        self._styled_for = self.theme

    def get_driver_class(self) -> type[Driver]:
        driver = super().get_driver_class()
        try:
            from trainer.screens.terminal.driver import asking_for_releases, steady
        except ImportError:  # a library without the modules these are built on: it reads the keys itself
            return driver
        driver = steady(driver)
        return asking_for_releases(driver) if self.sitting.settings.key_releases else driver

    def listen_to_footswitch(self) -> str:
        """Open the MIDI inputs; returns why not in a sentence, empty if presses will come."""
        try:
            self.footswitch.listen()
        except FootswitchError as error:
            return str(error)
        return ""

    @property
    def listens_to_footswitch(self) -> bool:
        return self.footswitch.listens

    def leave_footswitch(self) -> None:
        """Close the MIDI inputs, unless a pedal is one."""
        if not self._has_footswitch():
            self.footswitch.close()

    def _has_footswitch(self) -> bool:
        return is_midi(self.sitting.settings.pedal) or is_midi(self.sitting.settings.end_pedal)

    def _stepped(self, name: str, edge: Edge, at_s: float) -> None:
        """Post a footswitch's press; the thread that reads it calls this."""
        self.post_message(FootPress(Press(name, edge, at_s)))

    def on_unmount(self) -> None:
        self.footswitch.close()
        gc.set_threshold(*self._collects_after)

    async def on_event(self, event: events.Event) -> None:
        """Offer a press to the pedal before the library shares it out.

        So a release can't overtake its press, and a run's pedal works under whatever screen is open. A key that no
        widget took comes here again; if another screen has opened since, it is a new one to that.
        """
        press = to_press(event)
        if press is not None or isinstance(event, events.InputEvent | events.Paste):
            await self._top_is_open()
            if not self.screen_stack or not self.screen.is_attached:
                return
        self._pressed = self._pressed or press is not None or isinstance(event, events.InputEvent)
        is_new = not (isinstance(event, events.InputEvent) and event.is_forwarded)
        if isinstance(event, events.Key) and self._sent_to.setdefault(event, self.screen) is not self.screen:
            await self.on_event(_anew(event))
        elif press is None or not is_new or not self._is_for_a_pedal(press):
            await super().on_event(event)

    async def _top_is_open(self) -> None:
        """Wait until the top screen has its widgets in their places: what comes before is for that screen."""
        while self.screen_stack and self.failure is None:
            top = self.screen
            if top.is_mounted and (top.size or not self.size):  # a terminal without a cell has no places
                return
            await asyncio.sleep(0)

    def _is_for_a_pedal(self, press: Press) -> bool:
        """Whether the top screen takes the press as a pedal's, or else the practice below if its run is under way."""
        top = self.screen
        if isinstance(top, BaseScreen) and top.take(press):
            return True
        for below in self.screen_stack[:-1]:
            if isinstance(below, BaseScreen) and below.session is not None:
                return below.session.under_way and below.take(press)
        return False

    def on_load(self) -> None:
        """Have signals leave the app, before the terminal is changed, so that it is always put back."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                loop.add_signal_handler(getattr(signal, name), self._leave_by_signal)

    def _leave_by_signal(self) -> None:
        """Leave; while the first screen comes up, as soon as it is there: half a screen can't be left."""
        self._leaving = True
        if self._up:
            self.exit()

    def on_mount(self) -> None:
        self.apply_keys()
        if self._has_footswitch() and (why_not := self.listen_to_footswitch()):
            self.sitting.notices.append(why_not)
        if self.first_choice is not None:
            self.practise(self.first_choice, self.first_tempo_bpm)
        else:
            self.open_patterns()
            if self.sitting.settings.tour and self.opening is None:
                self.open_tour()
        if self.opening is not None:
            self.opening(self)
        self.call_after_refresh(self._settle)

    def _settle(self) -> None:
        """Open the sound, and freeze what start-up made, so that no full collection interrupts sound or keys."""
        self.sitting.begin_sound()
        gc.collect()
        gc.freeze()
        gc.set_threshold(*self._collects_after[:2], MOST_COLLECTIONS)
        gc.enable()
        self.set_interval(CALM_S, self.tidy)
        self._up = True
        if self._leaving:
            self.exit()

    def tidy(self) -> None:
        """Collect in full, if it is due and nobody types or juggles: it may take 20 ms."""
        calm = not self._pressed and not (self.sitting.session is not None and self.sitting.session.under_way)
        self._pressed = False
        if calm and gc.get_count()[2] >= ENOUGH_COLLECTIONS:
            gc.collect()

    def apply_keys(self) -> None:
        """Put the commands on the keys that the settings name, where that can be."""
        settings = self.sitting.settings
        pedals = tuple(key for key in (settings.pedal, settings.end_pedal) if key)
        accepted, notices = check_remapped(settings.keys, pedals)
        self.sitting.notices += notices
        self.set_keymap(accepted)

    def apply_theme(self) -> None:
        """Take on the look that the settings name; without colour there is only one."""
        self.theme = WITHOUT_COLOUR if self.no_color else self.sitting.settings.theme

    def refresh_css(self, animate: bool = True) -> None:
        """As in the library, but only for another look: at the start it is called twice for the same, 25 ms each."""
        if self.theme != self._styled_for:
            self._styled_for = self.theme
            super().refresh_css(animate)

    def get_key_display(self, binding: Binding) -> str:
        """A key as people call it."""
        return key_to_text(binding.key)

    def failure_details(self) -> str:
        """The fault in full, for the log file; empty if there was none."""
        return "".join(traceback.format_exception(self.failure)) if self.failure else ""
