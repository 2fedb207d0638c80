"""Keys as terminals send them: xterm's control sequences (from its published list), the Linux console's, and text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._keyboard_protocol import FUNCTIONAL_KEYS

from trainer.keystrokes import Keystrokes, is_sent

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


@pytest.mark.parametrize("key", [*(f"f{number}" for number in range(13, 25)), "media_play", "media_track_previous"])
def test_what_pedals_send_is_what_the_library_that_draws_takes_it_for(key: str) -> None:
    """So a pedal learned on the screen is heard without one, whichever way its terminal sends it."""
    sent = [text for text, keys in ANSI_SEQUENCES_KEYS.items() if keys == (key,)]
    sent += [f"\x1b[{text}" for text, name in FUNCTIONAL_KEYS.items() if name == key]
    usual = [text for text in sent if not text.endswith("$")]  # of one terminal alone
    assert usual
    assert [Keystrokes().feed(text.encode()) for text in usual] == [[key]] * len(usual)
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
