"""The text of a plan: changes reach what they are meant for, and everything else stays, comments too."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bundled import LIBRARY
from trainer.files.places import bundled
from trainer.files.toml import DataError, parse
from trainer.practice.plans.plan import BlockKind, read_plan
from trainer.practice.plans.text import NEW_BLOCK, PlanText, new_text, split_text

PATH = Path("tuesday.toml")
TEXT = """\
# Mine.
name = "Tuesday"  # the day
for = "Whoever comes."

# slow at first
[[block]]
kind = "pattern"  # the first
pattern = "531"
tempo = "515/3"

# then
# rest
[[block]]
kind = "rest"
minutes = 1  # no more

[[block]]
kind = "climb"
pattern = "3"
tempo = 150
target = 180
# so far
"""


def split(text: str = TEXT) -> PlanText:
    return split_text(text, PATH)


def loads(text: PlanText) -> dict[str, object]:
    return tomllib.loads(text.text)


@pytest.mark.parametrize("path", sorted((bundled("patterns") / "plans").glob("*.toml")), ids=lambda path: path.stem)
def test_every_plan_brought_along_comes_apart_and_together(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert split(text).text == text
    assert len(split(text).blocks) == len(tomllib.loads(text)["block"])


def test_one_field_changed_changes_one_line() -> None:
    for changed, line in (
        (split().with_field("name", "Wednesday"), 'name = "Wednesday"  # the day'),
        (split().with_block_field(1, "minutes", 2), "minutes = 2  # no more"),
        (split().with_block_field(0, "tempo", Fraction(160)), "tempo = 160"),
        (split().with_block_field(0, "tempo", Fraction(1, 3)), 'tempo = "1/3"'),
    ):
        before, after = TEXT.splitlines(), changed.text.splitlines()
        assert len(before) == len(after)
        assert [new for old, new in zip(before, after, strict=True) if old != new] == [line]


def test_a_field_more_stands_with_its_block_and_one_less_leaves_the_rest() -> None:
    more = split().with_block_field(1, "say", "Water.")
    assert 'minutes = 1  # no more\nsay = "Water."\n\n[[block]]' in more.text
    assert more.with_block_field(1, "say", None).text == TEXT


def test_a_block_moves_with_what_is_said_of_it() -> None:
    moved = split().moved(1, 0)
    assert moved.text.index("# rest") < moved.text.index("no more") < moved.text.index("# slow at first")
    assert [block["kind"] for block in loads(moved)["block"]] == ["rest", "pattern", "climb"]  # type: ignore[attr-defined]
    assert moved.moved(0, 1).text == TEXT


def test_another_kind_brings_what_it_needs_and_drops_what_it_has_not() -> None:
    rest = loads(split().removed(1).removed(1).with_block_field(0, "kind", "rest"))
    assert rest["block"] == [{"kind": "rest", "minutes": 1}]
    judged = loads(split().removed(1).removed(1).with_block_field(0, "kind", "judged"))
    assert judged["block"] == [{"kind": "judged", "pattern": "531", "tempo": "515/3", "attempts": 5}]


@pytest.mark.parametrize("kind", BlockKind)
def test_every_kind_of_block_can_be_made_and_is_a_plan(kind: BlockKind) -> None:
    made = new_text("Mine", "Me.").with_block_field(0, "kind", kind.value)
    plan = read_plan(parse(made.text, PATH), PATH, LIBRARY.to_choice)
    assert (plan.name, plan.audience, [block.kind for block in plan.blocks]) == ("Mine", "Me.", [kind])


EDITS = st.lists(
    st.one_of(
        st.tuples(st.just("move"), st.integers(0, 9), st.integers(-1, 9)),
        st.tuples(st.just("add"), st.integers(0, 9), st.just(0)),
        st.tuples(st.just("remove"), st.integers(0, 9), st.just(0)),
        st.tuples(st.just("minutes"), st.integers(0, 9), st.integers(1, 9)),
        st.tuples(st.just("say"), st.integers(0, 9), st.text("ab\"'#[]\\\n é", max_size=9)),
    ),
    max_size=8,
)


@given(EDITS)
@settings(max_examples=150, database=None)
def test_any_changes_give_the_data_they_say_and_keep_the_comments_of_what_is_left(
    edits: list[tuple[str, int, int | str]],
) -> None:
    text, data = split(), tomllib.loads(TEXT)["block"]
    removed: list[str] = []
    for what, place, value in edits:
        index = place % len(data) if data else 0
        if what == "add":
            text = text.added(index)
            data.insert(index, tomllib.loads(NEW_BLOCK)["block"][0])
        elif not data:
            continue
        elif what == "move":
            to = min(max(int(value), 0), len(data) - 1)
            text = text.moved(index, to)
            data.insert(to, data.pop(index))
        elif what == "remove":
            removed.append(text.blocks[index])
            text = text.removed(index)
            del data[index]
        else:
            text = text.with_block_field(index, what, value)
            data[index][what] = value
    assert tomllib.loads(text.text).get("block", []) == data
    assert split(text.text).text == text.text
    for comment in ("# Mine.", "# the day", "# slow at first", "# the first", "# then", "# no more", "# so far"):
        assert comment in text.text or any(comment in block for block in removed)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('name = "x"\nblock = [{ kind = "rest" }]\n', "by hand"),
        ('[[block]]\nsay = """\n# x"""\n[[block]]\nkind = "rest"\n', "by hand"),
        ("name = ", "not valid TOML"),
    ],
)
def test_what_cannot_be_kept_is_left_alone(text: str, words: str) -> None:
    with pytest.raises(DataError, match=words):
        split(text)


def test_line_ends_of_another_system_do_no_harm() -> None:
    assert split(TEXT.replace("\n", "\r\n")).text == TEXT
