"""Reading folders of patterns: every field, every mistake with file, line and field, and the good ones kept."""

import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from trainer.files.places import places
from trainer.library.catalogue import Library
from trainer.library.entries import Cue
from trainer.library.reading import library_folders, read_library
from trainer.siteswap.grammar import LONGEST_TEXT
from trainer.siteswap.throws import Hand

DATA = Path(__file__).parents[1] / "data"
VALID, INVALID = DATA / "valid" / "patterns", DATA / "invalid" / "patterns"

MISTAKES = {
    # file: what the error says behind the path, what is still there
    "arrangement-alone": (":12: pattern[2].arrangement: The pattern was for one juggler.", "Good"),
    "bounce-unknown": (':12: pattern[2].bounce: "high" was none of the choices. Give one of: lift, force.', "Good"),
    "builds-on-itself": (":12: pattern[2].builds_on: The pattern built on itself.", "Good Bad"),
    "builds-on-loop": (":19: pattern[3].builds_on: “Bad” in turn built on this pattern.", "Good Bad Worse"),
    "builds-on-missing": (":12: pattern[2].builds_on: No pattern was called “Nowhere”.", "Good Bad"),
    "category-unknown": (':12: pattern[2].category: "circus" was none of the choices.', "Good"),
    "cue-beyond-round": (":12: pattern[2].cues[1].at: 4 was out of range.", "Good"),
    "cue-hand-async": (":12: pattern[2].cues[1].hand: The hands take turns here", "Good"),
    "cue-juggler": (":12: pattern[2].cues[1].juggler: 2 was out of range.", "Good"),
    "cue-kind-unknown": (':12: pattern[2].cues[1].kind: "wink" was none of the choices.', "Good"),
    "cue-without-throw": (":12: pattern[2].cues[1].at: Nothing was thrown on beat 3 that could go “claw”.", "Good"),
    "height-missing": (":7: pattern[2].height_m: This field was missing. Add it.", "Good"),
    "height-negative": (":10: pattern[2].height_m: -1 was out of range.", "Good"),
    "how-missing": (":7: pattern[2].how: This field was missing. Add it.", "Good"),
    "how-two-lines": (":11: pattern[2].how: The text ran over more than one line.", "Good"),
    "key-unknown": (':12: pattern[2].bulids_on: This key was unknown. Was "builds_on" meant?', "Good"),
    "name-taken": (":8: pattern[2].names: “GOOD” was also a name of “Good”. Rename one of them.", "Good"),
    "names-empty": (":8: pattern[2].names: There was no name. Give at least one.", "Good"),
    "names-missing": (":7: pattern[2].names: This field was missing. Add it.", "Good"),
    "names-twice": (":8: pattern[2].names: A name stood there twice", "Good"),
    "names-without-letters": (":8: pattern[2].names: A name had neither letter nor digit.", "Good"),
    "no-pattern": (": pattern: This field was missing. Add it.", ""),
    "not-toml": (":7: The file was not valid TOML at column 10", ""),
    "not-utf8": (":7: The file was not UTF-8 text.", ""),
    "pattern-collides": (
        ":9: pattern[2].pattern: The 5 thrown on beat 1 and the 4 thrown on beat 2 both come down on beat 6 "
        "to the left hand. 534 would work.",
        "Good",
    ),
    "pattern-missing": (":7: pattern[2].pattern: This field was missing. Add it.", "Good"),
    "pattern-no-list": (':1: pattern: "531" was not a list.', ""),
    "pattern-no-objects": (":9: pattern[2].pattern: The pattern had no object in it.", "Good"),
    "pattern-number": (":9: pattern[2].pattern: 531 was not a text. Put it in quotation marks.", "Good"),
    "pattern-sync-star": (":9: pattern[2].pattern: The 4 thrown on beat 1 and the 2 thrown on beat 3", "Good"),
    "round-no-longer": (":12: pattern[2].round: The throws themselves come round after 3.", "Good"),
    "round-not-multiple": (":12: pattern[2].round: The throws themselves come round after 3.", "Good"),
    "steps-zero": (":12: pattern[2].throws_per_step: 0 was out of range.", "Good"),
    "style-unknown": (':12: pattern[2].style: "sideways" was none of the choices.', "Good"),
    "top-category-unknown": (':1: category: "circus" was none of the choices.', "Good"),
    "top-key-unknown": (':1: categry: This key was unknown. Was "category" meant?', "Good"),
}


def titles(library: Library) -> list[str]:
    return [entry.title for entry in library.entries]


def entry_text(name: str, **fields: str) -> str:
    rows = {"pattern": '"3"', "height_m": "0.4", "how": '"An invented one."'} | fields
    return f'[[pattern]]\nnames = ["{name}"]\n' + "".join(f"{key} = {value}\n" for key, value in rows.items())


def write(folder: Path, file: str, *entries: str) -> None:
    folder.mkdir(exist_ok=True)
    (folder / file).write_text("\n".join(entries), encoding="utf-8")


def test_every_bad_file_is_in_the_table() -> None:
    assert {path.stem for path in INVALID.glob("*.toml")} == set(MISTAKES)


@pytest.mark.parametrize("case", MISTAKES)
def test_a_mistake_is_told_with_file_line_and_field(case: str, tmp_path: Path) -> None:
    shutil.copy(INVALID / f"{case}.toml", tmp_path)
    said, left = MISTAKES[case]
    library = read_library([tmp_path])
    assert [str(error)[: len(str(tmp_path / f"{case}.toml") + said)] for error in library.errors] == [
        str(tmp_path / f"{case}.toml") + said
    ]
    assert titles(library) == left.split()


def test_bad_files_never_hide_a_good_one(tmp_path: Path) -> None:
    for path in INVALID.glob("*.toml"):
        shutil.copy(path, tmp_path)
    write(tmp_path, "zz.toml", entry_text("Juniper"))
    library = read_library([tmp_path])
    assert "Juniper" in titles(library)
    assert len(library.errors) >= len(MISTAKES)


def test_every_field() -> None:
    library = read_library([VALID])
    assert library.errors == ()
    assert titles(library) == ["Birch", "Hazel", "Rowan", "Alder"]
    birch, hazel, rowan, alder = library.entries
    assert birch.names == ("Birch", "bîch 2")
    assert (birch.pattern.text, birch.pattern.style, birch.pattern.round) == ("531 mess", "mess", 12)
    assert birch.builds_on == ("Hazel",)
    assert (birch.height_m, birch.category) == (1.25, "mess")
    assert birch.cues == (Cue(2, "under the leg", 0, Hand.LEFT, "leg"), Cue(12, "clap", 0, Hand.LEFT))
    assert (hazel.pattern.text, hazel.arrangement) == ("<3p 3|3p 3>", "side by side")
    assert hazel.cues == (Cue(2, "call", 1, Hand.LEFT),)
    assert (rowan.category, rowan.bounce, rowan.throws_per_step) == ("cascade", "lift", Fraction(3, 2))
    assert rowan.cues == (Cue(3, "claw", 0, Hand.LEFT),)
    assert (alder.category, alder.cues, alder.throws_per_step) == ("siteswap", (), None)
    assert alder.path == VALID / "minimal.toml"


@pytest.mark.parametrize(
    ("text", "category"),
    [("441", "siteswap"), ("(4,4)", "sync"), ("[43]23", "multiplex"), ("<3p 3|3p 3>", "passing"), ("441 mess", "mess")],
)
def test_without_a_category_the_throws_give_one(text: str, category: str, tmp_path: Path) -> None:
    write(tmp_path, "a.toml", entry_text("Alder", pattern=f'"{text}"'))
    assert read_library([tmp_path]).entries[0].category == category


def test_an_odd_round_leaves_the_hand_of_a_cue_open(tmp_path: Path) -> None:
    write(tmp_path, "a.toml", entry_text("Alder", cues='[{ at = 1, kind = "claw" }]'))
    assert read_library([tmp_path]).entries[0].cues[0].hand is None


def test_an_earlier_folder_hides_a_name(tmp_path: Path) -> None:
    write(tmp_path / "own", "a.toml", entry_text("3-Cascade", how='"My own way."'))
    write(tmp_path / "brought", "a.toml", entry_text("3 cascade"), entry_text("Alder", builds_on='["3 CASCADE"]'))
    library = read_library([tmp_path / "own", tmp_path / "brought"])
    assert library.errors == ()
    assert [(entry.title, entry.how) for entry in library.entries] == [
        ("3-Cascade", "My own way."),
        ("Alder", "An invented one."),
    ]
    assert library.entries[1].builds_on == ("3-Cascade",)


def test_a_folder_that_is_not_there_has_no_patterns(tmp_path: Path) -> None:
    library = read_library([tmp_path / "nowhere"])
    assert (library.entries, library.errors) == ((), ())


def test_a_file_in_place_of_the_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "patterns").write_text("", encoding="utf-8")
    errors = read_library([tmp_path / "patterns", VALID]).errors
    assert [str(error) for error in errors] == [f"{tmp_path}/patterns: The folder could not be read: Not a directory."]


def test_other_files_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("[[pattern", encoding="utf-8")
    (tmp_path / "folder.toml").mkdir()
    assert [error.message for error in read_library([tmp_path]).errors] == ["This was a folder, not a file."]


def test_a_pattern_of_absurd_length_is_refused(tmp_path: Path) -> None:
    write(tmp_path, "a.toml", entry_text("Alder", pattern=f'"{"3" * (LONGEST_TEXT + 1)}"'), entry_text("Birch"))
    library = read_library([tmp_path])
    assert titles(library) == ["Birch"]
    assert "4097 characters" in str(library.errors[0])


def test_the_folders_are_the_users_own_and_the_one_brought_along(tmp_path: Path) -> None:
    own, brought = library_folders(places({"THROWBEAT_HOME": str(tmp_path)}))
    assert own == tmp_path / "patterns"
    assert len(list(brought.glob("*.toml"))) > 5
