"""The gate for texts: the same limits whichever side a text comes in from, and one way for all that go out."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from trainer import config
from trainer.config import SETTINGS
from trainer.files import texts
from trainer.files.checks import Wrong
from trainer.files.texts import Form, Kind, checked, one_line
from trainer.files.toml import DataError, parse
from trainer.logbook.fields import FIELDS, Column
from trainer.siteswap.grammar import LONGEST_TEXT

NAME, LINE, PROSE, FILE = (Kind(10, form) for form in Form)

SIGNS = {
    # What each is, and which texts it is let into.
    "\x00": (),
    "\x07": (),
    "\x1b": (),
    "\x7f": (),
    "\x85": (),
    "\x9b": (),
    "\ud800": (),
    "\t": (LINE, PROSE, FILE),
    "\n": (PROSE, FILE),
    "\r": (PROSE, FILE),
    "\u2028": (FILE,),  # a line's end
    "\u202e": (FILE,),  # from right to left, whatever follows
    "\u2066": (FILE,),  # an order of its own
    "\u200b": (LINE, PROSE, FILE),  # a space of no width
    "\ufeff": (LINE, PROSE, FILE),  # a byte order mark
    "\u00ad": (LINE, PROSE, FILE),  # a soft hyphen
    "\u200f": (LINE, PROSE, FILE),  # a mark of Hebrew and Arabic
    "\u200c": (NAME, LINE, PROSE, FILE),  # parts letters of Persian
    "\u200d": (NAME, LINE, PROSE, FILE),  # joins signs to one emoji
    "\U000e0067": (NAME, LINE, PROSE, FILE),  # a part of a flag
    "\u00a0": (NAME, LINE, PROSE, FILE),
    "\u3000": (NAME, LINE, PROSE, FILE),
    "🤹🏽": (NAME, LINE, PROSE, FILE),
}


@pytest.mark.parametrize(("sign", "let_in"), SIGNS.items(), ids=ascii)
def test_which_signs_a_text_may_have(sign: str, let_in: tuple[Kind, ...]) -> None:
    for kind in (NAME, LINE, PROSE, FILE):
        text = f"a{sign}b"
        if kind in let_in:
            assert checked(text, kind) == text
        else:
            with pytest.raises(Wrong, match=r"The text .* (Take it out|Write it on one|Save it as UTF-8)\."):
                checked(text, kind)


def test_how_long_a_text_may_be() -> None:
    assert checked("x" * 10, NAME) == "x" * 10
    with pytest.raises(Wrong, match=re.escape("The text had 11 characters. Give at most 10.")):
        checked("x" * 11, NAME)
    with pytest.raises(Wrong, match=r"The text was empty\."):
        checked(" \u3000", NAME)
    with pytest.raises(Wrong, match="3 was not a text"):
        checked(3, NAME)


def test_no_text_takes_long_to_refuse() -> None:
    began_s = time.process_time()
    for text in ("x" * 1_000_000, "é\u200d" * 500_000, "\t" * 1_000_000):
        with pytest.raises(Wrong):
            checked(text, LINE)
    assert time.process_time() - began_s < 2


def test_a_pattern_may_be_as_long_as_the_grammar_reads() -> None:
    assert texts.PATTERN.longest == LONGEST_TEXT


def read_by_logbook(name: str) -> Callable[[str], str]:
    field: Column = next(field for field in FIELDS if field.name == name)
    return field.read


@pytest.mark.parametrize("name", ["juggler", "prop"])
def test_a_name_is_held_to_the_same_in_the_settings_on_the_screen_and_in_an_import(name: str, tmp_path: Path) -> None:
    kind = {"juggler": texts.JUGGLER, "prop": texts.PROP}[name]
    for text, fits in (
        ("x" * kind.longest, True),
        ("x" * (kind.longest + 1), False),
        ("Zoë 小林 🤹🏽\u200d♀️", True),
        ("a\u200bb", False),
        ("a\u202eb", False),
        ("a\tb", False),
        ("a\x1bb", False),
    ):
        escaped = "".join(f"\\U{ord(sign):08x}" for sign in text)
        ways: tuple[Callable[[], object], ...] = (
            lambda: SETTINGS[name].read(parse(f'{name} = "{escaped}"', tmp_path / "settings.toml"), name),  # noqa: B023
            lambda: config.check(tmp_path / "settings.toml", name, text),  # noqa: B023 (the setup screen's way)
            lambda: read_by_logbook(name)(text),  # noqa: B023
        )
        said = set()
        for way in ways:
            if fits:
                assert way() == text
            else:
                with pytest.raises((DataError, Wrong)) as caught:
                    way()
                said.add(str(caught.value).rpartition(f"{name}: ")[2])
        assert len(said) == (0 if fits else 1), "one message, whichever way"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("531 (4,4) Ζωή עמית ボール 🤹🏽\u200d♀️", "531 (4,4) Ζωή עמית ボール 🤹🏽\u200d♀️"),
        ("山\u3000田\u00a0x", "山\u3000田\u00a0x"),
        ("\x1b[2J\x07\x9b\x7f\r\n\t", "\\x1b[2J\\x07\\x9b\\x7f\\r\\n\\t"),
        ("\u202eabc\u2066\u200b\ufeff\u2028\U000e0001", "\\u202eabc\\u2066\\u200b\\ufeff\\u2028\\U000e0001"),
        ("\udcff", "\\udcff"),
    ],
)
def test_what_would_disturb_a_terminal_is_written_as_its_escape(text: str, shown: str) -> None:
    assert one_line(text) == shown
