"""Keys as terminals send them: xterm's control sequences (from its published list), the Linux console's, and text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.events import Key

from trainer.plain.keystrokes import Keystrokes, is_sent
from trainer.screens.terminal.keyboard import KeyboardParser

SENT = [
    (b" ", ["space"]),
    (b"q?+", ["q", "question_mark", "plus"]),
    (b"\x1b[A\x1b[B\x1bOC", ["up", "down", "right"]),
    (b"\x1b[6~", ["pagedown"]),
    (b"\x1b[15~\x1bOP\x1b[[B", ["f5", "f1", "f2"]),
    (b"\r\x7f", ["enter", "backspace"]),
    (b"\x1b", ["escape"]),
    (b"\x03", ["ctrl+c"]),
    (b"\x1b[<0;10;10M", []),  # a mouse report is no key, and no part of it is
    (b"\x1b[1;5A", []),  # ctrl+up is not known here
    (b"\xff", []),  # no UTF-8
]


@pytest.mark.parametrize(("sent", "keys"), SENT)
def test_keys(sent: bytes, keys: list[str]) -> None:
    assert Keystrokes().feed(sent) == keys


PEDALS = [
    # F13 to F20 of the VT220, the Linux console and rxvt; F13 to F24 of xterm, which are those with shift; and kitty's
    *((f"\x1b[{number}~", f"f{key}") for key, number in enumerate((25, 26, 28, 29, 31, 32, 33, 34), start=13)),
    ("\x1b[1;2P", "shift+f1"),
    ("\x1b[1;2S", "shift+f4"),
    ("\x1b[15;2~", "shift+f5"),
    ("\x1b[24;2~", "shift+f12"),
    ("\x1b[57376u", "f13"),
    ("\x1b[57387u", "f24"),
    ("\x1b[57428u", "media_play"),
    ("\x1b[57437u", "media_record"),
]


@pytest.mark.parametrize(("sent", "key"), PEDALS)
def test_what_pedals_send_has_one_name_on_the_screen_and_without_it(sent: str, key: str) -> None:
    """So a pedal learned in the setup is heard in plain mode too."""
    assert [event.key for event in KeyboardParser().feed(sent) if isinstance(event, Key)] == [key]
    assert Keystrokes().feed(sent.encode()) == [key]
    assert is_sent(key)


def test_which_keys_can_be_made_out() -> None:
    assert all(map(is_sent, ("space", "b", "full_stop", "pagedown", "enter", "ctrl+b", "f12")))
    assert not any(map(is_sent, ("mouse_right", "midi_control_64", "ctrl+f5", "f25")))


def test_a_character_may_come_in_two_reads() -> None:
    strokes = Keystrokes()
    first, second = strokes.feed("é".encode()[:1]), strokes.feed("é".encode()[1:])
    assert (first, len(second)) == ([], 1)


@given(st.binary(max_size=60))
def test_any_bytes_are_keys_with_names_one_can_write(data: bytes) -> None:
    for key in Keystrokes().feed(data):
        assert key
        assert "\x1b" not in key, "no part of a control sequence is a key"
        assert not any(character < " " or character == "\x7f" for character in key), repr(key)
