"""The texts that come in from a user and go out to a terminal: how long each kind may be, and which signs it may have.

A text that comes in is held against its kind, whichever side it comes from: a file, the setup screen, an import. What
goes out to a terminal goes through `one_line`, wherever it is from: a logbook may hold texts of before.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import Enum, auto
from typing import Any, Final

from trainer.files.checks import Wrong, shown


class Form(Enum):
    """What a text is for, which decides the signs it may have."""

    NAME = auto()  # one line that tells one thing from another: two names that look alike must be alike
    LINE = auto()  # one line to be read
    PROSE = auto()  # lines to be read
    FILE = auto()  # the text of a whole file, which is checked again when it is parsed


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of text. longest: its most characters."""

    longest: int
    form: Form = Form.LINE


# fmt: off
JUGGLER: Final = Kind(100, Form.NAME)
PROP: Final = Kind(60, Form.NAME)
KEY: Final = Kind(30, Form.NAME)
KIT: Final = Kind(60, Form.NAME)
DEVICE: Final = Kind(200)
FILE_NAME: Final = Kind(1000)
AUDIENCE: Final = Kind(200)           # for whom a kit or a plan is
PATTERN: Final = Kind(4096)           # a siteswap, as siteswap.grammar reads it; or a name
PATTERN_NAME: Final = Kind(80, Form.NAME)
HOW: Final = Kind(600)                # how a pattern is done
CUE: Final = Kind(200)
TERM: Final = Kind(40, Form.NAME)
MEANING: Final = Kind(400)            # of a term
PLAN: Final = Kind(80, Form.NAME)
PLAN_STEM: Final = Kind(255)          # the name of a plan's file, without its ending
PLAN_FILE: Final = Kind(1_000_000, Form.FILE)
SAY: Final = Kind(300, Form.PROSE)    # a sentence of a plan's block
STEP: Final = Kind(20)                # of a climb
GOAL: Final = Kind(20)                 # of a block
NOTE: Final = Kind(20_000, Form.PROSE)
WORD: Final = Kind(200)               # any other line
# fmt: on

JOINERS: Final = frozenset("\u200c\u200d") | frozenset(map(chr, range(0xE0020, 0xE0080)))
"""Unseen signs that words of some scripts and some emoji need. Source: UTS #51, and Unicode 15, 23.2 and 23.9."""

TURNERS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Signs that turn the order in which a line is read. Source: UAX #9, 2.1 to 2.5."""

DISTURBING: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""Categories of signs that move the cursor, break the line, or are not seen."""


def disturbs(sign: str) -> bool:
    """Whether a sign does something else to a terminal than stand there, or can't be seen."""
    return unicodedata.category(sign) in DISTURBING and sign not in JOINERS


def one_line(text: str) -> str:
    """`text` with every sign that would disturb a line of the terminal written as its escape."""
    if text.isprintable():
        return text
    return "".join(sign.encode("unicode_escape").decode("ascii") if disturbs(sign) else sign for sign in text)


def checked(value: Any, kind: Kind, shortest: int = 1) -> str:
    """`value`, a text of that kind; raises Wrong, whose message says what to do, for any other."""
    if not isinstance(value, str):
        raise Wrong(f"{shown(value)} was not a text. Put it in quotation marks.")
    if not value.isprintable():
        _refuse_signs(value, kind.form)
    if len(value.strip()) < shortest:
        raise Wrong("The text was empty." if shortest == 1 else f"Give at least {shortest} characters.")
    if len(value) > kind.longest:
        raise Wrong(f"The text had {len(value)} characters. Give at most {kind.longest}.")
    return value


def _refuse_signs(text: str, form: Form) -> None:
    if form in (Form.NAME, Form.LINE) and "\n" in text:
        raise Wrong("The text ran over more than one line. Write it on one.")
    lays_out = {Form.NAME: "", Form.LINE: "\t"}.get(form, "\t\n\r")
    for sign in filter(disturbs, text):
        if "\ud800" <= sign <= "\udfff":
            raise Wrong("The text was no UTF-8. Save it as UTF-8.")
        if unicodedata.category(sign) == "Cc":
            if sign not in lays_out:
                raise Wrong("The text had a control character in it. Take it out.")
        elif form is Form.NAME or (form is not Form.FILE and (sign in TURNERS or sign in "\u2028\u2029")):
            raise Wrong(f"The text had a sign in it that can't be seen (U+{ord(sign):04X}). Take it out.")
