"""A real wheel, built offline, installed elsewhere and used from there, with nothing of the checkout in reach."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import wave
import zipfile
from pathlib import Path

import pytest

from trainer.files.places import bundled

ROOT = Path(__file__).parents[1]


def run(*command: str, cwd: Path, **environ: str) -> subprocess.CompletedProcess[str]:
    """A command in its own environment; its output."""
    kept = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "THROWBEAT_HOME")}
    return subprocess.run(
        command, cwd=cwd, env=kept | environ, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    build = "import sys; from hatchling.build import build_wheel; print(build_wheel(sys.argv[1]))"
    built = run(sys.executable, "-c", build, str(folder), cwd=ROOT)
    assert built.returncode == 0, built.stderr
    return folder / built.stdout.split()[-1]


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "install", "--no-deps", "--no-index", "--no-compile", "--target", str(folder)]
    done = run(*pip, str(wheel), cwd=folder, PIP_DISABLE_PIP_VERSION_CHECK="1")
    assert done.returncode == 0, done.stderr
    return folder


def trainer(installed: Path, cwd: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The command line of the installed package, in a folder where no checkout is."""
    return run(
        sys.executable, "-m", "trainer.commands.line", *words, cwd=cwd, PYTHONPATH=str(installed),
        PYTHONIOENCODING="utf-8",
        THROWBEAT_HOME=str(cwd / "home"),
    )  # fmt: skip


def test_the_wheel_carries_the_package_sounds_and_patterns_and_no_tests(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    assert {"trainer/fonts/DejaVuSans.ttf", "trainer/fonts/LICENSE.txt"} <= names
    for folder in ("sounds", "patterns"):
        here = {f"trainer/data/{folder}/{path.name}" for path in (ROOT / folder).glob("*.toml")}
        assert here
        assert here <= names
    code = {str(path.relative_to(ROOT)).replace(os.sep, "/") for path in (ROOT / "trainer").rglob("*.*")
            if path.suffix in (".py", ".toml", ".tcss")}  # fmt: skip
    assert code <= names
    assert not [name for name in names if name.startswith(("tests", "sounds", "patterns")) or name.endswith(".pyc")]


def test_the_wheel_is_called_throwbeat_and_brings_its_command(wheel: Path) -> None:
    assert wheel.name.startswith("throwbeat-")
    with zipfile.ZipFile(wheel) as archive:
        (entry_points,) = [name for name in archive.namelist() if name.endswith("entry_points.txt")]
        assert "throwbeat = trainer.commands.line:main" in archive.read(entry_points).decode()


def test_installed_elsewhere_it_finds_what_it_brought_inside_itself(installed: Path, tmp_path: Path) -> None:
    program = "import trainer; from trainer.files.places import bundled; print(trainer.__file__, bundled('sounds'), bundled('patterns'))"  # noqa: E501
    said = run(sys.executable, "-c", program, cwd=tmp_path, PYTHONPATH=str(installed))
    where, sounds, patterns = said.stdout.split()
    package = installed / "trainer"
    assert Path(where).parent == package
    assert (Path(sounds), Path(patterns)) == (package / "data" / "sounds", package / "data" / "patterns")


def test_in_the_checkout_its_own_folders_come_first() -> None:
    assert bundled("sounds") == ROOT / "sounds"
    assert bundled("patterns") == ROOT / "patterns"


def test_installed_elsewhere_it_explains_and_knows_the_names(installed: Path, tmp_path: Path) -> None:
    said = trainer(installed, tmp_path, "explain", "531")
    assert (said.returncode, said.stderr) == (0, "")
    assert said.stdout.startswith("531")
    named = trainer(installed, tmp_path, "explain", "mills mess", "--json")
    assert json.loads(named.stdout)["qualify"] == 12  # common practice


def test_installed_elsewhere_it_renders(installed: Path, tmp_path: Path) -> None:
    said = trainer(installed, tmp_path, "render", "531", "--out", "heard.wav", "--beats", "12", "--tempo", "240")
    assert (said.returncode, said.stderr) == (0, "")
    with wave.open(str(tmp_path / "heard.wav")) as heard:
        assert (heard.getframerate(), heard.getnchannels(), heard.getsampwidth()) == (44_100, 2, 2)
        assert heard.getnframes() >= 16 * 44_100 * 60 // 240


def test_installed_elsewhere_it_says_its_version(installed: Path, wheel: Path, tmp_path: Path) -> None:
    said = trainer(installed, tmp_path, "--version")
    assert said.stdout.split() == ["throwbeat", wheel.name.split("-")[1]]
