"""The full-screen trainer: opens the first screen, keeps the keys in order, and ends cleanly however it ends."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import traceback
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from textual import events
from textual.binding import Binding
from textual.driver import Driver

from trainer.keys.commands import check_remapped
from trainer.keys.footswitch import Footswitch, FootswitchError, is_midi
from trainer.keys.names import key_to_text
from trainer.library.catalogue import Choice
from trainer.practice.pedal import Edge
from trainer.records.courses import PlanRun
from trainer.screens.help import HelpScreen
from trainer.screens.lookback.base import LookingBack
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.browse import BrowseScreen
from trainer.screens.parts.private import FaultProofApp
from trainer.screens.parts.themes import THEMES, WITHOUT_COLOUR
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.terminal.mended import mend
from trainer.screens.terminal.presses import FootPress, Press, to_press
from trainer.session.guided import Guided
from trainer.session.sitting import Sitting

if TYPE_CHECKING:
    from trainer.practice.climbs.climb import Climb

CALM_S = 0.5
"""So long without an event from outside is calm."""

ENOUGH_COLLECTIONS, MOST_COLLECTIONS = 10, 1000
"""Collections of what is young after which a full one is due in calm, as is usual in Python, and at any time."""

Opening = Callable[["TrainerApp"], None]


class TrainerApp(FaultProofApp):
    """Runs at a desk. choice: a pattern to practise at once; None opens the list of patterns. opening: what then."""

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
        self.sitting = sitting  # its settings choose the driver, which the library asks for at once
        # Said before the library begins: it chooses once how to leave colours out.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.first_choice, self.first_tempo_bpm, self.opening = choice, tempo_bpm, opening
        self.footswitch = Footswitch(self._stepped, sitting.clock)
        self._up = self._leaving = self._pressed = False
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
        """A footswitch's press, in the thread that reads it."""
        self.post_message(FootPress(Press(name, edge, at_s)))

    def on_unmount(self) -> None:
        self.footswitch.close()
        gc.set_threshold(*self._collects_after)

    async def on_event(self, event: events.Event) -> None:
        """A press may be for a pedal; that is asked here, once for all screens, before the library shares it out.

        So a press and its release come to the pedal in order, and a run goes on under whatever screen is open.
        """
        press = to_press(event)
        if press is not None or isinstance(event, events.InputEvent | events.Paste):
            await self._top_is_open()
            if not self.screen_stack or not self.screen.is_attached:
                return
        self._pressed = self._pressed or press is not None or isinstance(event, events.InputEvent)
        is_new = not (isinstance(event, events.InputEvent) and event.is_forwarded)
        if press is None or not is_new or not self._is_for_a_pedal(press):
            await super().on_event(event)

    async def _top_is_open(self) -> None:
        """What is pressed while a screen comes up is for that screen, once its widgets are there."""
        while self.screen_stack and not self.screen.is_mounted:
            await asyncio.sleep(0)

    def _is_for_a_pedal(self, press: Press) -> bool:
        """Whether the screen open takes the press, or else the practice under it while its run is under way."""
        top = self.screen
        if isinstance(top, BaseScreen) and top.take(press):
            return True
        below = next((screen for screen in self.screen_stack[:-1] if isinstance(screen, PracticeScreen)), None)
        return below is not None and below.session.under_way and below.take(press)

    def on_load(self) -> None:
        """Before the terminal is changed: from here on it is always put back."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                loop.add_signal_handler(getattr(signal, name), self._leave_by_signal)

    def _leave_by_signal(self) -> None:
        """At once; while the first screen is still coming up, as soon as it has, as half a screen cannot be left."""
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
            self.push_screen(PatternsScreen())
            if self.sitting.settings.tour and self.opening is None:
                self._open_tour()
        if self.opening is not None:
            self.opening(self)
        self.call_after_refresh(self._settle)

    def _settle(self) -> None:
        """Nothing that lives now needs to be looked at again: a collection would hold up presses and sound.

        What comes to live later is looked at when nobody types or juggles: 20 ms of it would be seen in a long list.
        """
        self.sitting.begin_sound()
        gc.collect()
        gc.freeze()
        gc.set_threshold(*self._collects_after[:2], MOST_COLLECTIONS)
        gc.enable()
        self.set_interval(CALM_S, self._tidy)
        self._up = True
        if self._leaving:
            self.exit()

    def _tidy(self) -> None:
        """Collect in full what is no longer used, if there may be some and nobody would notice."""
        calm = not self._pressed and not (self.sitting.session is not None and self.sitting.session.under_way)
        self._pressed = False
        if calm and gc.get_count()[2] >= ENOUGH_COLLECTIONS:
            gc.collect()

    def apply_keys(self) -> None:
        """Put commands on the user's own keys, those that can be."""
        settings = self.sitting.settings
        pedals = tuple(key for key in (settings.pedal, settings.end_pedal) if key)
        accepted, notices = check_remapped(settings.keys, pedals)
        self.sitting.notices += notices
        self.set_keymap(accepted)

    def apply_theme(self) -> None:
        """Take on the look that the settings name; without colour there is but one."""
        self.theme = WITHOUT_COLOUR if self.no_color else self.sitting.settings.theme

    def refresh_css(self, animate: bool = True) -> None:
        """The library's, for another look only: at the start it asks twice for the one there is, 25 ms each."""
        if self.theme != self._styled_for:
            self._styled_for = self.theme
            super().refresh_css(animate)

    def practise(self, choice: Choice, tempo_bpm: Fraction | None = None) -> None:
        """Open the practice of a pattern; one that lies below ends, with what was opened from it."""
        while any(isinstance(screen, PracticeScreen) for screen in self.screen_stack):
            self.pop_screen()
        self.push_screen(PracticeScreen(self.sitting.begin(choice, tempo_bpm)))

    def climb(self, climb: Climb, goal: str, rung_by: str | None = None) -> None:
        """Close the form and the practice it was opened from, and open the practice of a climb."""
        from trainer.screens.climbs.form import ClimbScreen
        from trainer.screens.climbs.screen import ClimbingScreen
        from trainer.session.keepers import ClimbKeeper

        if isinstance(self.screen, ClimbScreen):
            self.pop_screen()
        if isinstance(self.screen, PracticeScreen):
            self.end_practice()
        sitting, rung = self.sitting, climb.rung
        keeper = ClimbKeeper(sitting.tries, sitting.now, sitting.settings.prop, goal, rung_by)
        guided = Guided(climb, sitting.tries, keeper)
        self.push_screen(ClimbingScreen(sitting.begin(rung.choice, rung.tempo_bpm, guided), guided))

    def end_practice(self) -> None:
        """Close the practice screen; the patterns are behind it, or are opened now."""
        self.sitting.end_session()
        if isinstance(self.screen_stack[-2], BaseScreen):
            self.pop_screen()
        else:
            self.switch_screen(PatternsScreen())

    def action_leave(self) -> None:
        self.exit()

    def action_show_help(self) -> None:
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(getattr(self.screen, "NAME", ""), self.sitting.settings))

    def _open_tour(self) -> None:
        from trainer.screens.setup.tour import TourScreen  # opened once

        self.push_screen(TourScreen())

    def action_open_setup(self) -> None:
        from trainer.screens.setup.screen import SetupScreen  # opened seldom; the start is quicker without it

        self.push_screen(SetupScreen())

    def action_open_terms(self) -> None:
        self.open_terms(self.screen.word_at_hand() if isinstance(self.screen, BaseScreen) else "")

    def open_terms(self, word: str) -> None:
        """Open the glossary at a word, or at its beginning."""
        from trainer.screens.patterns.terms import TermsScreen  # opened seldom, as the setup

        self.push_screen(TermsScreen(word))

    def action_open_find(self) -> None:
        from trainer.screens.patterns.find import FindScreen  # opened seldom, as the setup

        self.push_screen(FindScreen())

    def action_open_logbook(self) -> None:
        from trainer.screens.lookback.logbook import LogbookScreen  # opened seldom, as the setup

        self._look_back(LogbookScreen)

    def action_open_progress(self) -> None:
        from trainer.screens.lookback.progress import ProgressScreen  # opened seldom; it brings the plots along

        self._look_back(ProgressScreen)

    def _look_back(self, kind: type[LookingBack]) -> None:
        """Open the logbook or the progress at the figure at hand; from one to the other and back they change places."""
        figure = self.screen.figure_at_hand() if isinstance(self.screen, BaseScreen) else None
        screen = kind(figure)
        if isinstance(self.screen, LookingBack):
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def action_open_plans(self) -> None:
        from trainer.screens.plans.screen import PlansScreen  # opened seldom, as the setup

        self.push_screen(PlansScreen())

    def practise_plan(self, text: str, path: Path, run: PlanRun | None = None) -> None:
        """Open the practice of a plan, from its start or where a run of it was left. Raises TrainerError."""
        from trainer.session.plans import begin_plan  # opened seldom, as the setup

        self.push_screen(PracticeScreen(begin_plan(self.sitting, text, path, run)))

    def action_open_climb(self) -> None:
        """Set up a climb of the pattern at hand."""
        from trainer.screens.climbs.form import ClimbScreen  # opened seldom, as the setup

        screen, sitting = self.screen, self.sitting
        choice: Choice | None = getattr(screen, "choice", None)
        if choice is not None:
            chosen = screen.session.chosen if isinstance(screen, PracticeScreen) else sitting.to_chosen(choice)
            self.push_screen(ClimbScreen(choice, chosen.tempo_bpm))
        elif isinstance(screen, BaseScreen):
            screen.say("Choose a pattern to climb first.")

    def show_pattern(self, title: str) -> None:
        """Leave the glossary for a pattern in the list; a practice it was opened from ends."""
        while not isinstance(self.screen, PatternsScreen | PracticeScreen):
            self.pop_screen()
        if isinstance(self.screen, PracticeScreen):
            self.end_practice()
            while isinstance(self.screen, BrowseScreen) and not isinstance(self.screen, PatternsScreen):
                self.pop_screen()
        if isinstance(self.screen, PatternsScreen):
            self.screen.look_for(title)

    def get_key_display(self, binding: Binding) -> str:
        """Keys as people call them, the same in the footer as everywhere."""
        return key_to_text(binding.key)

    def failure_details(self) -> str:
        """The fault in full, for the log file; empty if there was none."""
        return "".join(traceback.format_exception(self.failure)) if self.failure else ""
