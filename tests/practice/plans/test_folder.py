"""The folder of plans: plans are found, changed and written, one's own before the others, and none is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bundled import LIBRARY
from trainer.errors import TrainerError
from trainer.files.places import bundled
from trainer.files.toml import DataError
from trainer.files.whole import Existing
from trainer.practice.plans.folder import PlanFolder, to_stem

BUNDLED = bundled("patterns") / "plans"


@pytest.fixture
def plan_folder(tmp_path: Path) -> PlanFolder:
    return PlanFolder(tmp_path / "patterns" / "plans", (BUNDLED,), LIBRARY.to_choice)


def test_without_a_folder_of_ones_own_there_are_those_brought_along(plan_folder: PlanFolder) -> None:
    plans, errors = plan_folder.plans()
    assert {plan.path.parent for plan in plans} == {BUNDLED}
    assert errors == ()


def test_a_changed_plan_becomes_ones_own_and_hides_the_one_it_was_made_from(plan_folder: PlanFolder) -> None:
    plan = plan_folder.find("first-week")
    changed = plan_folder.open(plan.path).with_field("name", "My first week")
    written = plan_folder.write(changed.text, plan_folder.place_for(plan))
    assert plan_folder.is_own(written.path)
    assert plan_folder.find("first week").name == "My first week"
    assert [each.name for each in plan_folder.plans()[0]].count("My first week") == 1
    assert len(plan_folder.plans()[0]) == len(list(BUNDLED.glob("*.toml")))
    assert plan_folder.place_for(written) == written.path
    assert written.path.read_text(encoding="utf-8").startswith("# A practice sheet.")


def test_what_could_not_be_read_is_not_written(plan_folder: PlanFolder) -> None:
    plan = plan_folder.find("fives")
    path = plan_folder.place_for(plan)
    with pytest.raises(DataError, match=r"fives\.toml:\d+: block\[1\]\.minutes"):
        plan_folder.write(plan_folder.open(plan.path).with_block_field(0, "minutes", -1).text, path)
    assert not path.exists()


def test_a_new_plan_takes_no_others_place(plan_folder: PlanFolder) -> None:
    text = plan_folder.open(BUNDLED / "fives.toml").text
    first = plan_folder.new_place("Toward Five!")
    plan_folder.write(text, first, Existing.REFUSE)
    assert first.name == "toward-five.toml"
    assert plan_folder.new_place("Toward Five!").name == "toward-five-2.toml"
    with pytest.raises(TrainerError, match="there already"):
        plan_folder.write(text, first, Existing.REFUSE)


def test_a_wrong_file_is_named_with_its_place_and_hides_none(plan_folder: PlanFolder) -> None:
    plan_folder.own.mkdir(parents=True)
    (plan_folder.own / "bad.toml").write_text('name = "x"\nfor = "y"\n[[block]]\nkind = "nap"\n', encoding="utf-8")
    plans, (error,) = plan_folder.plans()
    assert len(plans) == len(list(BUNDLED.glob("*.toml")))
    assert (error.path.name, error.line, error.field) == ("bad.toml", 4, "block[1].kind")


@pytest.mark.parametrize(
    ("name", "stem"), [("Tuesday, late", "tuesday-late"), ("…", "plan"), ("../../etc", "etc"), ("x" * 99, "x" * 60)]
)
def test_a_name_becomes_a_harmless_file_name(name: str, stem: str) -> None:
    assert to_stem(name) == stem
