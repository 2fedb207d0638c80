"""Where things lie: one folder if the user names one, else the usual places; bundled data, checkout first."""

import subprocess
import sys
from pathlib import Path

import pytest

from trainer.errors import TrainerError
from trainer.files import places as module
from trainer.files.places import Places, bundled, make_folder, places
from trainer.files.toml import DataError


def test_one_folder_holds_everything_if_the_user_names_one(tmp_path: Path) -> None:
    assert places({"THROWBEAT_HOME": str(tmp_path)}) == Places(
        settings=tmp_path / "settings.toml",
        logbook=tmp_path / "logbook.sqlite",
        patterns=tmp_path / "patterns",
        sounds=tmp_path / "sounds",
        noise=tmp_path / "noise.log",
    )


def test_a_relative_folder_stays_where_it_was_when_the_trainer_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert places({"THROWBEAT_HOME": "kept"}).logbook == tmp_path / "kept" / "logbook.sqlite"


@pytest.mark.skipif(sys.platform != "linux", reason="these are the usual places of Linux")
@pytest.mark.parametrize("environ", [{}, {"THROWBEAT_HOME": ""}])
def test_the_usual_places_of_linux(environ: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Source: XDG Base Directory Specification 0.8 (defaults under HOME)."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "THROWBEAT_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    found = places(environ)
    assert found.settings == tmp_path / ".config/throwbeat/settings.toml"
    assert found.logbook == tmp_path / ".local/share/throwbeat/logbook.sqlite"
    assert found.noise.is_relative_to(tmp_path / ".local/state/throwbeat")
    assert list(tmp_path.iterdir()) == []  # asking makes nothing


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not use XDG_CONFIG_HOME")
def test_no_home_is_said_rather_than_a_folder_named_tilde_made(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("os.path.expanduser", lambda path: path)  # a user without an entry in the user database
    with pytest.raises(TrainerError, match=r"^No home folder was found\. Set THROWBEAT_HOME"):
        places({})


@pytest.mark.parametrize("name", ["sounds", "patterns"])
def test_the_bundles_of_this_checkout_are_found(name: module.Bundle) -> None:
    assert bundled(name) == Path(module.__file__).parents[2] / name


@pytest.mark.parametrize(
    ("there", "found"),
    [
        (["pyproject.toml", "sounds/", "trainer/data/sounds/"], "sounds"),  # a checkout comes first
        (
            ["sounds/", "trainer/data/sounds/"],
            "trainer/data/sounds",
        ),  # a stranger's folder beside the package
        (["pyproject.toml", "trainer/data/sounds/"], "trainer/data/sounds"),
    ],
)
def test_the_checkout_comes_before_the_installed_package(there: list[str], found: str, tmp_path: Path) -> None:
    for entry in there:
        if entry.endswith("/"):
            (tmp_path / entry).mkdir(parents=True)
        else:
            (tmp_path / entry).touch()
    assert bundled("sounds", tmp_path / "trainer") == tmp_path / found


def test_a_broken_installation_is_said(tmp_path: Path) -> None:
    with pytest.raises(TrainerError, match=r"^The folder sounds was missing"):
        bundled("sounds", tmp_path / "trainer")


def test_folders_are_made_with_those_above(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(DataError) as caught:
        make_folder(tmp_path / "file" / "b")
    assert str(caught.value) == f"{tmp_path}/file/b: The folder could not be made: Not a directory."


def test_naming_one_folder_costs_no_library() -> None:
    code = (
        "import sys; from trainer.files.places import places; places({'THROWBEAT_HOME': '/x'});"
        "sys.exit('platformdirs' in sys.modules or 'tomllib' in sys.modules)"
    )
    root = Path(module.__file__).parents[2]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0
