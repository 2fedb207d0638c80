"""Families by name: what can be and what cannot, and why."""

from itertools import product

import pytest

from tests.each import each
from trainer.siteswap.families import FAMILIES, Family, parse_any, parse_family
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import Pattern


@pytest.mark.parametrize(("objects", "name"), [(3, "cascade"), (5, "cascade"), (4, "fountain"), (6, "fountain")])
def test_possible(objects: int, name: str) -> None:
    """5 objects as cascade, 4 as fountain. Common practice."""
    pattern = parse_any(f"{objects} {name}")
    assert (pattern.objects, pattern.period) == (objects, 1)
    assert {throw.crosses for throw in pattern.throws} == {name == "cascade"}


@pytest.mark.parametrize("objects", range(1, 36))
def test_odd_cascades_and_even_fountains_only(objects: int) -> None:
    """An even value comes back to the hand that threw it; an odd count cannot be shared equally. Common practice."""
    can, cannot = ("cascade", "fountain") if objects % 2 else ("fountain", "cascade")
    assert parse_any(f"{objects} {can}").objects == objects
    with pytest.raises(NotationError) as caught:
        parse_any(f"{objects} {cannot}")
    assert f"There is no {cannot} of {objects}" in caught.value.reason
    assert caught.value.suggestion == f"{objects} {can}"
    assert parse_any(caught.value.suggestion).objects == objects


@pytest.mark.parametrize("objects", range(1, 19))
def test_a_shower_of_any_number(objects: int) -> None:
    """Common practice. One hand throws all the high ones, the other hands them over with 1s."""
    pattern = parse_any(f"{objects} shower")
    assert pattern.objects == objects
    assert pattern.text == parse(f"{'0123456789abcdefghijklmnopqrstuvwxyz'[2 * objects - 1]}1").text


@each(product(FAMILIES, range(41)))
def test_every_member_has_its_objects_or_is_refused_with_what_works(family: Family, objects: int) -> None:
    for name in family.names:
        text = f"{objects} {name}"
        member = read(text)
        if isinstance(member, NotationError):
            assert member.text == text
            assert 1 <= member.column <= len(text)
            assert not member.suggestion or parse_any(member.suggestion).objects
        else:
            assert member.objects == objects


def read(text: str) -> Pattern | NotationError:
    try:
        return parse_any(text)
    except NotationError as error:
        return error


@pytest.mark.parametrize(
    "text",
    [
        "5 cascade",
        "cascade 5",
        "5-ball cascade",
        "5 ball cascade",
        "5BALL CASCADE",
        "５ cascade",
        "⑤ cascade",
        "five cascade 5"[5:],
        "cascade, 5 clubs",
        "0005 cascade",
        " 5   cascade ",
    ],
)
def test_ways_to_say_it(text: str) -> None:
    assert parse_any(text).text == "5"


@pytest.mark.parametrize("text", ["cascade", "5", "531", "5 cascades of water", "shower", "", "½ cascade", "x cascade"])
def test_no_family_name(text: str) -> None:
    assert parse_family(text) is None


@pytest.mark.parametrize(
    ("text", "siteswap"),
    [
        ("3 box", "(4,2x)*"),
        ("4 columns", "(4,4)"),
        ("3 columns", "(4,4)(4,0)"),
        ("3 sync shower", "(4x,2x)"),
        ("4 half-shower", "53"),
        ("5 half shower", "73"),
    ],
)
def test_members(text: str, siteswap: str) -> None:
    """Common practice."""
    assert parse_any(text).text == siteswap
