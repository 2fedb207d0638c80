"""The help screen: what every key does on the screen it was asked from, made from the table of commands."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from trainer.config import Settings
from trainer.library.terms import read_terms
from trainer.screens.guidance import CARE, key_rows

if TYPE_CHECKING:
    from trainer.screens.app import TrainerApp

WORDS = ("flash", "qualify", "dwell", "siteswap")
"""Terms told in the help of each screen; the digit before one opens it, as a click on it does."""


class HelpScreen(ModalScreen[None]):
    """The keys of one screen, the words it uses, and care."""

    BINDINGS = [  # noqa: RUF012 (the library's own way to declare them)
        ("escape,question_mark,f1,enter,space", "dismiss", "close"),
        ("q", "app.leave", "leave"),
        ("f3", "open_terms", "terms"),
        *((str(number), f"open_word('{word}')", word) for number, word in enumerate(WORDS, start=1)),
    ]

    def __init__(self, screen: str, settings: Settings) -> None:
        super().__init__()
        self.of, self.settings = screen, settings

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="help"):
            yield Static(self._text(), id="helptext")

    def on_mount(self) -> None:
        self.query_one("#help").focus()

    def _text(self) -> str:
        lines = [f"[b]Keys: {self.of}[/b]   (Esc closes)", ""]
        lines += [f"{keys:>8}  {meaning}" for keys, meaning in key_rows(self.of, self.settings)]
        lines += ["", "[b]Words[/b]   (their digit, or a click, opens them)"]
        for number, word in enumerate(WORDS, start=1):
            term = read_terms().find(word)
            assert term is not None
            lines.append(f"{number:>8}  [@click=screen.open_word('{word}')]{word}[/]: {term.text}")
        return "\n".join([*lines, "", CARE])

    def action_open_word(self, word: str) -> None:
        self.dismiss()
        cast("TrainerApp", self.app).open_terms(word)

    def action_open_terms(self) -> None:
        """Those that F3 opens on the screen below."""
        self.dismiss()
        cast("TrainerApp", self.app).action_open_terms()
