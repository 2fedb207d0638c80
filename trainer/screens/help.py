"""The help screen: what every key does on the screen it was asked from, made from the table of commands."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from trainer.config import Settings
from trainer.keys import key_to_text
from trainer.screens.commands import commands_of, keys_of

CARE = (
    "Care: look up and around before you throw: lights, ceiling, people, pets. Start quiet; headphones gentle.\n"
    "Rest when hands or shoulders tire; stop at pain and see a professional. Heavy or spinning props want shoes,\n"
    "clear space and care for eyes and teeth. Fire and blades only with a qualified teacher and by local rules."
)
WORDS = (
    ("flash", "every object thrown and caught once, or one round of the pattern if that takes more catches"),
    ("qualify", "twice the catches of a flash"),
    ("dwell", "the share of its time a hand spends holding; more of it makes throws lower"),
    ("siteswap", "a digit for each throw: in how many beats the object is thrown again"),
)


class HelpScreen(ModalScreen[None]):
    """The keys of one screen, the words it uses, and care."""

    BINDINGS = [("escape,question_mark,f1,enter,space", "dismiss", "close"), ("q", "app.leave", "leave")]  # noqa: RUF012

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
        lines += ["", "[b]Words[/b]", *(f"{word:>8}  {meaning}" for word, meaning in WORDS), "", CARE]
        return "\n".join(lines)
