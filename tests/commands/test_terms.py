"""The command terms: a page for people, JSON for programs, one message for a word that is none."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from trainer.library.terms import read_terms

FLASH = """\
flash
Two meanings. As a count: each object thrown and caught once (here also one
whole round, if that takes more catches). As a trick: all objects in the air at
once, both hands empty, as for a clap.
See also: qualify, all-up, round.
To try it: 3 cascade, 55500, 4 flash.
"""
PENGUIN = """\
penguin, penguin catch
A catch low beside the body with the arm twisted so far round that the palm
opens outward, like a flipper. Turn only as far as is comfortable, and warm the
shoulder first.
See also: claw, body throw, warm-up.
"""


@pytest.mark.parametrize(
    ("words", "page"),
    [(["flash"], FLASH), (["FLASHES"], FLASH), (["penguin", "catch"], PENGUIN), (["penguin-catch"], PENGUIN)],
)
def test_a_term_is_a_page(cli: Callable[..., Any], words: list[str], page: str) -> None:
    assert cli("terms", *words) == (0, page, "")


def test_without_a_word_all_are_listed(cli: Callable[..., Any]) -> None:
    status, out, err = cli("terms")
    *columns, blank, more = out.splitlines()
    assert (status, err, blank) == (0, "", "")
    assert more == "“throwbeat terms WORD” tells what one of them means."
    assert all(len(line) <= 79 for line in columns)
    rows = [re.split(" {2,}", line) for line in columns]
    down = [row[place] for place in range(len(rows[0])) for row in rows if place < len(row)]
    assert down == [term.title for term in read_terms().terms]


def test_json_has_every_field(cli: Callable[..., Any]) -> None:
    status, out, _ = cli("terms", "back", "cross", "--json")
    found = json.loads(out)
    assert status == 0
    assert list(found) == ["names", "text", "see", "patterns"]
    assert found["names"] == ["back cross", "behind the back"]
    assert found["see"] == ["body throw", "over the shoulder"]
    assert found["patterns"] == ["One back cross", "Back crosses", "5 back crosses"]
    every = json.loads(cli("terms", "--json").out)["terms"]
    assert len(every) == len(read_terms().terms)
    assert found in every


@pytest.mark.parametrize(
    ("word", "message"),
    [
        ("cascde", 'No term was called "cascde". Was “cascade” meant?'),
        ("xyzzy", 'No term was called "xyzzy". “throwbeat terms” lists them all.'),
        ("", 'No term was called "". “throwbeat terms” lists them all.'),
        ("\x1b[2J", 'No term was called "\\x1b[2J". “throwbeat terms” lists them all.'),
        ("q" * 100_000, f'No term was called "{"q" * 38}…. “throwbeat terms” lists them all.'),
    ],
)
def test_a_word_that_is_none_is_refused(refused: Callable[..., str], word: str, message: str) -> None:
    assert refused("terms", word) == message


def test_it_reads_no_pattern(cli: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.files.places.bundled", lambda *_: pytest.fail("a folder was asked for"))
    assert cli("terms", "claw")[0] == 0
