"""Settings: a wrong field costs only itself, writing changes only what is asked, nothing is overwritten blind."""

import os
import stat
import subprocess
import sys
import tomllib
from enum import StrEnum
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer import config
from trainer.config import SETTINGS, Settings, load, save
from trainer.files.toml import DataError
from trainer.siteswap.throws import Hand

OWN = """\
# the hall in Lindenau (an invented place)
volume = 0.3   # the neighbours
dwell = "3/5"

  prop = "clubs"
[keys]  # mine
faster = "plus"
"slower" = "minus"  # left hand
"""


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "settings.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_no_file_is_all_defaults_and_makes_none(tmp_path: Path) -> None:
    assert load(tmp_path / "none" / "settings.toml") == (Settings(), ())
    assert list(tmp_path.iterdir()) == []


def test_the_defaults() -> None:
    """The dwell ratio is near 2/3 for skilled jugglers: Kalvan 1997. The others are our choice."""
    found = Settings()
    assert found.dwell == Fraction(2, 3)
    assert (found.output, found.pedal, found.end_pedal, found.counted_by) == ("auto", "space", None, "beat")
    assert (found.reaction_s, found.count_in_beats, found.rest_s, found.volume) == (0.3, 4, 2.0, 0.5)
    assert (found.latency_ms, found.ceiling_m, found.juggler, found.keys) == (None, None, None, {})


def test_a_file_is_read(tmp_path: Path) -> None:
    found, notices = load(written(tmp_path, OWN))
    assert notices == ()
    assert found == Settings(volume=0.3, dwell=Fraction(3, 5), prop="clubs", keys={"faster": "plus", "slower": "minus"})


@pytest.mark.parametrize("name", SETTINGS)
def test_every_setting_is_explained_in_one_sentence(name: str) -> None:
    sentence = SETTINGS[name].sentence
    assert sentence[0].isupper()
    assert sentence.endswith(".")
    assert "\n" not in sentence
    assert len(sentence) <= 110


@pytest.mark.parametrize("name", SETTINGS)
def test_every_default_passes_its_own_check(name: str, tmp_path: Path) -> None:
    value = getattr(Settings(), name)
    if value is not None:
        save(tmp_path / "settings.toml", {name: value})
    found, notices = load(tmp_path / "settings.toml")
    assert (found, notices) == (Settings(), ())


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('output = "jack"', 'output: "jack" was none of the choices. Give one of: auto, miniaudio,'),
        ("volume = 1.01", "volume: 1.01 was out of range. Give a number at least 0 and at most 1."),
        ("volume = -0.1", "volume: -0.1 was out of range."),
        ("volume = nan", "volume: nan was not a finite number."),
        ('kit = ""', "kit: The text was empty."),
        ("latency_ms = -1", "latency_ms: -1 was out of range."),
        ("reaction_s = inf", "reaction_s: inf was not a finite number."),
        ("dwell = 0", "dwell: 0 was out of range. Give a number above 0 and below 1."),
        ("dwell = 1", "dwell: 1 was out of range."),
        ('dwell = "2/0"', 'dwell: "2/0" was not a number.'),
        ("count_in_beats = 4.0", "count_in_beats: 4.0 was not a whole number."),
        ('counted_by = "ear"', 'counted_by: "ear" was none of the choices.'),
        ('taps_count = "left"', 'taps_count: "left" was none of the choices.'),
        ("rest_s = -1", "rest_s: -1 was out of range."),
        ('pedal = "q"', 'pedal: "q" could not be a pedal: it leaves the trainer. Choose another key.'),
        ('pedal = "ctrl+i"', 'pedal: "ctrl+i" could not be a pedal: terminals send it as tab.'),
        ('pedal = "space bar"', 'pedal: "space bar" was not the name of a key.'),
        ('end_pedal = "space"', 'end_pedal: "space" was the pedal already. Choose another key.'),
        ("ceiling_m = 0", "ceiling_m: 0 was out of range."),
        ("prop = 3", "prop: 3 was not a text."),
        ('juggler = "a\\u0007"', "juggler: The text had a control character in it."),
        ('start_hand = "right"', 'start_hand: "right" was none of the choices. Give one of: R, L.'),
        ("active_twos = 1", "active_twos: 1 was neither true nor false."),
        ('animate = "yes"', 'animate: "yes" was neither true nor false.'),
        ("keys = 3", "keys: 3 was not a table."),
        ('keys = { faster = "a b" }', 'keys.faster: "a b" was not the name of a key.'),
        ("volumn = 0.1", 'volumn: This key was unknown. Was "volume" meant?'),
    ],
)
def test_one_wrong_field_has_its_default_and_a_notice_and_the_rest_goes_on(
    line: str, said: str, tmp_path: Path
) -> None:
    path = written(tmp_path, f"prop2 = 1\n{line}\n".replace("prop2 = 1", "# a comment"))
    found, notices = load(path)
    assert found == Settings()
    assert [str(notice)[: len(f"{path}:2: {said}")] for notice in notices] == [f"{path}:2: {said}"]
    assert line in path.read_text()


def test_a_wrong_field_does_not_cost_the_right_ones(tmp_path: Path) -> None:
    found, notices = load(written(tmp_path, 'volume = 7\nprop = "rings"\nkeys = {a = "f5", b = 2, c = "f6"}\nx = 1'))
    assert found == Settings(prop="rings", keys={"a": "f5", "c": "f6"})
    assert [notice.field for notice in notices] == ["keys.b", "volume", "x"]


BROKEN = [b"volume = ", b"\xff\xfe", b"a = 1\na = 2", b"#" * 1_000_001]


@pytest.mark.parametrize("content", BROKEN)
def test_a_file_that_cannot_be_understood_gives_defaults_and_is_never_written_over(
    content: bytes, tmp_path: Path
) -> None:
    path = written(tmp_path, content)
    found, notices = load(path)
    assert found == Settings()
    assert len(notices) == 1
    with pytest.raises(DataError) as caught:
        save(path, {"volume": 0.1})
    assert str(caught.value) == str(notices[0])
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_in_the_place_of_the_file(tmp_path: Path) -> None:
    found, notices = load(tmp_path)
    assert (found, str(notices[0])) == (Settings(), f"{tmp_path}: This was a folder, not a file.")
    with pytest.raises(DataError, match="This was a folder"):
        save(tmp_path, {"volume": 0.1})


def test_only_what_changed_is_written_and_comments_stay(tmp_path: Path) -> None:
    path = written(tmp_path, OWN)
    save(path, {"volume": 0.7, "rest_s": 5.0, "keys": {"slower": "s", "louder": "l"}})
    assert path.read_text() == (
        OWN.replace("0.3", "0.7")
        .replace('  prop = "clubs"\n', '  prop = "clubs"\nrest_s = 5.0\n\n')  # what is new goes before the first table
        .replace('"slower" = "minus"  # left hand\n', '"slower" = "s"  # left hand\nlouder = "l"\n')
    )


def test_none_takes_a_setting_out(tmp_path: Path) -> None:
    path = written(tmp_path, OWN)
    save(path, {"prop": None, "juggler": None, "keys": {"faster": None, "none": None}})
    assert path.read_text() == OWN.replace('  prop = "clubs"\n', "").replace('faster = "plus"\n', "")


def test_saving_what_is_there_already_writes_nothing(tmp_path: Path) -> None:
    path = written(tmp_path, OWN)
    before = path.stat().st_ino
    save(path, {"volume": 0.3, "keys": {"faster": "plus"}})
    assert (path.read_text(), path.stat().st_ino) == (OWN, before)


def test_wrong_fields_of_the_user_stay_as_they_were_while_others_are_saved(tmp_path: Path) -> None:
    path = written(tmp_path, "volume = nan  # ?\nunknown = [1, 2]\nanimate = 1\n")
    save(path, {"animate": True, "pedal": "b"})
    assert path.read_text() == 'volume = nan  # ?\nunknown = [1, 2]\nanimate = true\npedal = "b"\n'


def test_the_first_save_makes_the_folder_and_the_file(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.toml"
    save(path, {"dwell": Fraction(2, 3), "juggler": "Ζωή"})
    assert path.read_text().endswith('dwell = "2/3"\njuggler = "Ζωή"\n')
    assert load(path) == (Settings(juggler="Ζωή"), ())


class Word(StrEnum):
    LEFT = "L"


def test_values_come_back_as_they_were(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save(path, {"dwell": Fraction(3, 5), "start_hand": Word.LEFT, "count_in_beats": 0, "latency_ms": 12.5})
    assert load(path) == (
        Settings(dwell=Fraction(3, 5), start_hand=Hand.LEFT, count_in_beats=0, latency_ms=12.5),
        (),
    )
    assert tomllib.loads(path.read_text())["dwell"] == 0.6


@pytest.mark.parametrize(
    "changes", [{"volume": 2}, {"dwell": Fraction(1)}, {"pedal": "q"}, {"keys": {"a": "b c"}}, {"kit": "a\x1b"}]
)
def test_a_wrong_value_is_refused_before_anything_is_written(changes: dict[str, object], tmp_path: Path) -> None:
    path = written(tmp_path, OWN)
    with pytest.raises(DataError):
        save(path, {"rest_s": 1.0, **changes})
    assert path.read_text() == OWN


def test_a_setting_that_does_not_exist_is_a_mistake_of_ours(tmp_path: Path) -> None:
    with pytest.raises(KeyError, match="volumn"):
        save(tmp_path / "settings.toml", {"volumn": 1})


def test_line_ends_mode_and_link_stay(tmp_path: Path) -> None:
    real = tmp_path / "dotfiles.toml"
    real.write_bytes(b"\xef\xbb\xbfvolume = 0.1 # a\r\n[keys]\r\na = 'b'\r\n")
    real.chmod(0o600)
    link = tmp_path / "settings.toml"
    link.symlink_to(real)
    save(link, {"volume": 0.2, "prop": "rings"})
    assert link.is_symlink()
    assert stat.S_IMODE(real.stat().st_mode) == 0o600
    content = real.read_bytes()
    assert content.startswith(b"volume = 0.2 # a\r\n")
    assert content.count(b"\n") == content.count(b"\r\n")
    assert load(link)[0] == Settings(volume=0.2, prop="rings", keys={"a": "b"})


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_a_disk_that_fails_leaves_the_old_file_and_no_litter(
    failing: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path, OWN)

    def fail(*_: object) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, failing, fail)
    with pytest.raises(DataError) as caught:
        save(path, {"volume": 0.9})
    assert str(caught.value) == f"{path}: The settings were not written: No space left on device."
    assert path.read_text() == OWN
    assert list(tmp_path.iterdir()) == [path]


STATEMENTS = (
    "volume = 0.4",
    "dwell = 0.5 # x",
    'prop = "clubs"',
    "rest_s = 1",
    "odd.key = 1",
    "# note",
    "",
    "[[list]]",
    "[keys]",
    'keys.faster = "x"',
    'keys = {faster = "y"}',
    "[other]",
    "[other.keys]",
    "text = '''\n[keys]\n'''",
)
FILES = st.lists(st.sampled_from(STATEMENTS), max_size=8)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(FILES, st.sampled_from(["", "\n"]))
def test_whatever_the_layout_exactly_the_changes_are_made(tmp_path: Path, lines: list[str], end: str) -> None:
    text = "\n".join(lines) + end
    path = written(tmp_path, text)
    changes: dict[str, object] = {"volume": 0.9, "prop": None, "rest_s": 3.0, "keys": {"faster": "f", "new": "n"}}
    try:
        before = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises(DataError):
            save(path, changes)
        assert path.read_text() == text
        return
    save(path, changes)
    after = tomllib.loads(path.read_text())
    before.pop("prop", None)
    keys = before.get("keys", {}) | {"faster": "f", "new": "n"}
    assert after == before | {"volume": 0.9, "rest_s": 3.0, "keys": keys}
    assert path.read_text().count("# ") >= text.count("# ")


def test_reading_settings_imports_no_writer(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from trainer.config import load; load(Path(sys.argv[1]));"
        "sys.exit('tomlkit' in sys.modules or 'tempfile' in sys.modules)"
    )
    root = Path(config.__file__).parent.parent
    path = written(tmp_path, OWN)
    assert subprocess.run([sys.executable, "-c", code, str(path)], cwd=root, check=False).returncode == 0
