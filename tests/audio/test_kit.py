"""Kits: every bundled one loads, every bad one is named with file, line and field and hides no other."""

import re
import shutil
from pathlib import Path

import pytest

from trainer.audio.kit import DEFAULT_KIT, HIGHEST_HZ, HIGHEST_VALUE, ROLES, Kit, Strike, shifted_hz, value_to_semitones
from trainer.audio.kitfiles import VARIANTS, find_kit, list_kits, load_kit
from trainer.errors import TrainerError
from trainer.files.toml import DataError

ROOT = Path(__file__).parents[2]
SOUNDS = ROOT / "sounds"
VALID = sorted((ROOT / "tests/data/valid/kits").glob("*.toml"))
INVALID = sorted((ROOT / "tests/data/invalid/kits").glob("*.toml"))


def test_every_bundled_kit_loads_under_its_file_name() -> None:
    kits, errors = list_kits([SOUNDS])
    assert errors == ()
    assert [kit.name for kit in kits] == sorted(path.stem for path in SOUNDS.glob("*.toml"))
    assert len(kits) >= 6
    assert DEFAULT_KIT in {kit.name for kit in kits}


def test_bundled_kits_sound_in_every_role_but_the_gap() -> None:
    for kit in list_kits([SOUNDS])[0]:
        assert [role for role in ROLES if kit.is_silent(role)] == ["gap"], kit.name


@pytest.mark.parametrize("path", VALID, ids=lambda path: path.stem)
def test_valid_kits_load(path: Path) -> None:
    assert isinstance(load_kit(path), Kit)


@pytest.mark.parametrize("path", INVALID, ids=lambda path: path.stem)
def test_invalid_kits_are_named_by_file_line_and_field(path: Path) -> None:
    """The first line of each file says what is expected."""
    first = path.read_text(encoding="utf-8").splitlines()[0]
    expected = re.fullmatch(r'# line (\d+|None), field "(.*)": (.*)', first)
    assert expected is not None
    with pytest.raises(DataError) as caught:
        load_kit(path)
    error = caught.value
    assert (error.path, str(error.line), error.field) == (path, expected[1], expected[2])
    assert expected[3] in error.message
    assert "\n" not in str(error)


def test_any_line_taken_out_of_a_kit_leaves_a_kit_or_one_clear_error(tmp_path: Path) -> None:
    lines = (SOUNDS / "kitchen.toml").read_text(encoding="utf-8").splitlines()
    path = tmp_path / "cut.toml"
    refused = 0
    for gone in range(len(lines)):
        path.write_text("\n".join(lines[:gone] + lines[gone + 1 :]), encoding="utf-8")
        errors = list_kits([tmp_path])[1]
        refused += len(errors)
        assert all(error.path == path and (error.field or error.line) for error in errors)
    needed = len(ROLES) - len(VARIANTS)
    assert refused > needed * 3  # at least the timbre, pitch, decay and level of nearly every role


def test_a_bad_kit_hides_no_other(tmp_path: Path) -> None:
    shutil.copy(SOUNDS / "park.toml", tmp_path)
    (tmp_path / "bad.toml").write_bytes(b"\xff\x00")
    (tmp_path / "folder.toml").mkdir()
    kits, errors = list_kits([tmp_path])
    assert [kit.name for kit in kits] == ["park"]
    assert {error.path.name for error in errors} == {"bad.toml", "folder.toml"}


def test_an_own_kit_hides_the_bundled_one_of_its_name(tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_text((SOUNDS / "park.toml").read_text(encoding="utf-8").replace('"park"', '"gym"'), encoding="utf-8")
    assert find_kit("gym", [tmp_path, SOUNDS]).path == own
    assert find_kit("park", [tmp_path, SOUNDS]).path == SOUNDS / "park.toml"


def test_one_folder_has_no_two_kits_of_a_name(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        shutil.copy(SOUNDS / "park.toml", tmp_path / name)
    kits, errors = list_kits([tmp_path])
    assert [kit.path.name for kit in kits] == ["a.toml"]
    assert [(error.path.name, error.field) for error in errors] == [("b.toml", "name")]


def test_a_bad_own_kit_is_not_passed_over_for_the_bundled_one(tmp_path: Path) -> None:
    (tmp_path / "gym.toml").write_text("name = 5", encoding="utf-8")
    with pytest.raises(DataError, match=r"gym\.toml:1: name"):
        find_kit("gym", [tmp_path, SOUNDS])
    assert find_kit("park", [tmp_path, SOUNDS]).name == "park"


def test_a_bad_later_file_leaves_an_own_kit_alone(tmp_path: Path) -> None:
    (tmp_path / "gym.toml").write_text("name = 5", encoding="utf-8")
    assert find_kit("gym", [SOUNDS, tmp_path]).path == SOUNDS / "gym.toml"


def test_an_unknown_name_gets_the_names_there_are(tmp_path: Path) -> None:
    with pytest.raises(TrainerError, match=r'no kit "loud".*deep, evening, gym'):
        find_kit("loud", [tmp_path / "not there", SOUNDS])


def test_a_role_that_may_be_left_out_can_be_written_all_the_same(tmp_path: Path) -> None:
    text = (SOUNDS / "kitchen.toml").read_text(encoding="utf-8")
    path = tmp_path / "kitchen.toml"
    path.write_text(f'{text}\n[roles.ready]\ntimbre = "flute"\npitch_hz = 300\ndecay_ms = 80\nlevel_db = -9\n', "utf-8")
    ready = load_kit(path).sounds["ready"]
    assert isinstance(ready, Strike)
    assert (ready.pitch_hz, ready.level_db) == (300.0, -9.0)


def test_what_is_made_from_a_silent_role_is_silent(tmp_path: Path) -> None:
    text = (SOUNDS / "kitchen.toml").read_text(encoding="utf-8")
    path = tmp_path / "kitchen.toml"
    path.write_text(text.replace("[roles.count-in]", "[roles.count-in]\nsilent = true"), encoding="utf-8")
    kit = load_kit(path)
    assert [role for role in ROLES if kit.is_silent(role)] == ["gap", "count-in", "countdown", "ready"]


def test_what_is_made_from_another_role_stays_within_what_is_heard_without_pain(tmp_path: Path) -> None:
    """A count-in already at the upper bound: its fifth higher would pass it, so it stays where it is."""
    text = (SOUNDS / "kitchen.toml").read_text(encoding="utf-8")
    path = tmp_path / "kitchen.toml"
    high = text.replace("pitch_hz = 1100.0", "pitch_hz = 4200.0")
    assert high != text
    path.write_text(high, encoding="utf-8")
    ready = load_kit(path).sounds["ready"]
    assert isinstance(ready, Strike)
    assert max(shifted_hz(ready.pitch_hz, note.semitones) for note in ready.notes) <= HIGHEST_HZ


def test_an_unknown_role_is_an_error_of_ours() -> None:
    with pytest.raises(KeyError):
        load_kit(SOUNDS / "gym.toml").is_silent("clap")


def test_pitch_rises_with_every_throw_value_and_is_the_kits_own_at_three() -> None:
    steps = [value_to_semitones(value, 2.0) for value in range(HIGHEST_VALUE + 1)]
    assert steps == sorted(set(steps))
    assert value_to_semitones(3, 2.0) == 0.0
    assert value_to_semitones(9, 2.0) == 12.0  # 6 values of 2 semitones: one octave, twice the frequency
    assert shifted_hz(440.0, 12.0) == pytest.approx(880.0)


@pytest.mark.parametrize("kit", list_kits([SOUNDS])[0], ids=lambda kit: kit.name)
def test_throws_of_bundled_kits_stay_where_they_are_heard_without_pain(kit: Kit) -> None:
    """200 to 4000 Hz for one juggler, 150 Hz up for the others of a passing pattern (our own bounds)."""
    for juggler, seat in enumerate(kit.seats):
        for role in ("right", "left"):
            sound = kit.sounds[role]
            assert isinstance(sound, Strike)
            assert sound.rise > 0.0
            pitches = [
                shifted_hz(sound.pitch_hz, value_to_semitones(value, sound.rise) + seat.shift)
                for value in range(HIGHEST_VALUE + 1)
            ]
            assert pitches == sorted(set(pitches))
            assert (200.0 if juggler == 0 else 150.0) <= pitches[0] < pitches[-1] <= 4000.0
