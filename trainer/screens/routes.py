"""The way from screen to screen: each is opened here, and imported only then, so that the first picture comes soon."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.library.catalogue import Choice
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.browse import BrowseScreen
from trainer.screens.parts.private import FaultProofApp
from trainer.session.sitting import Sitting

if TYPE_CHECKING:
    from trainer.practice.climbs.climb import Climb
    from trainer.records.courses import PlanRun
    from trainer.screens.lookback.base import LookingBack
    from trainer.session.session import Session


def session_of(screen: object) -> Session | None:
    """The session that a screen practises; None on screens that practise none."""
    return screen.session if isinstance(screen, BaseScreen) else None


class Routes(FaultProofApp):
    """Opens and closes screens, as `Navigator` says."""

    sitting: Sitting

    def practise(self, choice: Choice, tempo_bpm: Fraction | None = None) -> None:
        """Open the practice of a pattern. A practice that is open ends, and screens opened from it close."""
        from trainer.screens.practice.screen import PracticeScreen

        while any(map(session_of, self.screen_stack)):
            self.pop_screen()
        self.push_screen(PracticeScreen(self.sitting.begin(choice, tempo_bpm)))

    def climb(self, climb: Climb, goal: str, rung_by: str | None = None) -> None:
        """Close the form and the practice it was opened from, and open the practice of a climb."""
        from trainer.screens.climbs.form import ClimbScreen
        from trainer.screens.climbs.screen import ClimbingScreen
        from trainer.session.guided import Guided
        from trainer.session.keepers import ClimbKeeper

        if isinstance(self.screen, ClimbScreen):
            self.pop_screen()
        if session_of(self.screen):
            self.end_practice()
        sitting, rung = self.sitting, climb.rung
        keeper = ClimbKeeper(sitting.tries, sitting.now, sitting.settings.prop, goal, rung_by)
        guided = Guided(climb, sitting.tries, keeper)
        self.push_screen(ClimbingScreen(sitting.begin(rung.choice, rung.tempo_bpm, guided), guided))

    def end_practice(self) -> None:
        """Close the practice and show the patterns, which lie below it or are opened now."""
        self.sitting.end_session()
        if isinstance(self.screen_stack[-2], BaseScreen):
            self.pop_screen()
        else:
            from trainer.screens.patterns.screen import PatternsScreen

            self.switch_screen(PatternsScreen())

    def action_leave(self) -> None:
        self.exit()

    def action_show_help(self) -> None:
        from trainer.screens.help import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(getattr(self.screen, "NAME", ""), self.sitting.settings))

    def open_patterns(self) -> None:
        """Open the list of patterns."""
        from trainer.screens.patterns.screen import PatternsScreen

        self.push_screen(PatternsScreen())

    def open_tour(self) -> None:
        """Open the tour of a first start."""
        from trainer.screens.setup.tour import TourScreen

        self.push_screen(TourScreen())

    def action_open_setup(self) -> None:
        from trainer.screens.setup.screen import SetupScreen

        self.push_screen(SetupScreen())

    def action_open_terms(self) -> None:
        self.open_terms(self.screen.word_at_hand() if isinstance(self.screen, BaseScreen) else "")

    def open_terms(self, word: str) -> None:
        """Open the glossary at a word, or at its beginning."""
        from trainer.screens.patterns.terms import TermsScreen

        self.push_screen(TermsScreen(word))

    def action_open_find(self) -> None:
        from trainer.screens.patterns.find import FindScreen

        self.push_screen(FindScreen())

    def action_open_logbook(self) -> None:
        from trainer.screens.lookback.logbook import LogbookScreen

        self._look_back(LogbookScreen)

    def action_open_progress(self) -> None:
        from trainer.screens.lookback.progress import ProgressScreen

        self._look_back(ProgressScreen)

    def _look_back(self, kind: type[LookingBack]) -> None:
        """Open the logbook or the progress at the figure at hand. One takes the place of the other."""
        from trainer.screens.lookback.base import LookingBack

        figure = self.screen.figure_at_hand() if isinstance(self.screen, BaseScreen) else None
        screen = kind(figure)
        if isinstance(self.screen, LookingBack):
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def action_open_plans(self) -> None:
        from trainer.screens.plans.screen import PlansScreen

        self.push_screen(PlansScreen())

    def practise_plan(self, text: str, path: Path, run: PlanRun | None = None) -> None:
        """Open the practice of a plan, from its start or where a run of it was left. Raises TrainerError."""
        from trainer.screens.practice.screen import PracticeScreen
        from trainer.session.plans import begin_plan

        self.push_screen(PracticeScreen(begin_plan(self.sitting, text, path, run)))

    def action_open_climb(self) -> None:
        """Set up a climb of the pattern at hand."""
        from trainer.screens.climbs.form import ClimbScreen

        screen, sitting = self.screen, self.sitting
        choice: Choice | None = getattr(screen, "choice", None)
        if choice is not None:
            session = session_of(screen)
            chosen = session.chosen if session else sitting.to_chosen(choice)
            self.push_screen(ClimbScreen(choice, chosen.tempo_bpm))
        elif isinstance(screen, BaseScreen):
            screen.say("Choose a pattern to climb first.")

    def show_pattern(self, title: str) -> None:
        """Show a pattern in the list of patterns. A practice that is open ends."""
        from trainer.screens.patterns.screen import PatternsScreen

        while not isinstance(self.screen, PatternsScreen) and not session_of(self.screen):
            self.pop_screen()
        if session_of(self.screen):
            self.end_practice()
            while isinstance(self.screen, BrowseScreen) and not isinstance(self.screen, PatternsScreen):
                self.pop_screen()
        if isinstance(self.screen, PatternsScreen):
            self.screen.look_for(title)
