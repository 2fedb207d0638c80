"""Finding: names however they are typed, families, throws, and the name that may have been meant."""

import pytest

from tests.bundled import LIBRARY
from trainer.library.catalogue import Library
from trainer.siteswap.grammar import NotationError


@pytest.mark.parametrize(
    ("text", "title"),
    [
        ("Mills Mess", "Mills Mess"),
        ("mills-mess", "Mills Mess"),
        ("  MILLSMESS ", "Mills Mess"),
        ("Mills' Mess", "Mills Mess"),
        ("Ｍｉｌｌｓ　Ｍｅｓｓ", "Mills Mess"),
        ("3 ball Mills Mess", "Mills Mess"),
        ("Mills Mess 3 balls", "Mills Mess"),
        ("4 mills mess", "4 Mills Mess"),
        ("burkes barrage", "Burke's Barrage"),
        ("burke’s barrage", "Burke's Barrage"),
        ("cascade", "3 cascade"),
        ("three ball cascade", "3 cascade"),
        ("7-ball cascade", "7 cascade"),
        ("cascade of five", "5 cascade"),
        ("shower 4", "4 shower"),
        ("3 beanbag shower", "3 shower"),
        ("half-shower 5", "5 half-shower"),
        ("ultimate", "6 one-count"),
    ],
)
def test_a_name_is_found_however_it_is_typed(text: str, title: str) -> None:
    entry = LIBRARY.find(text)
    assert entry is not None
    assert entry.title == title


@pytest.mark.parametrize("text", ["", " ", "-", "531 mess please", "4 cascade", "9 Mills Mess", "3", "x" * 5000])
def test_no_name_is_no_entry(text: str) -> None:
    assert LIBRARY.find(text) is None


@pytest.mark.parametrize(
    ("text", "pattern", "title"),
    [
        # a name
        ("tennis", "3", "Tennis"),
        ("3 mess", "3 mess", "Mills Mess"),
        # a family
        ("5 cascade", "5", "5 cascade"),
        ("cascade 9", "9", "9 cascade"),
        ("10 fountain", "a", None),
        ("3 box", "(4,2x)(2x,4)", "3 box"),
        # throws
        ("531", "531", "531"),
        (" 5 3 1 ", "531", "531"),
        ("３", "3", "3 cascade"),
        ("51", "51", "3 shower"),
        ("(4,2x)*", "(4,2x)(2x,4)", "3 box"),
        ("(4x, 2x)", "(4x,2x)", "3 sync shower"),
        ("<3P3|3p3>", "<3p 3|3p 3>", "6 two-count"),
        ("3 reverse", "3 reverse", "3 reverse cascade"),
        ("531 mess", "531 mess", "531 mess"),
        ("531 reverse", "531 reverse", None),
        ("315", "315", None),
        ("9797", "9797", None),
    ],
)
def test_name_then_family_then_throws(text: str, pattern: str, title: str | None) -> None:
    choice = LIBRARY.to_choice(text)
    assert choice.pattern.text == pattern
    assert (choice.entry.title if choice.entry else None) == title


@pytest.mark.parametrize(
    ("name", "throws"),
    [
        ("3 box", "(4,2x)*"),
        ("3 box", "(4,2x)(2x,4)"),
        ("5 box", "(8,2x)*"),
        ("5 sync, one hand crossing in turn", "(6x,4)(4,6x)"),
        ("3 shower", "51"),
    ],
)
def test_the_throws_of_a_plain_entry_are_that_entry_however_they_are_typed(name: str, throws: str) -> None:
    """Its text too: bests are kept apart by it. `*` is “and then mirrored” (the notation's own convention)."""
    assert LIBRARY.to_choice(throws) == LIBRARY.to_choice(name)


def test_a_library_name_comes_with_its_round() -> None:
    assert LIBRARY.to_choice("windmill").pattern.round == 2
    assert LIBRARY.to_choice("3").pattern.round == 1


def test_throws_have_all_the_names_they_go_by() -> None:
    names = [entry.title for entry in LIBRARY.like(LIBRARY.to_choice("(4,4)").pattern)]
    assert names == ["4 sync fountain", "4 columns"]


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [
        ("mils mess", "Mills Mess"),
        ("Mills Mes", "Mills Mess"),
        ("cascde", "cascade"),
        ("rubenstien's revenge", "Rubenstein's Revenge"),
        ("hello there", ""),
        ("543", "534"),  # throws stay throws
        ("(4x,2x)*", "(4x,2x)"),
    ],
)
def test_a_misspelt_name_suggests_the_nearest(text: str, suggestion: str) -> None:
    with pytest.raises(NotationError) as caught:
        LIBRARY.to_choice(text)
    assert caught.value.suggestion == suggestion
    assert 1 <= caught.value.column <= len(text)


def test_what_cannot_be_keeps_its_own_reason() -> None:
    with pytest.raises(NotationError) as caught:
        LIBRARY.to_choice("4 cascade")
    assert caught.value.reason.startswith("There is no cascade of 4")
    assert caught.value.suggestion == "4 fountain"


ABSURD = ["", "\x1b[2J mess", "mess\n" * 50, "x" * 5000, "hello\x00world 3", "🤹🤹🤹 cascade"]


@pytest.mark.parametrize("text", ABSURD, ids=range(len(ABSURD)))
def test_absurd_texts_are_refused_with_one_line(text: str) -> None:
    with pytest.raises(NotationError) as caught:
        LIBRARY.to_choice(text)
    assert str(caught.value).isprintable()


def test_what_comes_next_builds_on_what_is_qualified() -> None:
    first = {entry.title for entry in LIBRARY.after(set())}
    assert first == {"2 exchange", "2 in one hand", "2 together"}
    following = {entry.title for entry in LIBRARY.after({"2 exchange"})}
    assert {"3 cascade", "2 shower"} <= following
    assert "441" not in following
    assert following.isdisjoint({"2 exchange", "2 together"})
    assert "441" in {entry.title for entry in LIBRARY.after({"2 in one hand", "3 cascade"})}


def test_an_empty_library_still_reads_throws() -> None:
    assert Library(()).to_choice("531").entry is None
    assert Library(()).filter("") == ()
    with pytest.raises(NotationError):
        Library(()).to_choice("cascade")
