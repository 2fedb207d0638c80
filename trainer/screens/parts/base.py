"""What all screens share: the sitting they belong to, and a line for notices that covers nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.widgets import Static

from trainer.errors import TrainerError
from trainer.files.texts import one_line
from trainer.keys.names import key_to_text
from trainer.library.terms import read_terms
from trainer.records.totals import Figure
from trainer.screens.parts.navigation import Navigator
from trainer.screens.parts.private import ClosableScreen
from trainer.screens.terminal.presses import Press
from trainer.session.sitting import Sitting

if TYPE_CHECKING:
    from trainer.session.session import Session

NOTICE_S = 12.0
RUN_GOES_ON = "The run goes on; {pedal} is its pedal here too."


class BaseScreen(ClosableScreen):
    """A screen of the trainer. NAME: as the table of commands calls it. WORD: its term, if always the same."""

    NAME = ""
    WORD = ""
    session: Session | None = None
    """What is practised on it; None on a screen for something else."""

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
        """The term that F3 opens from here; empty if there is none."""
        return self.WORD

    def on_mount(self) -> None:
        """Put the sitting's sign at the top, and say it if a run goes on under this screen."""
        if self.sitting.sign:
            self.mount(Static(self.sitting.sign, id="sign", markup=False), before=0)
        if self._runs:
            self.say(RUN_GOES_ON.format(pedal=key_to_text(self.sitting.settings.pedal)))
            self._tells_of_run = True

    @property
    def _runs(self) -> bool:
        return self.sitting.session is not None and self.sitting.session.under_way

    def term_about(self, name: str | None, pattern: str) -> str:
        """The term that tells most about a pattern that was practised; empty if its text can't be read."""
        try:
            term = read_terms().about(self.sitting.library.to_choice(name or pattern))
        except TrainerError:
            return ""
        return term.title if term else ""

    def take(self, press: Press) -> bool:
        """Take a press as a pedal's; False where it is for the screen's keys and widgets."""
        return False

    def action_back(self) -> None:
        """Leave the screen."""
        self.app.pop_screen()

    def figure_at_hand(self) -> Figure | None:
        """The figure that the logbook and the progress open at from here; None for the newest."""
        return None

    def say(self, text: str) -> None:
        """Show a notice in the line above the footer, for NOTICE_S."""
        self._notice_until_s, self._tells_of_run = self.sitting.clock() + NOTICE_S, False
        self._put_notice(text)

    def show_trouble(self) -> None:
        """Show the sitting's new notices once, and after them what is wrong at present. A timer calls this."""
        if self.sitting.notices and self.app.screen is self:  # timers of the screens beneath run too
            self.say(" · ".join(self.sitting.notices))
            self.sitting.notices.clear()
        elif self.sitting.clock() >= self._notice_until_s or (self._tells_of_run and not self._runs):
            self._put_notice(self.sitting.trouble())

    def _put_notice(self, text: str) -> None:
        if text != self._notice_text:
            self._notice_text = text
            notice = self.query_one("#notice", Static)
            notice.update(one_line(text))
            notice.set_class(bool(text), "shown")
