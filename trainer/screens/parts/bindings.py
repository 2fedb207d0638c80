"""The commands of a screen as the library's key bindings."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.binding import Binding
from trainer.keys.commands import OF_THE_APP, commands_of


def bindings_of(screen: str, refused: tuple[str, ...] = ()) -> list[Binding | tuple[str, str] | tuple[str, str, str]]:
    """A screen's commands as key bindings, on the keys they have out of the box.

    refused: commands that are disabled on this screen: they are in the help, but not in the footer.
    """
    from textual.binding import Binding  # only here: who practises without screens reads this table too

    return [
        Binding(
            ",".join(command.keys),
            f"app.{command.name}" if command.name in OF_THE_APP else command.name,
            command.label,
            show=not command.hidden and screen not in command.hidden_on and command.name not in refused,
            id=command.name,
        )
        for command in commands_of(screen)
    ]
