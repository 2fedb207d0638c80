"""The command explain from its words to what is printed; figures are checked against sources where they are made."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trainer.files.places import Places

TEMPOS = [
    # what is given, what the message says
    ("0", "A tempo of 0 beats/min"),
    ("-1", "A tempo of -1 beats/min"),
    ("1e9", "A tempo of 1000000000 beats/min"),
    ("1e999999999", "tempo"),
    ("nan", "“nan” was given as a tempo"),
    ("inf", "“inf” was given as a tempo"),
    ("fast", "“fast” was given as a tempo"),
    ("", "Nothing was given as a tempo"),
    ("1/0", "“1/0” was given as a tempo"),
]
DWELLS = [
    ("0", "A dwell ratio of 0"),
    ("1", "A dwell ratio of 1"),
    ("2", "A dwell ratio of 2"),
    ("-1/2", "A dwell ratio of -0.5"),
    ("nan", "“nan” was given as a dwell ratio"),
]


@pytest.mark.parametrize(("text", "says"), TEMPOS)
def test_a_tempo_that_is_none_is_refused(refused: Callable[..., str], text: str, says: str) -> None:
    assert says in refused("explain", "531", f"--tempo={text}")


@pytest.mark.parametrize(("text", "says"), DWELLS)
def test_a_dwell_ratio_that_is_none_is_refused(refused: Callable[..., str], text: str, says: str) -> None:
    assert refused("explain", "531", f"--dwell={text}").startswith(says)


ODD_TEXTS = [
    "\udcff\udcfe",  # bytes that are no UTF-8, as Python hands them on
    "\x00",
    "\x1b[2J\x07",  # clears the screen, rings the bell
    "5\x1b]0;owned\x07",
    "531\n531\r441",
    "\u202e135",  # turns the direction of writing round
    "5" + "\u0301" * 500,  # marks heaped upon one digit
    "🤹",
    "(",
    "<3|",
    "[[[[",
    "9" * 100_000,
    "-",
    "%s%n{0}",
]


@pytest.mark.parametrize("text", ODD_TEXTS, ids=range(len(ODD_TEXTS)))
def test_any_text_is_a_pattern_or_refused_in_a_clear_message(cli: Callable[..., Any], text: str) -> None:
    said = cli("explain", "--", text)
    status, out, err = said
    assert status in (0, 2)
    assert "Traceback" not in err
    assert len(err) < 2000
    assert all(char.isprintable() or char == "\n" for char in out + err), ascii(err)


def test_no_pattern_is_refused(refused: Callable[..., str]) -> None:
    assert refused("explain") == "The following arguments are required: PATTERN. See “throwbeat explain --help”."


def test_an_unknown_option_is_refused(refused: Callable[..., str]) -> None:
    assert "--tempi" in refused("explain", "531", "--tempi", "3")


def test_the_words_of_a_name_need_no_quotes(cli: Callable[..., Any]) -> None:
    apart, quoted = cli("explain", "mills", "mess"), cli("explain", "mills mess")
    assert apart == quoted
    assert apart[0] == 0


def test_json_is_json(cli: Callable[..., Any]) -> None:
    status, out, err = cli("explain", "531", "--json", "--tempo", "180")
    assert (status, err) == (0, "")
    assert json.loads(out)["pattern"] == "531"


UNREADABLE_FILES = [b"dwell = [broken\n", b"\xff\xfe\x00", b"\n" * 2_000_000]
WRONG_FIELDS = [b"dwell = 7\n", b'kit = "\x1b[2J"\n'.replace(b"\x1b", b"\\u001b")]


@pytest.mark.parametrize("content", UNREADABLE_FILES, ids=range(len(UNREADABLE_FILES)))
def test_an_unreadable_settings_file_is_one_message_and_stays_as_it_was(
    refused: Callable[..., str], kept: Places, content: bytes
) -> None:
    kept.settings.write_bytes(content)
    assert "settings.toml" in refused("explain", "531")
    assert kept.settings.read_bytes() == content


@pytest.mark.parametrize("content", WRONG_FIELDS, ids=range(len(WRONG_FIELDS)))
def test_a_wrong_field_in_the_settings_is_told_and_stops_nothing(
    cli: Callable[..., Any], kept: Places, content: bytes
) -> None:
    kept.settings.write_bytes(content)
    status, out, err = cli("explain", "531")
    assert status == 0
    assert "It works" in out
    assert "settings.toml:1: " in err
    assert kept.settings.read_bytes() == content


def test_a_broken_pattern_file_of_the_users_own_stops_nothing(cli: Callable[..., Any], kept: Places) -> None:
    kept.patterns.mkdir()
    (kept.patterns / "mine.toml").write_text("[[pattern]]\nnames = 3\n", encoding="utf-8")
    assert cli("explain", "531")[0] == 0


def test_without_a_home_there_is_one_message(
    refused: Callable[..., str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import platformdirs

    def no_home(*_: object, **__: object) -> None:
        raise RuntimeError

    monkeypatch.delenv("THROWBEAT_HOME")
    monkeypatch.setattr(platformdirs.PlatformDirs, "user_config_path", property(no_home))
    assert "THROWBEAT_HOME" in refused("explain", "531")
