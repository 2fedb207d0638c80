"""What all screens share: the desk they work at, and one line for notices, which never covers anything."""

from __future__ import annotations

from typing import cast

from textual.widgets import Static

from trainer.errors import TrainerError
from trainer.keys.names import key_to_text
from trainer.library.terms import read_terms
from trainer.records.totals import Figure
from trainer.screens.parts.navigation import Navigator
from trainer.screens.parts.private import ClosableScreen
from trainer.screens.terminal.presses import Press
from trainer.session.sitting import Sitting

NOTICE_S = 12.0
RUN_GOES_ON = "The run goes on; {pedal} is its pedal here too."


class BaseScreen(ClosableScreen):
    """A screen at the desk. NAME: as the table of commands calls it."""

    NAME = ""
    _notice_text = ""
    _notice_until_s = 0.0
    _tells_of_run = False

    @property
    def navigator(self) -> Navigator:
        return cast(Navigator, self.app)

    @property
    def sitting(self) -> Sitting:
        return self.navigator.sitting

    def word_at_hand(self) -> str:
        """The word of the trade to explain first, if somebody asks now; empty if there is none."""
        return ""

    def on_mount(self) -> None:
        """What has to stand on every screen stands at its top. A run under way goes on, and its pedal is heard."""
        if self.sitting.sign:
            self.mount(Static(self.sitting.sign, id="sign", markup=False), before=0)
        if self._runs:
            self.say(RUN_GOES_ON.format(pedal=key_to_text(self.sitting.settings.pedal)))
            self._tells_of_run = True

    @property
    def _runs(self) -> bool:
        return self.sitting.session is not None and self.sitting.session.under_way

    def term_about(self, name: str | None, pattern: str) -> str:
        """The term that tells most of a pattern that was practised; empty if the pattern can't be read any more."""
        try:
            term = read_terms().about(self.sitting.library.to_choice(name or pattern))
        except TrainerError:
            return ""
        return term.title if term else ""

    def take(self, press: Press) -> bool:
        """Take a press that is for a pedal here; False where it is for the screen's keys and widgets as usual."""
        return False

    def figure_at_hand(self) -> Figure | None:
        """The figure to look back at, if somebody asks now; None for the newest."""
        return None

    def say(self, text: str) -> None:
        """A notice in the line above the footer, for a while."""
        self._notice_until_s, self._tells_of_run = self.sitting.clock() + NOTICE_S, False
        self._put_notice(text)

    def show_trouble(self) -> None:
        """What was found wrong meanwhile, once; then what is wrong right now. Called now and then."""
        if self.sitting.notices and self.app.screen is self:  # the library calls the screen beneath current too
            self.say(" · ".join(self.sitting.notices))
            self.sitting.notices.clear()
        elif self.sitting.clock() >= self._notice_until_s or (self._tells_of_run and not self._runs):
            self._put_notice(self.sitting.trouble())

    def _put_notice(self, text: str) -> None:
        if text != self._notice_text:
            self._notice_text = text
            notice = self.query_one("#notice", Static)
            notice.update(text)
            notice.set_class(bool(text), "shown")
