"""The glossary: enough words, each short, linked to what is there, found however they are typed."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.bundled import LIBRARY
from tests.each import each
from trainer.files.toml import DataError
from trainer.library.catalogue import Choice
from trainer.library.entries import ARRANGEMENTS, BODY_CUES, BOUNCES, CATEGORIES, Entry
from trainer.library.spelling import to_key
from trainer.library.terms import Term, read_terms, terms_in
from trainer.siteswap import states
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.throws import Rhythm
from trainer.timing.counting import Goals
from trainer.timing.score import Score

PATTERNS = Path(__file__).parents[2] / "patterns"
TERMS = read_terms()
EVERY_TERM = each(TERMS.terms)

WANTED = """
toss juggling, contact juggling, object manipulation, ball, bean bag, ring, club, cascade, fountain, shower,
half-shower, reverse, columns, box, mess, sync, async, multiplex, flash, all-up, qualify, siteswap, state, ground,
excited, orbit, zip, hold, gap, dwell, beat, tempo, apex, passing, two-count, three-count, four-count, takeaway, steal,
numbers, sport juggling, competition, joggling, bounce, lift, force, body throw, back cross, under the leg, claw,
penguin, collect, drop, pedal, count-in, round, period, staircase, climb, space, tired hands, care
""".replace("\n", " ").split(", ")
"""Words a newcomer will meet; which they are is from memory."""

OF_THE_LIBRARY = sorted({*CATEGORIES, *ARRANGEMENTS, *BOUNCES, *BODY_CUES} - {"first steps"})
"""Words its entries use for what they are, but for one that says it itself."""


def titled(title: str) -> Entry:
    """The entry with just this title."""
    return next(entry for entry in LIBRARY.entries if entry.title == title)


# -- the file -----------------------------------------------------------------------------------------------------


def test_there_are_enough_terms() -> None:
    assert len(TERMS.terms) >= 110


@each(WANTED)
def test_a_wanted_word_is_there(word: str) -> None:
    assert TERMS.find(word.strip()) is not None


def test_names_are_unique_however_they_are_typed() -> None:
    counts = Counter(to_key(name) for term in TERMS.terms for name in term.names)
    assert [key for key, count in counts.items() if count > 1] == []


@EVERY_TERM
def test_its_text_is_short_and_whole(term: Term) -> None:
    assert 40 <= len(term.text) <= 300
    assert term.text[0].isupper() or term.text[0].isdigit()
    assert term.text[-1] in ".!"
    assert len(re.findall(r"[.!?:](?= [A-Z]|$)", term.text)) <= 4


@EVERY_TERM
def test_its_links_lead_somewhere(term: Term) -> None:
    titles = {other.title for other in TERMS.terms}
    assert set(term.see) <= titles - {term.title}
    assert len(set(term.see)) == len(term.see) <= 5
    assert {entry.title for entry in LIBRARY.entries} >= set(term.patterns)
    assert len(set(term.patterns)) == len(term.patterns) <= 3


def test_every_term_is_led_to_by_another() -> None:
    linked = {title for term in TERMS.terms for title in term.see}
    mentioned = {found.term.title for term in TERMS.terms for found in TERMS.in_text(term.text) if found.term != term}
    assert {term.title for term in TERMS.terms} - linked - mentioned == set()


def test_terms_stand_in_the_order_of_the_alphabet() -> None:
    keys = [to_key(term.title) for term in TERMS.terms]
    assert keys == sorted(keys)


@pytest.mark.parametrize("word", OF_THE_LIBRARY)
def test_the_words_of_the_library_are_explained(word: str) -> None:
    assert TERMS.find(word) is not None


# -- what the texts say, computed ---------------------------------------------------------------------------------


def says(title: str, words: str) -> bool:
    term = TERMS.find(title)
    return term is not None and words in term.text


def test_the_texts_say_what_is_computed() -> None:
    assert says("valid", "432 is not")
    with pytest.raises(NotationError):
        parse("432")
    assert says("prime", "441 is prime; 441333 is two patterns in a row")
    assert states.is_prime(parse("441"))
    assert not states.is_prime(parse("441333"))
    assert says("entry throws", "into the three-object shower, one 4 will do")
    link = states.find_entry(parse("51"))
    assert link is not None
    assert states.link_to_text(link, Rhythm.ASYNC) == "4"
    assert says("qualify", "six for a cascade of three, ten for five")
    assert [Goals.of(Score(parse(text))).qualify for text in "35"] == [6, 10]  # common practice
    assert says("round", "Mills Mess takes six throws")
    assert titled("Mills Mess").pattern.round == 6  # common practice
    assert says("rebound", "at 0.9, to about four fifths")
    assert abs(0.9**2 - 4 / 5) < 0.02  # heights go with the square of the speed
    assert says("period", "441 has period 3")
    assert parse("441").period == 3
    assert says("value", "a for 10")
    assert parse("a").objects == 10


# -- finding ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("flash", "flash"),
        ("FLASH", "flash"),
        ("ｆｌａｓｈ", "flash"),  # full width, from a phone keyboard
        ("Half shower", "half-shower"),
        ("halfshower", "half-shower"),
        ("back crosses", "back cross"),
        ("rings", "ring"),
        ("2 count", "two-count"),
        ("burkes barrage", "Burke's Barrage"),
        ("*", "star"),
        ("0", "gap"),
        ("takeaways", "takeaway"),
    ],
)
def test_a_term_is_found_however_it_is_typed(typed: str, title: str) -> None:
    found = TERMS.find(typed)
    assert found is not None
    assert found.title == title


@pytest.mark.parametrize("typed", ["", " ", "xyzzy", "s", "es", "x" * 10_000])
def test_what_is_no_term_is_not_found(typed: str) -> None:
    assert TERMS.find(typed) is None


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("cascde", "cascade"),
        ("showrs", "shower"),
        ("multi", "multiplex"),
        ("qualfy", "qualify"),
        ("jogling", "joggling"),
    ],
)
def test_the_nearest_is_suggested(typed: str, title: str) -> None:
    near = TERMS.nearest(typed)
    assert near is not None
    assert near.title == title


@pytest.mark.parametrize("typed", ["", "xyzzy", "q" * 10_000])
def test_nothing_is_suggested_where_nothing_is_near(typed: str) -> None:
    assert TERMS.nearest(typed) is None


def test_the_filter_puts_the_better_fit_first() -> None:
    assert TERMS.filter("") == TERMS.terms
    titles = [term.title for term in TERMS.filter("pass")]
    assert titles[0] == "pass"
    assert titles.index("passing") < titles.index("straight pass") < titles.index("four-count")
    assert TERMS.filter("waltz")[0].title == "three-count"
    assert TERMS.filter("palm down")[0].title == "claw"  # words of the text
    assert TERMS.filter("xyzzy") == ()


# -- in a text ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("A half-shower of three balls.", [("half-shower", "half-shower"), ("balls", "ball")]),
        ("every fourth under the\nleg", [("under the\nleg", "under the leg")]),
        ("a back cross over the top", [("back cross", "back cross"), ("over the top", "outside throw")]),
        ("pass, pass, self", [("self", "self")]),  # “pass” by itself is an everyday word
        ("a sync pattern", [("sync", "sync"), ("pattern", "pattern")]),  # no async
        ("back. Cross the road", []),  # a full stop parts them
        ("531 and 1", []),
        ("It goes round in turn along a line.", []),  # everyday words
        ("", []),
    ],
)
def test_the_terms_in_a_text(text: str, found: list[tuple[str, str]]) -> None:
    assert [(text[each.start : each.stop], each.term.title) for each in TERMS.in_text(text)] == found


PIECES = st.sampled_from(["back", "cross", "-", " ", "\n", "half", "shower", "s", ".", "site", "swap"])


@given(st.text(max_size=200) | st.lists(PIECES).map("".join))
def test_mentions_are_apart_in_order_and_are_names(text: str) -> None:
    last = 0
    for found in TERMS.in_text(text):
        assert last <= found.start < found.stop <= len(text)
        assert TERMS.find(text[found.start : found.stop]) is found.term
        last = found.stop


def test_the_term_at_a_place() -> None:
    text = "one back cross"
    titles = [found.title if (found := TERMS.at(text, place)) else "" for place in range(len(text) + 1)]
    assert titles == [""] * 4 + ["back cross"] * 10 + [""]


# -- about a pattern ----------------------------------------------------------------------------------------------


@each(LIBRARY.entries)
def test_every_entry_has_a_term_that_tells_of_it(entry: Entry) -> None:
    assert TERMS.about(Choice(entry.pattern, entry)) is not None


@pytest.mark.parametrize(
    ("text", "title"),
    [
        ("Mills Mess", "mess"),  # its name
        ("6 two-count", "two-count"),
        ("441 on the run", "joggling"),
        ("756", "numbers"),  # its category
        ("531", "siteswap"),
        ("2 exchange", "throw"),  # how it is done
        ("5313", "siteswap"),  # in no file: its kind
        ("(6x,4)(4,6x)", "sync"),
        ("[64]2", "multiplex"),
        ("<4p 5|5 4p>", "passing"),
        ("5313 mess", "mess"),  # its style
    ],
)
def test_the_term_that_tells_most(text: str, title: str) -> None:
    found = TERMS.about(LIBRARY.to_choice(text))
    assert found is not None
    assert found.title == title


# -- mistakes in the file -----------------------------------------------------------------------------------------

WRONG = [
    # the file, the line named, part of what is said
    ('[[term]]\nnames = ["a"]', 1, "text: This field was missing"),
    ('[[term]]\nnames = []\ntext = "x"', 2, "Give at least one"),
    ('[[term]]\nnames = ["-"]\ntext = "x"', 2, "Give at least one"),
    ('[[term]]\nnames = ["a b", "A-B"]\ntext = "x"', 2, "stood there twice"),
    ('[[term]]\nnames = ["a"]\ntext = "x"\n[[term]]\nnames = ["b", "A"]\ntext = "y"', 5, "also a name of “a”"),
    ('[[term]]\nnames = ["a"]\ntext = "x"\nsee = ["b"]', 4, "No term was called “b”"),
    ('[[term]]\nnames = ["a"]\ntext = "x"\nsee = ["A"]', 4, "led to itself"),
    ('[[term]]\nnames = ["a"]\ntext = "x"\neveryday = ["b"]', 4, "none of the names"),
    ('[[term]]\nnames = ["a"]\ntext = "x"\nsea = ["b"]', 4, 'Was "see" meant?'),
    (f'[[term]]\nnames = ["a"]\ntext = "{"x" * 401}"', 3, "401 characters"),
    ("terms = 1", None, "term"),
]


@pytest.mark.parametrize(("text", "line", "said"), WRONG)
def test_a_mistake_is_named_with_its_line(tmp_path: Path, text: str, line: int | None, said: str) -> None:
    path = tmp_path / "terms.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DataError) as caught:
        terms_in(path)
    assert caught.value.line == line
    assert said in str(caught.value)


def test_a_link_is_kept_under_the_title(tmp_path: Path) -> None:
    path = tmp_path / "terms.toml"
    text = '[[term]]\nnames = ["b"]\ntext = "x"\nsee = ["AA"]\n[[term]]\nnames = ["a", "a-a"]\ntext = "y"'
    path.write_text(text, encoding="utf-8")
    assert [(term.title, term.see) for term in terms_in(path).terms] == [("a", ()), ("b", ("a",))]
