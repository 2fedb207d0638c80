"""The help of one screen: its keys, from the table of commands, and the words of care."""

from __future__ import annotations

from trainer.config import Settings
from trainer.keys.commands import PRACTISING, commands_of, keys_of
from trainer.keys.names import key_to_text

CARE = (
    "Care: look up and around before you throw: lights, ceiling, people, pets. Start quiet; headphones gentle. "
    "Rest when hands or shoulders tire; stop at pain and see a professional. Heavy or spinning props want shoes, "
    "clear space and care for eyes and teeth. Fire and blades only with a qualified teacher and by local rules."
)


def key_rows(screen: str, settings: Settings) -> list[tuple[str, str]]:
    """Each key of a screen as people call it, and what it does."""
    pedal = "The pedal: starts a try and ends it, twice quickly if you collect."
    rows = [(key_to_text(settings.pedal), pedal)] if screen in PRACTISING else []
    for command in commands_of(screen):
        keys = " ".join(key_to_text(key) for key in keys_of(command, settings.keys)[:2])
        rows.append((keys, command.help))
    return rows
