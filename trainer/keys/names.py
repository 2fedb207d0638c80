"""Keys by the names that settings and commands have for them: what people call each, and the character it types."""

from __future__ import annotations

import unicodedata

CALLED = {
    "space": "SPACE",
    "question_mark": "?",
    "escape": "Esc",
    "enter": "Enter",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "full_stop": ".",
    "comma": ",",
    "plus": "+",
    "minus": "−",
    "equals_sign": "=",
    "tab": "Tab",
    "delete": "Del",
    "pageup": "PageUp",
    "pagedown": "PageDown",
    "mouse_left": "LEFT CLICK",
    "mouse_middle": "MIDDLE CLICK",
    "mouse_right": "RIGHT CLICK",
}
SHORT_NAMES = {
    "SOLIDUS": "slash",
    "REVERSE SOLIDUS": "backslash",
    "COMMERCIAL AT": "at",
    "HYPHEN-MINUS": "minus",
    "PLUS SIGN": "plus",
    "LOW LINE": "underscore",
}
"""Characters whose keys are not called by their names in Unicode."""


def key_to_text(key: str) -> str:
    """A key as people call it."""
    if key in CALLED:
        return CALLED[key]
    if key[:1] == "f" and key[1:].isdigit():
        return key.upper()
    if key.startswith("midi_"):
        return "MIDI " + key.removeprefix("midi_").replace("_", " ").upper()
    if key.startswith("ctrl+"):
        return f"Ctrl+{key_to_text(key.removeprefix('ctrl+')).upper()}"
    if key.startswith("media_"):
        return key.removeprefix("media_").replace("_", " ").upper() + " KEY"
    character = key_to_character(key)
    return character if character is not None and character.isprintable() else key


def character_to_key(character: str) -> str:
    """The key that types a character: itself for a letter or digit, else its Unicode name, such as question_mark."""
    if character.isalnum():
        return character
    name = unicodedata.name(character, "")
    return SHORT_NAMES.get(name, name.lower().replace("-", "_").replace(" ", "_")) or character


def key_to_character(key: str) -> str | None:
    """The character that a key types; None for one that types none, as with ctrl held down."""
    if len(key) == 1:
        return key
    short = next((name for name, called in SHORT_NAMES.items() if called == key), None)
    if short is not None:
        return unicodedata.lookup(short)
    words = key.upper().split("_")
    for dash in range(len(words)):  # a name in Unicode has a dash in it seldom, and then one
        name = " ".join(words[:dash]) + "-" + " ".join(words[dash:]) if dash else " ".join(words)
        try:
            character = unicodedata.lookup(name)
        except KeyError:
            continue
        return character if character.isprintable() else None  # ESCAPE and the like have names there too
    return None
