"""The command find from its words to what is printed: published lists and counts, streaming, stopping."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from trainer.commands import find
from trainer.siteswap.grammar import parse
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import survey
from trainer.siteswap.states import is_ground_state, states

ROOT = Path(__file__).parents[2]


def count(cli: Callable[..., Any], *words: str) -> int:
    status, out, err = cli("find", *words, "--count", "--json")
    assert (status, err) == (0, "")
    told = json.loads(out)
    assert list(told) == ["count"]
    return int(told["count"])


def listed(cli: Callable[..., Any], *words: str) -> list[str]:
    """As lines and as JSON, which must agree."""
    plain = cli("find", *words)
    status, out, err = cli("find", *words, "--json")
    told = json.loads(out)
    assert (status, err, plain.status) == (0, "", 0)
    assert sorted(told) == ["count", "patterns"]
    assert told["count"] == len(told["patterns"])
    assert plain.out.splitlines() == told["patterns"]
    return list(told["patterns"])


def test_two_objects(cli: Callable[..., Any]) -> None:
    """Source: OEIS A065178, counts and period-3 members."""
    counts = [count(cli, "--objects", "2", "--period", str(period)) for period in range(1, 11)]
    assert counts == [1, 2, 6, 15, 42, 107, 294, 780, 2128, 5781]
    assert listed(cli, "--objects", "2", "--period", "3") == ["312", "330", "411", "420", "501", "600"]
    assert len(listed(cli, "--objects", "2", "--period", "7")) == 294


def test_three_objects(cli: Callable[..., Any]) -> None:
    """Source: OEIS A065179, example; it writes 450 where the highest rotation is 504."""
    assert listed(cli, "--objects", "3", "--period", "2") == ["42", "51", "60"]
    members = {"423", "441", "504", "522", "531", "603", "612", "630", "711", "720", "801", "900"}
    assert set(listed(cli, "--objects", "3", "--period", "3")) == members


def test_two_objects_prime(cli: Callable[..., Any]) -> None:
    """Source: OEIS A260744, counts and first members."""
    counts = [count(cli, "--objects", "2", "--period", str(period), "--prime") for period in range(1, 11)]
    assert counts == [1, 2, 5, 10, 23, 48, 105, 216, 467, 958]
    found = [listed(cli, "--objects", "2", "--period", str(period), "--prime") for period in (1, 2, 3)]
    assert found == [["2"], ["31", "40"], ["330", "411", "420", "501", "600"]]


def test_three_objects_from_the_ground(cli: Callable[..., Any]) -> None:
    """Source: OEIS A084509 (Polster 2003, p. 48): sequences of length n = 1 … 7 that begin and end at the ground.

    Each pattern whose period divides n is such a sequence as often as it passes the ground state.
    """
    passed: dict[int, int] = {}
    for period, sequences in enumerate([1, 2, 6, 24, 96, 384, 1536], start=1):
        found = map(parse, listed(cli, "--objects", "3", "--period", str(period), "--ground"))
        passed[period] = sum(is_ground_state(state) for pattern in found for state in states(pattern))
        assert sum(passed[divisor] for divisor in passed if period % divisor == 0) == sequences


OPTIONS = [
    # options beside 3 objects and period 3, what is left of the 12 (OEIS A065179)
    (["--highest", "5"], ["423", "441", "504", "522", "531"]),
    (["--lowest", "1"], ["423", "441", "522", "531", "612", "711"]),
    (["--no-zip"], ["423", "504", "522", "603", "630", "720", "900"]),
    (["--contains", "5,1"], ["531"]),
    (["--contains", "4 4"], ["441"]),
    (["--contains", "４，1"], ["441"]),
    (["--contains", "7"], ["711", "720"]),
    (["--limit", "2"], ["423", "441"]),
    (["--highest", "2"], []),
]


@pytest.mark.parametrize(("options", "found"), OPTIONS)
def test_options(cli: Callable[..., Any], options: list[str], found: list[str]) -> None:
    status, out, _ = cli("find", "--objects", "3", "--period", "3", *options, "--json")
    assert status == 0
    assert json.loads(out) == {"count": len(found), "patterns": found}
    assert count(cli, "--objects", "3", "--period", "3", *options) == len(found)
    assert cli("find", "--objects", "3", "--period", "3", *options, "--count").out == f"{len(found)}\n"


def test_sync(cli: Callable[..., Any]) -> None:
    found = listed(cli, "--objects", "3", "--period", "2", "--highest", "4", "--sync")
    assert found == ["(2,4)", "(2x,4x)", "(4,2)", "(4x,2x)"]
    without = listed(cli, "--objects", "3", "--period", "2", "--highest", "4", "--sync", "--no-zip")
    assert without == ["(2,4)", "(4,2)"]


def test_nothing_found_is_said_beside_the_list(cli: Callable[..., Any]) -> None:
    assert cli("find", "--objects", "3", "--period", "2", "--highest", "3") == (0, "", "There is no such pattern.\n")


REFUSED = [
    # options, what the message says
    ([], "--objects"),
    (["--objects", "3"], "--period"),
    (["--objects", "x", "--period", "3"], "“x” was given as the number of objects"),
    (["--objects", "3.5", "--period", "3"], "“3.5” was given as the number of objects"),
    (["--objects", "", "--period", "3"], "No number of objects was given"),
    (["--objects=-1", "--period", "3"], "-1 objects were asked for"),
    (["--objects", "36", "--period", "3"], "36 objects were asked for"),
    (["--objects", "9" * 5000, "--period", "3"], "was given as the number of objects"),
    (["--objects", "3", "--period", "0"], "A period of 0"),
    (["--objects", "3", "--period", "1e9"], "“1e9” was given as the period"),
    (["--objects", "3", "--period", "101"], "A period of 101"),
    (["--objects", "3", "--period", "3", "--sync"], "A sync period of 3"),
    (["--objects", "3", "--period", "3", "--highest", "36"], "A highest throw of 36"),
    (["--objects", "3", "--period", "3", "--highest", "3", "--lowest", "4"], "above the highest"),
    (["--objects", "3", "--period", "3", "--lowest=-2"], "A lowest throw of -2"),
    (["--objects", "3", "--period", "3", "--contains", "51"], "“51” was no throw"),
    (["--objects", "3", "--period", "3", "--contains", "5;1"], "“5;1” was no throw"),
    (["--objects", "3", "--period", "3", "--contains", "\x1b[2J"], "was no throw"),
    (["--objects", "3", "--period", "3", "--limit", "0"], "“0” was given as the limit"),
    (["--objects", "3", "--period", "3", "--limit", "many"], "“many” was given as the limit"),
    (["--objects", "7", "--period", "100", "--count"], "too many ways to count"),
    (["--objects", "3", "--period", "3", "531"], "531"),
]


@pytest.mark.parametrize(("options", "says"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_is_refused(refused: Callable[..., str], options: list[str], says: str) -> None:
    assert says in refused("find", *options)


@pytest.mark.parametrize("options", [[], ["--json"]])
def test_stopped_it_keeps_what_was_found(
    cli: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, options: list[str]
) -> None:
    def interrupted(query: SearchQuery) -> Iterator[str | None]:
        for number, text in enumerate(survey(query)):
            if number == 3:
                signal.raise_signal(signal.SIGINT)
            yield text

    monkeypatch.setattr(find, "survey", interrupted)
    before = signal.getsignal(signal.SIGINT)
    status, out, err = cli("find", "--objects", "3", "--period", "3", *options)
    assert signal.getsignal(signal.SIGINT) is before
    assert (status, err) == (1, "throwbeat: Stopped; 3 found so far.\n")
    if options:
        assert json.loads(out) == {"patterns": ["423", "441", "504"], "count": 3, "stopped": True}
    else:
        assert out.split() == ["423", "441", "504"]


def start(home: Path, *options: str) -> subprocess.Popen[str]:
    """A search for far too many, in an interpreter of its own."""
    environ = {**os.environ, "PYTHONPATH": str(ROOT), "THROWBEAT_HOME": str(home)}
    words = [
        sys.executable,
        "-m",
        "trainer.commands.line",
        "find",
        "--objects",
        "5",
        "--period",
        "100",
        "--highest",
        "9",
    ]
    return subprocess.Popen(
        [*words, *options], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environ, cwd=home
    )


def test_patterns_come_as_they_are_found_and_a_closed_pipe_is_quiet(tmp_path: Path) -> None:
    with start(tmp_path) as search:
        assert search.stdout is not None
        assert search.stderr is not None
        assert search.stdout.readline().startswith("6455555")
        search.stdout.close()
        assert search.stderr.read() == ""


@pytest.mark.skipif(os.name != "posix", reason="sends the signal of Ctrl-C")
def test_ctrl_c_ends_a_search_for_far_too_many(tmp_path: Path) -> None:
    with start(tmp_path, "--json") as search:
        assert search.stdout is not None
        assert search.stderr is not None
        begun = search.stdout.readline() + search.stdout.readline()
        search.send_signal(signal.SIGINT)
        told = json.loads(begun + search.stdout.read())
        assert told["stopped"] is True
        assert told["count"] == len(told["patterns"]) > 0
        assert search.stderr.read() == f"throwbeat: Stopped; {told['count']:,} found so far.\n"
    assert search.returncode == 1
