"""Plans: what a sheet may say, and each mistake with its file, line and field."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.bundled import LIBRARY
from trainer.errors import TrainerError
from trainer.files.places import bundled
from trainer.files.toml import DataError
from trainer.practice.plans.folder import PlanFolder
from trainer.practice.plans.page import ends_words
from trainer.practice.plans.plan import Block, BlockKind, Plan

PLANS = bundled("patterns") / "plans"
CLIMB = '[[block]]\nkind = "climb"\npattern = "3"\n'
HEAD = 'name = "Tuesday"\nfor = "Whoever comes."\n'


def plan_folder(own: Path) -> PlanFolder:
    return PlanFolder(own, (PLANS,), LIBRARY.to_choice)


def load(tmp_path: Path, text: str) -> Plan:
    path = tmp_path / "tuesday.toml"
    path.write_text(text, encoding="utf-8")
    return plan_folder(tmp_path).load(path)


def test_every_plan_brought_along_loads(tmp_path: Path) -> None:
    plans, errors = plan_folder(tmp_path / "none").plans()
    assert errors == ()
    assert len(plans) == 4  # a beginner, a numbers juggler, a pair who pass, one who is judged
    assert any(block.choice and block.choice.pattern.jugglers == 2 for plan in plans for block in plan.blocks)


def test_a_block_has_what_was_written(tmp_path: Path) -> None:
    plan = load(
        tmp_path,
        HEAD + '[[block]]\nkind = "climb"\npattern = "531"\ntempo = 150\ntarget = 180\nstep = 7.5\n'
        'minutes = 3\nattempts = 4\ngoal = "12"\nsay = "Easy."\n[[block]]\nkind = "rest"\n',
    )
    climb, rest = plan.blocks
    assert climb.kind is BlockKind.CLIMB
    assert climb.choice is not None
    assert (climb.choice.pattern.text, climb.tempo_bpm, climb.target_bpm) == ("531", 150, 180)
    assert (climb.step_bpm, climb.minutes, climb.attempts, climb.goal) == (Fraction(15, 2), 3, 4, "12")
    assert rest.choice is None


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        (HEAD, "block", "Missing|missing|not there"),
        (HEAD + '[[block]]\nkind = "nap"\n', r"tuesday\.toml:4: block\[1\]\.kind", ""),
        (HEAD + '[[block]]\nkind = "pattern"\npattern = "432"\n', r":5: block\[1\]\.pattern", "both come down"),
        (HEAD + '[[block]]\nkind = "pattern"\npattern = "0"\n', r":5: block\[1\]\.pattern", "nothing to throw"),
        (HEAD + '[[block]]\nkind = "pattern"\n', r"block\[1\]\.pattern", ""),
        (HEAD + '[[block]]\nkind = "climb"\npattern = "3"\n', r"block\[1\]\.tempo", "climb"),
        (HEAD + '[[block]]\nkind = "climb"\npattern = "3"\ntempo = 150\n', r"block\[1\]\.target", "climb"),
        (HEAD + CLIMB + "tempo = 150\ntarget = 150\n", r":7: block\[1\]\.target", "goes up"),
        (HEAD + CLIMB + 'rule = "staircase"\ntempo = 150\ntarget = 180\n', r":8: block\[1\]\.target", "no target"),
        (HEAD + CLIMB + 'rule = "quick"\ntempo = 150\n', r":6: block\[1\]\.rule", "staircase"),
        (HEAD + CLIMB + "tempo = 10\ntarget = 180\nstep = 0.1\n", r":8: block\[1\]\.step", "rungs"),
        (HEAD + '[[block]]\nkind = "judged"\npattern = "3"\n', r"block\[1\]\.attempts", "judged"),
        (HEAD + '[[block]]\nkind = "pattern"\npattern = "3"\ntimes = 2\n', r":6: block\[1\]\.times", "goal"),
        (HEAD + '[[block]]\nkind = "pattern"\npattern = "3"\ntempo = 0\n', r":6: block\[1\]\.tempo", ""),
        (HEAD + '[[block]]\nkind = "free"\nminutes = -1\n', r":5: block\[1\]\.minutes", ""),
        (HEAD + '[[block]]\nkind = "free"\ngoal = "win"\n', r":5: block\[1\]\.goal", "not a goal"),
        (HEAD + '[[block]]\nkind = "free"\nminuts = 3\n', r":5: block\[1\]\.minuts", ""),
        ('for = "x"\n[[block]]\nkind = "free"\n', "name", ""),
    ],
)
def test_each_mistake_is_named_with_its_place(tmp_path: Path, text: str, place: str, words: str) -> None:
    with pytest.raises(DataError) as caught:
        load(tmp_path, text)
    assert __import__("re").search(place, str(caught.value)), str(caught.value)
    assert __import__("re").search(words, str(caught.value)), str(caught.value)


def test_one_try_is_told_as_one() -> None:
    assert ends_words(Block(BlockKind.JUDGED, attempts=1)) == "1 try"
    assert ends_words(Block(BlockKind.JUDGED, attempts=2)) == "2 tries"


def test_a_plan_is_found_by_name_or_by_file(tmp_path: Path) -> None:
    assert plan_folder(tmp_path).find("First Week").name == "The first week of three"
    own = tmp_path / "fives.toml"
    own.write_text(HEAD + '[[block]]\nkind = "free"\n', encoding="utf-8")
    assert plan_folder(tmp_path).find("fives").name == "Tuesday"
    assert plan_folder(tmp_path / "none").find(str(own)).name == "Tuesday"
    with pytest.raises(TrainerError, match="first-week"):
        plan_folder(tmp_path / "none").find("nosuch")


def test_one_bad_plan_hides_no_good_one(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("name = 3\n", encoding="utf-8")
    plans, errors = plan_folder(tmp_path).plans()
    assert len(plans) == len(list(PLANS.glob("*.toml")))
    assert len(errors) == 1
