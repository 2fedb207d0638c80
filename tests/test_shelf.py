"""The shelf: plans are found, changed and written, one's own before the others, and none is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.datafile import DataError
from trainer.errors import TrainerError
from trainer.library.reading import read_library
from trainer.places import bundled
from trainer.shelf import Shelf, to_stem
from trainer.wholefile import Existing

LIBRARY = read_library([bundled("patterns")])
BUNDLED = bundled("patterns") / "plans"


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "patterns" / "plans", (BUNDLED,), LIBRARY.to_choice)


def test_without_a_folder_of_ones_own_there_are_those_brought_along(shelf: Shelf) -> None:
    plans, errors = shelf.plans()
    assert {plan.path.parent for plan in plans} == {BUNDLED}
    assert errors == ()


def test_a_changed_plan_becomes_ones_own_and_hides_the_one_it_was_made_from(shelf: Shelf) -> None:
    plan = shelf.find("first-week")
    changed = shelf.open(plan.path).with_field("name", "My first week")
    written = shelf.write(changed.text, shelf.place_for(plan))
    assert shelf.is_own(written.path)
    assert shelf.find("first week").name == "My first week"
    assert [each.name for each in shelf.plans()[0]].count("My first week") == 1
    assert len(shelf.plans()[0]) == len(list(BUNDLED.glob("*.toml")))
    assert shelf.place_for(written) == written.path
    assert written.path.read_text(encoding="utf-8").startswith("# A practice sheet.")


def test_what_could_not_be_read_is_not_written(shelf: Shelf) -> None:
    plan = shelf.find("fives")
    path = shelf.place_for(plan)
    with pytest.raises(DataError, match=r"fives\.toml:\d+: block\[1\]\.minutes"):
        shelf.write(shelf.open(plan.path).with_block_field(0, "minutes", -1).text, path)
    assert not path.exists()


def test_a_new_plan_takes_no_others_place(shelf: Shelf) -> None:
    text = shelf.open(BUNDLED / "fives.toml").text
    first = shelf.new_place("Toward Five!")
    shelf.write(text, first, Existing.REFUSE)
    assert first.name == "toward-five.toml"
    assert shelf.new_place("Toward Five!").name == "toward-five-2.toml"
    with pytest.raises(TrainerError, match="there already"):
        shelf.write(text, first, Existing.REFUSE)


def test_a_wrong_file_is_named_with_its_place_and_hides_none(shelf: Shelf) -> None:
    shelf.own.mkdir(parents=True)
    (shelf.own / "bad.toml").write_text('name = "x"\nfor = "y"\n[[block]]\nkind = "nap"\n', encoding="utf-8")
    plans, (error,) = shelf.plans()
    assert len(plans) == len(list(BUNDLED.glob("*.toml")))
    assert (error.path.name, error.line, error.field) == ("bad.toml", 4, "block[1].kind")


@pytest.mark.parametrize(
    ("name", "stem"), [("Tuesday, late", "tuesday-late"), ("…", "plan"), ("../../etc", "etc"), ("x" * 99, "x" * 60)]
)
def test_a_name_becomes_a_harmless_file_name(name: str, stem: str) -> None:
    assert to_stem(name) == stem
