"""Looking up one text finds what the whole library finds."""

from functools import cache
from pathlib import Path

import pytest

from tests.bundled import LIBRARY
from trainer.library import lookup
from trainer.library.lookup import look_up
from trainer.library.reading import read_library
from trainer.library.spelling import to_key
from trainer.siteswap.grammar import NotationError

PATTERNS = Path(__file__).parents[2] / "patterns"
FOLDED = cache(to_key)


@pytest.mark.parametrize("path", sorted(PATTERNS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_name_and_pattern_is_found_as_in_the_whole_library(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lookup, "to_key", FOLDED)  # each file is folded once for all names
    for place, entry in enumerate(LIBRARY.entries):
        if entry.path == path:
            for text in (entry.title, (entry.names[-1].upper(), entry.pattern.text)[place % 2]):
                assert look_up(text, [PATTERNS]) == LIBRARY.to_choice(text)


@pytest.mark.parametrize(
    "text",
    ["3 ball mills mess", "cascade of 5", "(4,2x)*", "(4x,2)(2,4x)", "(6x,4)(4,6x)", "9797", "531 reverse", "315"],
)
def test_variants_are_found_as_in_the_whole_library(text: str) -> None:
    assert look_up(text, [PATTERNS]) == LIBRARY.to_choice(text)


@pytest.mark.parametrize("text", ["mils mess", "543", "4 cascade", "", "hello", ")"])
def test_refusals_are_those_of_the_whole_library(text: str) -> None:
    with pytest.raises(NotationError) as quick:
        look_up(text, [PATTERNS])
    with pytest.raises(NotationError) as whole:
        LIBRARY.to_choice(text)
    assert (str(quick.value), quick.value.column, quick.value.suggestion) == (
        str(whole.value),
        whole.value.column,
        whole.value.suggestion,
    )


HOW = 'height_m = 0.4\nhow = "An invented one."\n'


@pytest.mark.parametrize(
    "names",
    ["['Alder']", "[ 'Birch','ALDER' ]", '["Al\\u0064er"]', '["""Alder"""]', '[\n  "Birch",\n  "Alder",\n]'],
)
@pytest.mark.parametrize("folders", [("here",), ("here", "there"), ("there", "here")])
def test_however_a_name_is_quoted_it_is_found(names: str, folders: tuple[str, ...], tmp_path: Path) -> None:
    elm = f'[[pattern]]\nnames = ["Elm"]\npattern = "3"\n{HOW}'
    text = f'# 441\n{elm}\n[[ pattern ]]\nnames = {names}\npattern = "441"\n{HOW}'
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / "a.toml").write_text(text, encoding="utf-8")
    searched = [tmp_path / folder for folder in folders]
    for asked in ("alder", "441"):
        found = look_up(asked, searched)
        assert found.entry is not None
        assert found == read_library(searched).to_choice(asked)


def test_own_names_come_before_those_brought_along(tmp_path: Path) -> None:
    own = f'[[pattern]]\nnames = ["531"]\npattern = "531"\n{HOW}'
    (tmp_path / "own.toml").write_text(own, encoding="utf-8")
    entry = look_up("531", [tmp_path, PATTERNS]).entry
    assert entry is not None
    assert entry.how == "An invented one."


def test_a_broken_file_hides_nothing(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('[[pattern]]\nnames = ["531"\n', encoding="utf-8")
    (tmp_path / "b.toml").write_text(f'[[pattern]]\nnames = ["Alder"]\npattern = "531"\n{HOW}', encoding="utf-8")
    entry = look_up("531", [tmp_path]).entry
    assert entry is not None
    assert entry.title == "Alder"
