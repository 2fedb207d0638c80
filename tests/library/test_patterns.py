"""The bundled patterns: every one is right, computed, and led up to."""

import re
from collections import Counter
from pathlib import Path

import pytest

from tests.bundled import LIBRARY
from tests.each import each
from trainer.library.entries import ARRANGEMENTS, BOUNCES, CATEGORIES, CUE_KINDS, Entry
from trainer.library.spelling import to_key
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.throws import Rhythm
from trainer.timing.counting import Goals, all_up
from trainer.timing.flight import DEFAULT_DWELL, default_tempo, flight_s
from trainer.timing.score import Score

PATTERNS = Path(__file__).parents[2] / "patterns"
EVERY_ENTRY = each(LIBRARY.entries)


def titled(title: str) -> Entry:
    """The entry with just this title."""
    return next(entry for entry in LIBRARY.entries if entry.title == title)


def test_nothing_is_wrong_in_the_files() -> None:
    assert [str(error) for error in LIBRARY.errors] == []


def test_there_are_enough_of_every_kind() -> None:
    assert len(LIBRARY.entries) >= 150
    assert {entry.objects for entry in LIBRARY.entries} == set(range(2, 10))
    assert {entry.category for entry in LIBRARY.entries} == set(CATEGORIES)
    assert {entry.pattern.kind for entry in LIBRARY.entries} == set(Rhythm)
    assert {entry.bounce for entry in LIBRARY.entries} == {"", *BOUNCES}
    assert {entry.arrangement for entry in LIBRARY.entries} == {"", *ARRANGEMENTS}
    assert {cue.kind for entry in LIBRARY.entries for cue in entry.cues} <= set(CUE_KINDS)
    assert {entry.objects for entry in LIBRARY.entries if entry.category == "passing"} >= {6, 7, 8, 9}
    assert any(entry.pattern.jugglers == 3 for entry in LIBRARY.entries)
    assert any(entry.throws_per_step for entry in LIBRARY.entries)


@EVERY_ENTRY
def test_it_computes(entry: Entry) -> None:
    score = Score(entry.pattern)
    goals = Goals.of(score)
    assert goals.flash >= entry.objects
    assert goals.qualify == 2 * goals.flash
    assert entry.pattern.round % entry.pattern.period == 0
    bpm = default_tempo(entry.pattern.highest, DEFAULT_DWELL, entry.height_m)
    assert 40 <= bpm <= 400
    assert 0.2 < flight_s(entry.pattern.highest, DEFAULT_DWELL, bpm) < 2.0
    assert sum(1 for _ in score.events(0, entry.pattern.round)) >= entry.pattern.round / entry.pattern.beat_step


@EVERY_ENTRY
def test_its_text_reads_back_as_the_same_throws(entry: Entry) -> None:
    again = parse(entry.pattern.text)
    assert (again.throws, again.style, again.text) == (entry.pattern.throws, entry.pattern.style, entry.pattern.text)


@EVERY_ENTRY
def test_its_sentence_is_one(entry: Entry) -> None:
    assert 30 <= len(entry.how) <= 300
    assert entry.how[-1] in ".?"
    assert entry.how[0].isupper() or entry.how[0].isdigit()


def test_no_sentence_comes_twice() -> None:
    counts = Counter(entry.how for entry in LIBRARY.entries)
    assert [how for how, count in counts.items() if count > 1] == []


def test_names_are_unique_however_they_are_typed() -> None:
    counts = Counter(to_key(name) for entry in LIBRARY.entries for name in entry.names)
    assert [key for key, count in counts.items() if count > 1] == []


def test_a_name_that_reads_as_throws_has_those_throws() -> None:
    def reads(name: str) -> tuple[object, ...] | None:
        try:
            return parse(name).throws
        except NotationError:
            return None

    for entry in LIBRARY.entries:
        for name in entry.names:
            word = re.search(r"[a-z]{3}", name, re.IGNORECASE)  # letters are throws too, but these spell something
            if not word and (throws := reads(name)) is not None:
                assert throws == entry.pattern.throws, name


def test_links_are_titles_and_never_go_round() -> None:
    links = {entry.title: entry.builds_on for entry in LIBRARY.entries}
    level: dict[str, int] = {}
    while len(level) < len(links):
        ready = [title for title, on in links.items() if title not in level and all(link in level for link in on)]
        assert ready, sorted(set(links) - set(level))
        level |= {title: len(level) for title in ready}


def test_links_are_written_as_titles() -> None:
    written = [line for path in PATTERNS.glob("*.toml") for line in path.read_text(encoding="utf-8").splitlines()]
    lines = [line for line in written if line.startswith("builds_on")]
    for entry in LIBRARY.entries:
        if entry.builds_on:
            titles = ", ".join(f'"{title}"' for title in entry.builds_on)
            assert f"builds_on = [{titles}]" in lines, entry.title


def test_only_first_things_build_on_nothing() -> None:
    assert {entry.title for entry in LIBRARY.entries if not entry.builds_on} == {
        "2 exchange",
        "2 in one hand",
        "2 together",
    }


@pytest.mark.parametrize(
    ("title", "objects", "round_", "flash", "qualify"),
    [
        # Common practice of the trade, no source: the 3-cascade, the 4-fountain, and Mills Mess by its round.
        ("3 cascade", 3, 1, 3, 6),
        ("4 fountain", 4, 1, 4, 8),
        ("Mills Mess", 3, 6, 6, 12),
        # A qualifying run is twice as many catches as objects: published rules, Int. Jugglers' Association.
        ("5 cascade", 5, 1, 5, 10),
        ("7 cascade", 7, 1, 7, 14),
        # By the same rules of counting: a held 2 is no catch.
        ("5 Mills Mess", 5, 6, 6, 12),
        ("Burke's Barrage", 3, 6, 4, 8),
        ("522", 3, 3, 3, 6),
        ("3 box", 3, 4, 4, 8),
    ],
)
def test_flash_and_qualify(title: str, objects: int, round_: int, flash: int, qualify: int) -> None:
    entry = titled(title)
    goals = Goals.of(Score(entry.pattern))
    assert (entry.objects, entry.pattern.round, goals.flash, goals.qualify) == (objects, round_, flash, qualify)


@pytest.mark.parametrize(
    "entry",
    [entry for entry in LIBRARY.entries if entry.category == "all up"],
    ids=lambda entry: entry.title,
)
def test_all_up_has_a_moment_with_empty_hands_and_its_cue_lies_in_it(entry: Entry) -> None:
    windows = all_up(Score(entry.pattern))
    assert windows
    for cue in entry.cues:
        assert any(window.start_beat <= cue.at - 1 < window.start_beat + window.beats for window in windows)


def test_a_turn_gets_more_time_than_a_clap() -> None:
    for clap, turn in (("3 flash out of the cascade", "3 flash and turn"), ("5 flash", "5 flash and turn")):
        spans = [max(window.beats for window in all_up(Score(titled(title).pattern))) for title in (clap, turn)]
        assert spans[0] < spans[1]


def test_the_sync_shower_is_written_without_a_star() -> None:
    """With it two objects would come down in one hand at once."""
    assert titled("3 sync shower").pattern.text == "(4x,2x)"
    with pytest.raises(NotationError):
        parse("(4x,2x)*")
