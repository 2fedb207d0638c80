"""A pseudo-terminal that knows the kitty keyboard protocol: it keeps flags on stacks, answers, and tells releases.

Written from the protocol's page (https://sw.kovidgoyal.net/kitty/keyboard-protocol/, "Progressive enhancement"): the
main and the alternate screen have a stack each; CSI > f u puts flags on it, CSI < n u takes n off, CSI = f ; m u
changes the topmost (1 sets, 2 adds, 3 takes away), CSI ? u asks for it.
"""

from __future__ import annotations

import os
import re

from tests.live.terminal import Terminal

EVENT_TYPES = 2
ASKED = re.compile(rb"\x1b\[(?:([<>=?])(\d*)(?:;(\d+))?u|\?1049([hl]))")


class Kitty(Terminal):
    """KNOWN: the flags it can carry out; others it leaves out, as the protocol has it. stacks: main and alternate."""

    KNOWN = 31

    def __init__(self, *arguments: object, **named: object) -> None:
        self.stacks: dict[bytes, list[int]] = {b"l": [0], b"h": [0]}
        self._screen = b"l"
        self._rest = b""
        super().__init__(*arguments, **named)  # type: ignore[arg-type]

    @property
    def flags(self) -> int:
        return self.stacks[self._screen][-1]

    @property
    def tells_releases(self) -> bool:
        return bool(self.flags & EVENT_TYPES)

    def _heed(self, sent: bytes) -> None:
        sent = self._rest + sent
        end = 0
        for asked in ASKED.finditer(sent):
            end = asked.end()
            if asked[4]:
                self._screen = asked[4]
            else:
                self._change(asked[1], int(asked[2] or 0), int(asked[3] or 1))
        self._rest = sent[end:][-16:]

    def _change(self, kind: bytes, number: int, mode: int) -> None:
        stack = self.stacks[self._screen]
        if kind == b"?":
            os.write(self.fd, b"\x1b[?%du" % stack[-1])
        elif kind == b">":
            stack.append(number & self.KNOWN)
        elif kind == b"<":
            del stack[max(1, len(stack) - (number or 1)) :]
        else:
            changed = {1: number, 2: stack[-1] | number, 3: stack[-1] & ~number}[mode]
            stack[-1] = changed & self.KNOWN


class HalfKitty(Kitty):
    """One that knows the protocol, but can't tell repeats and releases."""

    KNOWN = 31 & ~EVENT_TYPES
