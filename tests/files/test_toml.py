"""Reading a user's TOML: checked values, and every error with the line a text editor would show."""

import os
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.files.lines import lines_of
from trainer.files.ordinary import TEXT_BYTES
from trainer.files.texts import SAY
from trainer.files.toml import DataError, Table, parse, read

KIT = '''\
# a made-up kit
name = "Alder"          # name = 3
decay_ms = 5000
volumes = ["half",
  # between
  nan, 2]
about = """
decay_ms = 1
[voice]
"quoted" \\""" not the end"""
[voice]
"pitch hz" = 440
'gain' = true
shape.kind = { of = "sine", width = 3 }

[[pattern]]
name = "531"
[[pattern]]
nmae = "441"
[pattern.times]
dwell = "3/2"
when = 2026-01-01 10:00:00  # a date with a space
[[pattern.steps]]
throw = 1
[[pattern.steps]]
throw = "x"
'''


def said_by(ask: Callable[[Table], object], text: str = KIT) -> str:
    """The message `ask` was refused with."""
    with pytest.raises(DataError) as caught:
        ask(parse(text, "kit.toml"))
    return str(caught.value)


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda t: t.number("name"), 'kit.toml:2: name: "Alder" was not a number. Give a number.'),
        (
            lambda t: t.number("decay_ms", low=1, high=2000),
            "kit.toml:3: decay_ms: 5000 was out of range. Give a number at least 1 and at most 2000.",
        ),
        (
            lambda t: t.texts("volumes"),
            "kit.toml:6: volumes[2]: nan was not a text. Put it in quotation marks.",
        ),
        (lambda t: t.texts("name"), 'kit.toml:2: name: "Alder" was not a list. Put it in square brackets.'),
        (
            lambda t: t.text("about"),
            "kit.toml:7: about: The text ran over more than one line. Write it on one.",
        ),
        (
            lambda t: t.table("voice").choice("pitch hz", ("low", "high")),
            "kit.toml:12: voice.pitch hz: 440 was none of the choices. Give one of: low, high.",
        ),
        (lambda t: t.table("voice").whole("gain"), "kit.toml:13: voice.gain: true was not a whole number."),
        (lambda t: t.table("voice").number("gain"), "kit.toml:13: voice.gain: true was not a number."),
        (
            lambda t: t.table("voice").table("shape").table("kind").truth("width"),
            "kit.toml:14: voice.shape.kind.width: 3 was neither true nor false. Write true or false.",
        ),
        (lambda t: t.table("name"), 'kit.toml:2: name: "Alder" was not a table.'),
        (lambda t: t.tables("voice"), "kit.toml:11: voice: a table was not a list."),
        (lambda t: t.tables("volumes"), 'kit.toml:4: volumes[1]: "half" was not a table.'),
        # A missing field has the line of the table it is missing from.
        (
            lambda t: t.tables("pattern")[1].text("name"),
            "kit.toml:18: pattern[2].name: This field was missing. Add it.",
        ),
        (
            lambda t: t.tables("pattern")[1].table("times").fraction("dwell", above=0, below=1),
            "kit.toml:21: pattern[2].times.dwell: 3/2 was out of range. Give a number above 0 and below 1.",
        ),
        (
            lambda t: t.tables("pattern")[1].tables("steps")[1].whole("throw"),
            'kit.toml:26: pattern[2].steps[2].throw: "x" was not a whole number.',
        ),
        (lambda t: t.text("colour"), "kit.toml: colour: This field was missing. Add it."),
    ],
)
def test_an_error_names_file_line_and_field(ask: Callable[[Table], object], said: str) -> None:
    assert said_by(ask).startswith(said)


def test_what_is_right_is_handed_out() -> None:
    table = parse(KIT, "kit.toml")
    assert table.text("name") == "Alder"
    assert table.whole("decay_ms", low=5000, high=5000) == 5000
    assert table.number("decay_ms") == 5000.0
    assert "[voice]" in table.text("about", SAY)
    assert table.names() == ("name", "decay_ms", "volumes", "about", "voice", "pattern")
    assert table.table("voice").truth("gain") is True
    assert table.tables("pattern")[0].choice("name", ("531", "441")) == "531"
    assert table.table("voice").error(None, "").line == 11
    assert table.error("decay_ms", "").line == 3


def test_an_absent_field_takes_its_default_of_any_kind() -> None:
    table = parse("", "kit.toml")
    assert table.number("a", low=1, default=None) is None
    assert table.text("b", default="plain") == "plain"
    assert table.tables("c", default=()) == ()
    assert table.texts("d", default=()) == ()
    assert table.table("e", default=None) is None


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("2", Fraction(2)),
        ("0.6", Fraction(3, 5)),  # as written, not the nearest binary number
        ('"2/3"', Fraction(2, 3)),
        ('" 2 / 3 "', Fraction(2, 3)),
        ('"0.125"', Fraction(1, 8)),
        ("1e-3", Fraction(1, 1000)),
    ],
)
def test_fractions_are_exact(written: str, value: Fraction) -> None:
    assert parse(f"r = {written}", "kit.toml").fraction("r") == value


@pytest.mark.parametrize(
    "written",
    ['"1/0"', '"x"', '""', '"1e999999999"', '"-1/2"', "nan", "inf", "true", "[1]", '"٢"', '"1/2/3"'],
)
def test_what_is_no_fraction_is_refused(written: str) -> None:
    assert said_by(lambda t: t.fraction("r"), f"\nr = {written}").startswith("kit.toml:2: r")


@pytest.mark.parametrize("written", ["inf", "-inf", "nan", "true", '"1"', "9" * 400, "1979-05-27", "{}", "[]"])
def test_what_is_no_number_is_refused(written: str) -> None:
    assert said_by(lambda t: t.number("n"), f"n = {written}").startswith("kit.toml:1: n: ")


@pytest.mark.parametrize("bounds", [{"above": 0}, {"below": 0}, {"low": 1}, {"high": -1}])
def test_each_bound_refuses(bounds: dict[str, int]) -> None:
    assert "0 was out of range" in said_by(lambda t: t.number("n", **bounds), "n = 0")


def test_bounds_that_are_allowed_values_are_allowed() -> None:
    assert parse("n = 0", "kit.toml").number("n", low=0, high=0) == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('t = ""', "kit.toml:1: t: The text was empty."),
        ('t = "  "', "kit.toml:1: t: The text was empty."),
        ('t = "a\\u001b[2Jb"', "kit.toml:1: t: The text had a control character in it. Take it out."),
        ('t = "a\\u009bb"', "kit.toml:1: t: The text had a control character in it. Take it out."),
        (f't = "{"a" * 201}"', "kit.toml:1: t: The text had 201 characters. Give at most 200."),
    ],
)
def test_texts_that_do_not_fit_on_a_line_of_the_terminal(text: str, said: str) -> None:
    assert said_by(lambda t: t.text("t"), text) == said


def test_names_in_any_script_are_texts() -> None:
    assert parse('t = "Ζωή 小林 עמית 🤹🏽\u200d♀️"', "kit.toml").text("t") == "Ζωή 小林 עמית 🤹🏽\u200d♀️"


def test_a_misspelt_key_is_named_with_the_nearest_known_one() -> None:
    table = parse(KIT, "kit.toml")
    for key in ("name", "decay_ms", "volumes", "about"):
        assert table.has(key)
    table.table("voice")
    for pattern in table.tables("pattern"):
        pattern.text("name", default="")
    said = [str(error) for error in table.unknown()]
    assert said == [
        "kit.toml:12: voice.pitch hz: This key was unknown.",
        "kit.toml:13: voice.gain: This key was unknown.",
        "kit.toml:14: voice.shape: This key was unknown.",
        'kit.toml:19: pattern[2].nmae: This key was unknown. Was "name" meant?',
        "kit.toml:20: pattern[2].times: This key was unknown.",
        "kit.toml:23: pattern[2].steps: This key was unknown.",
    ]
    with pytest.raises(DataError, match="pitch hz"):
        table.refuse_unknown()


def test_a_file_without_unknown_keys_is_not_refused() -> None:
    table = parse("a = 1\n[b]\nc = 2", "kit.toml")
    table.whole("a")
    with pytest.raises(DataError):
        table.refuse_unknown()
    table.table("b").whole("c")
    table.refuse_unknown()


def test_a_caller_adds_errors_of_its_own() -> None:
    error = parse(KIT, "kit.toml").tables("pattern")[0].error("name", "It collided.")
    assert (error.path, error.line, error.field, error.message) == (
        Path("kit.toml"),
        17,
        "pattern[1].name",
        "It collided.",
    )


def test_an_error_is_one_printable_line_whatever_was_written() -> None:
    said = said_by(lambda t: t.number("a\nb\x1b"), f'"a\\nb\\u001b" = "x\\n\\u202e{"y" * 500}"')
    assert said.isprintable()
    assert len(said) < 200


def test_an_endless_key_does_not_make_an_endless_error() -> None:
    assert len(said_by(lambda t: t.refuse_unknown(), f"{'k' * 5000} = 1")) < 200


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a = 1\nb = \n", ":2: The file was not valid TOML"),
        (b'a = 1\n\nb = "x\nc = 2', ":3: The file was not valid TOML"),
        (b"a = '''\n\n", ":1: The file was not valid TOML at its end"),
        (b"a = 1\na = 2", ":2: The file was not valid TOML"),
        (b"a = 1\nb = '\xff'", ":2: The file was not UTF-8 text. Save it as UTF-8."),
        ("a = 1".encode("utf-16"), ":1: The file was not UTF-8 text. Save it as UTF-8."),
        (b"a = " + b"[" * 5000, ": The lists were nested too deeply."),
        (b"a = " + b"9" * 5000, ": A number had too many digits."),
        (b"#" * (TEXT_BYTES + 1), ": The file was larger than 1,000 kB."),
    ],
)
def test_a_file_that_is_no_toml(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(content)
    with pytest.raises(DataError) as caught:
        read(path)
    assert str(caught.value).startswith(f"{path}{said}")
    assert path.read_bytes() == content


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")  # opening it would wait for ever
    for path, said in [
        (tmp_path, "This was a folder, not a file."),
        (tmp_path / "none.toml", "The file could not be read: No such file or directory."),
        (tmp_path / "pipe", "This was not an ordinary file."),
        (Path("/dev/zero"), "This was not an ordinary file."),
        (tmp_path / ("n" * 300), "The file could not be read: File name too long."),
    ]:
        with pytest.raises(DataError) as caught:
            read(path)
        assert str(caught.value) == f"{path}: {said}"
    with pytest.raises(DataError, match="null"):
        read("a\0b")


def test_line_ends_and_marks_of_other_systems(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b"\xef\xbb\xbf# made up\r\na = '''x\r\ny'''\r\nb = 0\r\n")
    table = read(path)
    assert table.text("a", SAY) == "x\ny"
    assert table.error("b", "").line == 4


def trails_of(value: Any, trail: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every key and list place in a parsed file."""
    steps = value.items() if isinstance(value, dict) else list(enumerate(value)) if isinstance(value, list) else ()
    return {(*trail, step) for step, _ in steps}.union(*(trails_of(inner, (*trail, step)) for step, inner in steps))


# Written out so that the text around a key is as misleading as TOML allows.
WHITE = st.sampled_from(["", " ", "\t"])
KEYS = st.sampled_from(["a", "b-1", "1979", '"q \\" # ="', "'l = ]'", '"\\u00e9"', "é".join(['"', '"'])])
SCALARS = st.sampled_from(
    (
        "1",
        "-1e6",
        "true",
        "inf",
        "0xdead_beef",
        "1979-05-27",
        "1979-05-27 07:32:00Z",
        "07:32:00",
        '""',
        '"]}#,="',
        "'#'",
        '""""""',
        '"""\n[x]\na = 1\n"quotes" """',
        '""""q"""""',
        "'''\n# '' \n'''''",
        '"""a\\\n   b\\""""""',
    )
)


def joined_lists(values: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    gap = st.sampled_from(["", " ", "\n", " # ], = {\n"])
    return st.tuples(st.lists(values, max_size=3), gap, gap).map(
        lambda parts: f"[{parts[1]}{f'{parts[1]},{parts[2]}'.join(parts[0])}{parts[2]}]"
    )


def inline_tables(values: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    pairs = st.lists(st.tuples(KEYS, values), max_size=3, unique_by=lambda pair: pair[0])
    return pairs.map(lambda found: "{ " + ", ".join(f"{key} = {value}" for key, value in found) + " }")


VALUES = st.recursive(SCALARS, lambda inner: joined_lists(inner) | inline_tables(inner), max_leaves=5)
HEADS = st.tuples(
    st.sampled_from(["[{}]", "[[{}]]", "[ {} ] # [no]", "[[{}]]\n"]),
    st.lists(KEYS, min_size=1, max_size=3),
    WHITE,
).map(lambda parts: parts[0].format(f"{parts[2]}.{parts[2]}".join(parts[1])))
PAIRS = st.tuples(st.lists(KEYS, min_size=1, max_size=2), WHITE, VALUES, st.sampled_from(["", " # x = 1", "\n\n"])).map(
    lambda parts: f"{parts[1]}{'.'.join(parts[0])}{parts[1]}={parts[1]}{parts[2]}{parts[3]}"
)


@given(st.lists(HEADS | PAIRS, max_size=8))
def test_every_key_of_any_valid_text_is_found_on_the_line_that_starts_it(statements: list[str]) -> None:
    valid: list[str] = []
    for statement in statements:
        try:
            tomllib.loads("\n".join([*valid, statement]))
        except tomllib.TOMLDecodeError:
            continue  # a key twice, a table twice: leave that statement out
        valid.append(statement)
    text = "\n".join(valid)
    lines = lines_of(text)
    assert set(lines) == trails_of(tomllib.loads(text))
    # Adding a statement leaves the lines before it as they were, and puts what is new on its own lines.
    before = lines_of("\n".join(valid[:-1]))
    assert {trail: lines[trail] for trail in before} == before
    first_own_line = "\n".join(valid[:-1]).count("\n") + (2 if len(valid) > 1 else 1)
    assert all(lines[trail] >= first_own_line for trail in set(lines) - set(before))
