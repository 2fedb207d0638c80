"""The command link from its words to what is printed."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from trainer.siteswap.grammar import parse

LINKS = [
    # from, to, options, into, back: common practice for the showers; for the others the throws fit (see below)
    ("3", "51", [], "4", "2"),
    ("3", "531", [], "", ""),
    ("3 cascade", "3 shower", [], "4", "2"),
    ("cascade 5", "5", [], "", ""),
    ("４", "71", [], "56", "23"),
    ("51", "3", ["--highest", "4"], "2", "4"),
    ("(4x,2x)", "(4,2x)*", [], "", ""),
    ("(6x,4)*", "(8x,2x)", [], "(4x,6)(6x,8)", "(2,4x)(4,6x)"),
    ("4", "[43]1", [], "1", "[43]"),
    ("4", "[43]1", ["--any-point"], "", ""),
]


@pytest.mark.parametrize(("start", "goal", "options", "into", "back"), LINKS)
def test_links(cli: Callable[..., Any], start: str, goal: str, options: list[str], into: str, back: str) -> None:
    status, out, err = cli("link", start, goal, *options, "--json")
    assert (status, err) == (0, "")
    told = json.loads(out)
    assert (told["into"], told["back"]) == (into, back)
    beats = {text: 2 * text.count("(") or len(text.replace("[43]", "7")) for text in (into, back)}
    assert (told["into_beats"], told["back_beats"]) == (beats[into], beats[back])


def test_any_point_tells_where(cli: Callable[..., Any]) -> None:
    told = json.loads(cli("link", "4", "[43]1", "--any-point", "--json").out)
    assert told == {
        "from": "4",
        "to": "[43]1",
        "into": "",
        "into_beats": 0,
        "back": "",
        "back_beats": 0,
        "into_leaves_at": 0,
        "into_joins_at": 1,
        "back_leaves_at": 1,
        "back_joins_at": 0,
    }


@pytest.mark.parametrize("options", [[], ["--any-point"]])
@pytest.mark.parametrize(
    ("start", "goal"), [("3", "51"), ("441", "7131"), ("4", "[43]1"), ("(6x,4)*", "(8x,2x)"), ("[33]33", "7531")]
)
def test_the_row_on_the_page_is_one_pattern(cli: Callable[..., Any], start: str, goal: str, options: list[str]) -> None:
    lines = cli("link", start, goal, *options).out.splitlines()
    row = lines[lines.index("In a row, from one bar to the next:") + 1 :]
    pieces = " ".join(row[: row.index("")]).split("|")
    assert pieces[0].strip() == pieces[-1].strip()
    assert parse("".join(pieces[:-1])).objects == parse(start).objects
    assert max(map(len, lines)) <= 80


def test_the_page_tells_how_many_throws_and_which(cli: Callable[..., Any]) -> None:
    assert cli("link", "3", "51").out == (
        "Between 3 and 51, 3 objects\n\n"
        "3 → 51   1 throw: 4\n"
        "51 → 3   1 throw: 2\n\n"
        "In a row, from one bar to the next:\n"
        "  3 | 4 | 51 | 2 | 3\n\n"
        "Stay in either pattern for as many rounds as you like before you throw the link.\n"
        "The hands take turns all the way: after 4 the other hand begins.\n"
        "All of it is one pattern too: throwbeat 34512\n"
    )
    assert "2 pairs of throws: (4x,6)(6x,8)" in cli("link", "(6x,4)*", "(8x,2x)").out
    assert "no throws needed" in cli("link", "3", "531").out


def test_a_long_pattern_stays_within_the_page(cli: Callable[..., Any]) -> None:
    said = cli("link", "4" * 500 + "53", "71" * 1000)
    assert said.status == 0
    assert max(map(len, said.out.splitlines())) <= 80


REFUSED = [
    # words, what the message says
    (("3", "4"), "3 takes 3 and 4 takes 4 objects"),
    (("(4,4)", "4"), "choose two of the same kind"),
    (("<3p3|3p3>", "6"), "for one juggler"),
    (("3", "543"), "The 5 thrown on beat 1 and the 4"),
    (("3", "4 cascade"), "There is no cascade of 4"),
    (("3",), "TO"),
    (("3", "51", "531"), "531"),
    (("3", "51", "--highest", "x"), "“x” was given as the highest throw"),
    (("3", "51", "--highest=-1"), "“-1” was given as the highest throw"),
    (("3", "51", "--highest", "36"), "“36” was given as the highest throw"),
    (("3", "51", "--highest", "9" * 5000), "was given as the highest throw"),
    (("3", "51", "--highest", "3"), "No throws up to 3 lead from 3 to 51; choose --highest 4."),
    (("51", "3", "--highest", "3"), "No throws up to 3 lead from 3 to 51; choose --highest 4."),
]


@pytest.mark.parametrize(("words", "says"), REFUSED)
def test_what_cannot_be_is_refused(refused: Callable[..., str], words: tuple[str, ...], says: str) -> None:
    assert says in refused("link", *words)


def test_the_bound_that_is_advised_is_enough(cli: Callable[..., Any]) -> None:
    """Not below it, and at it."""
    for start, goal in (("5", "97531"), ("4", "80"), ("51", "900"), ("6", "b1"), ("5", "a0"), ("(4,4)", "(8,8)(0,0)")):
        lowest = next(bound for bound in range(36) if cli("link", start, goal, f"--highest={bound}").status == 0)
        if lowest:
            said = cli("link", start, goal, f"--highest={lowest - 1}")
            assert f"choose --highest {lowest}." in said.err or lowest == 1
