"""The keys as a terminal sends them: the library's parser, taught that a key can repeat and be let go.

Terminals with the kitty keyboard protocol can say so (https://sw.kovidgoyal.net/kitty/keyboard-protocol/, "Report
event types"): in CSI code ; modifiers : event u the event is 1 pressed, 2 repeated, 3 let go. The library's own parser
fails on that, and takes the older F13 to F20, which some pedals send, for control characters. It is private to the
library: where the one made from it here does not give what it should, the library's is used as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from textual import events
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._keyboard_protocol import FUNCTIONAL_KEYS
from textual._xterm_parser import XTermParser
from textual.keys import Keys

from trainer.screens.terminal.presses import KeyUp, RepeatedKey

EVENT_TYPES: Final = 0b10
"""The protocol's flag for telling repeats and releases."""

WITH_EVENT: Final = re.compile(r"\x1b\[(\d[\d:]*);(\d*):([123])((?:;[\d:]*)?)([u~ABCDEFHPQRS])")
FLAGS: Final = re.compile(r"\x1b\[\?(\d{1,9})u")
NUMBERED: Final = re.compile(r"\x1b\[(\d{1,2}~)")
REPEATED, LET_GO = "2", "3"


class KeyboardFlags(events.Event):
    """A terminal's answer to CSI ? u: the flags of the protocol that are set. They are passed on like a key."""

    key = ""

    def __init__(self, flags: int) -> None:
        super().__init__()
        self.flags = flags


class KeyboardParser(XTermParser):
    """Gives RepeatedKey, KeyUp and KeyboardFlags beside what the library's parser gives."""

    def _sequence_to_key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        if answer := FLAGS.fullmatch(sequence):
            yield KeyboardFlags(int(answer[1]))  # type: ignore[misc]  # the library passes it on, as it has a key
            return
        numbered, older = NUMBERED.fullmatch(sequence), ANSI_SEQUENCES_KEYS.get(sequence)
        if numbered and numbered[1] not in FUNCTIONAL_KEYS and isinstance(older, tuple):
            yield from (events.Key(key.value, None) for key in older)
            return
        told = WITH_EVENT.fullmatch(sequence)
        if told is not None:
            code, modifiers, event, text, end = told.groups()
            sequence = f"\x1b[{code};{'' if modifiers == '1' else modifiers}{text}{end}"
        try:
            keys = list(super()._sequence_to_key_events(sequence, alt))
        except (ValueError, OverflowError):
            keys = [events.Key(Keys.Ignore, sequence)]  # a number that is no character: no key sends that
        for key in keys:
            if told is None or key.key == Keys.Ignore:
                yield key
            elif event == REPEATED:
                yield RepeatedKey(key.key, key.character)
            elif event == LET_GO:
                yield KeyUp(key.key)  # type: ignore[misc]
            else:
                yield key


PROOF: Final = (
    # bytes → the kind of what they are, and its key or flags
    (" ", (events.Key, "space")),
    ("\x1b[32;;32u", (events.Key, "space")),
    ("\x1b[32;1:2;32u", (RepeatedKey, "space")),
    ("\x1b[32;1:3u", (KeyUp, "space")),
    ("\x1b[5;1:3~", (KeyUp, "pageup")),
    ("\x1b[1;1:2A", (RepeatedKey, "up")),
    ("\x1b[57376;1:3u", (KeyUp, "f13")),
    ("\x1b[25~", (events.Key, "f13")),
    ("\x1b[?27u", (KeyboardFlags, 27)),
)


def choose_parser() -> type[XTermParser]:
    """The parser to read keys with: ours if it gives what it should with the library installed here."""
    try:
        tokens = list(KeyboardParser().feed("".join(sequence for sequence, _ in PROOF)))
    except Exception:  # noqa: BLE001 - a library of another shape may fail in any way; then its own parser is right
        return XTermParser
    given = [(type(each), getattr(each, "flags", None) or getattr(each, "key", None)) for each in tokens]
    return KeyboardParser if given == [expected for _, expected in PROOF] else XTermParser
