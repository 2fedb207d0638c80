"""What a terminal sends for its keys, taken apart into the names keys have here.

Only what common terminals send is known (xterm, the Linux console, kitty and their kin); other control sequences are
dropped whole, so that no part of one is taken for a key.
"""

from __future__ import annotations

import codecs
import re
from string import ascii_lowercase

from trainer.keys.names import character_to_key, key_to_character

CONTROL = {"\r": "enter", "\n": "enter", "\t": "tab", "\x7f": "backspace", "\x08": "backspace", "\x1b": "escape"}
ARROWS = {"A": "up", "B": "down", "C": "right", "D": "left", "H": "home", "F": "end"}
FIRST_FOUR = {"P": "f1", "Q": "f2", "R": "f3", "S": "f4"}
NUMBERED = {
    1: "home", 2: "insert", 3: "delete", 4: "end", 5: "pageup", 6: "pagedown", 7: "home", 8: "end",
    11: "f1", 12: "f2", 13: "f3", 14: "f4", 15: "f5", 17: "f6", 18: "f7", 19: "f8", 20: "f9", 21: "f10", 23: "f11",
    24: "f12", 25: "f13", 26: "f14", 28: "f15", 29: "f16", 31: "f17", 32: "f18", 33: "f19", 34: "f20",
}  # fmt: skip
WITH_SHIFT = {key: f"shift+{key}" for key in (f"f{number}" for number in range(1, 13))}
"""What xterm and its kin send for F13 to F24, too."""

FIRST_MANY, FIRST_MEDIA = 57376, 57428
"""How kitty numbers F13 and those that follow, and the media keys."""

MEDIA = (
    "play", "pause", "play_pause", "reverse", "stop", "fast_forward", "rewind", "track_next", "track_previous",
    "record",
)  # fmt: skip
SEQUENCES = {
    **{f"\x1b{bracket}{end}": key for bracket in "[O" for end, key in (ARROWS | FIRST_FOUR).items()},
    **{f"\x1b[{number}~": key for number, key in NUMBERED.items()},
    **{f"\x1b[1;2{end}": WITH_SHIFT[key] for end, key in FIRST_FOUR.items()},
    **{f"\x1b[{number};2~": WITH_SHIFT[key] for number, key in NUMBERED.items() if key in WITH_SHIFT},
    **{f"\x1b[[{letter}": f"f{number}" for number, letter in enumerate("ABCDE", start=1)},
    **{f"\x1b[{number}u": f"f{number - FIRST_MANY + 13}" for number in range(FIRST_MANY, FIRST_MANY + 12)},
    **{f"\x1b[{number}u": f"media_{name}" for number, name in enumerate(MEDIA, start=FIRST_MEDIA)},
}
SENT = frozenset({*CONTROL.values(), *SEQUENCES.values(), *(f"ctrl+{letter}" for letter in ascii_lowercase)})
CONSOLE = {
    "H": "up", "P": "down", "M": "right", "K": "left", "G": "home", "O": "end", "I": "pageup", "Q": "pagedown",
    "R": "insert", "S": "delete", **{chr(58 + number): f"f{number}" for number in range(1, 11)},
}  # fmt: skip
"""What follows the mark of a key that types nothing, in the Windows console."""

ONE_KEY = re.compile(r"\x1b\[\[[A-E]|\x1b\[[0-?]*[ -/]*[@-~]|\x1bO[@-~]|.", re.DOTALL)
FIRST_LETTER = ord("a") - 1
"""ctrl+a is sent as 1, and so on."""


def is_sent(key: str) -> bool:
    """Whether a key is one that can be made out here."""
    return key in SENT or key_to_character(key) is not None


class Keystrokes:
    """Takes bytes as they arrive; a character may be spread over two reads, an escape sequence comes in one."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")("ignore")

    def feed(self, data: bytes) -> list[str]:
        """The names of the keys that were pressed."""
        pressed = (_to_key(found) for found in ONE_KEY.findall(self._decoder.decode(data)))
        return [key for key in pressed if key]


def _to_key(sent: str) -> str:
    """The key for one character or sequence; empty for a sequence that is no key."""
    if len(sent) > 1:
        return SEQUENCES.get(sent, "")
    if sent in CONTROL:
        return CONTROL[sent]
    if sent < " ":
        return f"ctrl+{chr(ord(sent) + FIRST_LETTER)}" if "\x01" <= sent <= "\x1a" else ""
    return character_to_key(sent)
