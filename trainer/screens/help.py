"""The help screen: what every key does on the screen it was asked from, made from the table of commands."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from trainer.config import Settings
from trainer.keys import key_to_text
from trainer.library.terms import read_terms
from trainer.screens.commands import commands_of, keys_of

if TYPE_CHECKING:
    from trainer.screens.app import TrainerApp

CARE = (
    "Care: look up and around before you throw: lights, ceiling, people, pets. Start quiet; headphones gentle.\n"
    "Rest when hands or shoulders tire; stop at pain and see a professional. Heavy or spinning props want shoes,\n"
    "clear space and care for eyes and teeth. Fire and blades only with a qualified teacher and by local rules."
)
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
        settings = self.settings
        lines = [f"[b]Keys: {self.of}[/b]   (Esc closes)", ""]
        if self.of == "practice":
            lines.append(
                f"{key_to_text(settings.pedal):>8}  the pedal: starts a try and ends it, twice quickly if you collect"
            )
        for command in commands_of(self.of):
            keys = " ".join(key_to_text(key) for key in keys_of(command, settings.keys)[:2])
            lines.append(f"{keys:>8}  {command.help}")
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
