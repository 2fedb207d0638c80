"""Keys by name. Outside check: the names that the screens' library gives to the same characters."""

from __future__ import annotations

import pytest
from textual.keys import _character_to_key

from trainer.keys.names import character_to_key, key_to_character, key_to_text

TYPED = [chr(code) for code in (*range(0x20, 0x7F), *range(0xA0, 0x180)) if chr(code).isprintable()] + list("€“”–…字й")
NO_CHARACTER = ["escape", "enter", "up", "f1", "f12", "pageup", "ctrl+a", "ctrl+question_mark", "backspace", "home"]


def test_a_character_has_the_name_it_has_on_the_screens() -> None:
    for character in TYPED:
        assert character_to_key(character) == _character_to_key(character), character


def test_a_key_types_the_character_it_is_named_after() -> None:
    for character in TYPED:
        assert key_to_character(character_to_key(character)) == character


@pytest.mark.parametrize("key", NO_CHARACTER)
def test_a_key_that_types_nothing(key: str) -> None:
    assert key_to_character(key) is None


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("space", "SPACE"),
        ("question_mark", "?"),
        ("f2", "F2"),
        ("q", "q"),
        ("up", "↑"),
        ("full_stop", "."),
        ("ctrl+a", "Ctrl+A"),
    ],
)
def test_keys_are_called_as_people_call_them(key: str, text: str) -> None:
    assert key_to_text(key) == text
