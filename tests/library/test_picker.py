"""Type to filter: what a query finds, and in which order."""

import pytest

from tests.bundled import LIBRARY
from trainer.library.catalogue import Choice, difficulty_of


def found(query: str) -> list[str]:
    return [entry.title for entry in LIBRARY.filter(query)]


def test_no_query_gives_everything_the_easiest_first() -> None:
    everything = LIBRARY.filter("  ")
    points = [difficulty_of(Choice(entry.pattern, entry)).points for entry in everything]
    assert len(everything) == len(LIBRARY.entries)
    assert points == sorted(points)


@pytest.mark.parametrize(
    ("query", "first"),
    [
        ("mills mess", "Mills Mess"),  # the whole name before others that begin so
        ("531", "531"),
        ("3 cascade", "3 cascade"),
        ("three-ball cascade", "3 cascade"),
        ("MILLS", "Mills Mess"),
        ("(4x,2x)", "3 sync shower"),
        ("( 4x, 2x )", "3 sync shower"),
        ("<3p3|3p3>", "6 two-count"),
        ("halfshower", "3 half-shower"),
        ("ｂｏｘ", "3 box"),
        ("burke", "Burke's Barrage"),
    ],
)
def test_the_best_fit_stands_first(query: str, first: str) -> None:
    assert found(query)[0] == first


def test_a_start_of_the_name_before_one_of_a_word_before_a_part() -> None:
    titles = found("under")
    starts = [title.lower().startswith("under") for title in titles]
    assert starts == sorted(starts, reverse=True)
    assert {True, False} == set(starts)
    parts = found("one")
    whole_words = [" one" in f" {title.lower()}" for title in parts]
    assert whole_words[0]
    assert found("ascade")[0].endswith("cascade")


def test_a_number_is_the_objects_before_the_first_digits() -> None:
    five = LIBRARY.filter("5")
    counted = [entry.objects == 5 for entry in five]
    assert five[0].title == "5 cascade"
    assert "531" in {entry.title for entry in five}
    assert counted == sorted(counted, reverse=True)


def test_a_number_with_its_prop_is_the_objects_only() -> None:
    assert {entry.objects for entry in LIBRARY.filter("5 balls")} == {5}
    assert {entry.objects for entry in LIBRARY.filter("7 club passing")} == {7}


def test_words_may_stand_in_any_order_and_all_must_fit() -> None:
    assert set(found("passing 7")) == set(found("7 passing"))
    assert {entry.category for entry in LIBRARY.filter("bounce lift")} == {"bounce"}
    assert found("cascade zebra") == []


def test_category_cue_and_arrangement_are_found() -> None:
    assert "Under the leg" in found("body")
    assert "4 under the leg" in found("leg")
    assert "9 line of three" in found("line")
    assert {entry.arrangement for entry in LIBRARY.filter("back to back")} >= {"back to back"}


@pytest.mark.parametrize("query", ["\x00", "\n", "'", "(((", "9" * 500, "a" * 5000, "*", "[", "\\"])
def test_any_query_is_harmless(query: str) -> None:
    assert len(LIBRARY.filter(query)) <= len(LIBRARY.entries)
