"""Spoils exported files, as broken disks, editors and spreadsheets do."""

from __future__ import annotations

from random import Random

PIECES = (
    b"", b"\0", b"\xff", b"\xed\xa0\x80", b'"', b"'", b",", b"\r", b"\n", b"\r\n", b"{", b"}", b"[", b"]", b":", b"=1",
    b"-", b"-1", b"1e999", b"NaN", b"null", b"true", b"1/0", b"9" * 400, b"\xf0\x9f\xa4\xb9", b"\\ud800", b"2026-02-30",
    b"given-up", b"taps", b"531", b"[" * 2000,
)  # fmt: skip


def mutated(content: bytes, chance: Random) -> bytes:
    """The content with one to three places spoilt."""
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(content) + 1)
        match chance.randrange(7):
            case 0:  # a byte changed
                content = content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
            case 1:  # something put in
                content = content[:at] + chance.choice(PIECES) + content[at:]
            case 2:  # something cut out
                content = content[:at] + content[at + chance.randint(1, 60) :]
            case 3:  # cut short
                content = content[:at] if chance.random() < 0.3 else content
            case 4:  # lines doubled, left out, or in another order
                lines = content.splitlines(keepends=True)
                line = chance.randrange(len(lines)) if lines else 0
                content = b"".join((*lines[:line], *lines[line + 1 :], *lines[line : line + chance.randrange(3)]))
            case 5:  # one value for another
                fields = content.split(b",")
                fields[chance.randrange(len(fields))] = chance.choice((*PIECES, chance.choice(fields)))
                content = b",".join(fields)
            case _:  # a digit changed
                digits = [place for place, sign in enumerate(content) if 48 <= sign <= 57]
                if digits:
                    place = chance.choice(digits)
                    content = content[:place] + bytes([48 + chance.randrange(10)]) + content[place + 1 :]
    return content
