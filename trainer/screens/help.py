"""The help screen: what every key does on the screen it was asked from, made from the table of commands."""

from __future__ import annotations

from typing import cast

from rich.console import Group
from rich.style import Style
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from trainer.config import Settings
from trainer.keys.commands import CARE, key_rows
from trainer.library.terms import read_terms
from trainer.screens.parts.navigation import Navigator

WORDS = ("flash", "qualify", "dwell", "siteswap")
"""Terms told in the help of each screen; the digit before one opens it, as a click on it does."""


KEY_COLUMNS = 8


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

    def _text(self) -> Group:
        words = []
        for number, word in enumerate(WORDS, start=1):
            term = read_terms().find(word)
            assert term is not None
            link = Style(underline=True, meta={"@click": f"screen.open_word('{word}')"})
            words.append((str(number), Text.assemble((word, link), f": {term.text}")))
        return Group(
            Text.assemble((f"Keys: {self.of}", "bold"), "   (Esc closes)\n"),
            _hanging([(keys, Text(meaning)) for keys, meaning in key_rows(self.of, self.settings)]),
            Text.assemble(("\nWords", "bold"), "   (their digit, or a click, opens them)"),
            _hanging(words),
            Text(f"\n{CARE}"),
        )

    def action_open_word(self, word: str) -> None:
        self.dismiss()
        cast(Navigator, self.app).open_terms(word)

    def action_open_terms(self) -> None:
        """Open the terms that F3 opens on the screen below."""
        self.dismiss()
        cast(Navigator, self.app).action_open_terms()


def _hanging(rows: list[tuple[str, Text]]) -> Table:
    """Two columns: keys, and texts whose further lines begin under the first."""
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(justify="right", min_width=KEY_COLUMNS, no_wrap=True)
    table.add_column()
    for row in rows:
        table.add_row(*row)
    return table
