"""The command pack: numbered sounds and a page, all or nothing of each, and what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from trainer.export.pack import rungs
from trainer.library.catalogue import Choice
from trainer.practice.plans.plan import Block, BlockKind
from trainer.siteswap.grammar import parse

PLAN = """
name = "A short <evening>"
for = "Mara and Oleander, who are made up, in the hall at Tidewell, which is too."
[[block]]
kind = "warm-up"
pattern = "3 cascade"
tempo = 180
minutes = 0.1
say = "Slow & tall."
[[block]]
kind = "rest"
minutes = 1
[[block]]
kind = "climb"
pattern = "531"
tempo = 180
target = 200
step = 15
"""


class Links(HTMLParser):
    """Every file the page names, read by the standard library's own reader."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [value for name, value in attrs if name in ("src", "href") and value]

    def handle_data(self, data: str) -> None:
        self.text += data


def written(folder: Path) -> str:
    path = folder / "evening.toml"
    path.write_text(PLAN, encoding="utf-8")
    return str(path)


def test_a_plan_becomes_numbered_sounds_and_a_page(cli: Callable[..., Any], tmp_path: Path) -> None:
    out = tmp_path / "for the class"
    said = cli("pack", written(tmp_path), "--out", str(out))
    assert said.status == 0, said
    assert sorted(path.name for path in out.iterdir()) == ["01-3-cascade.wav", "03-531.wav", "index.html"]
    page = Links()
    page.feed((out / "index.html").read_text(encoding="utf-8"))
    assert set(page.found) == {"01-3-cascade.wav", "03-531.wav"}
    for words in ("A short <evening>", "Slow & tall.", "180 to 200 beats/min", "qualify 6", "Fire and blades"):
        assert words in page.text
    # Read back by another library: 4 beats of count-in and a tenth of a minute at 180 beats a minute.
    sound, rate_hz = soundfile.read(out / "01-3-cascade.wav")
    assert rate_hz == 44_100
    assert abs(len(sound) / rate_hz - (4 * 60 / 180 + 6)) < 0.6
    assert np.abs(sound).max() > 0.05


def test_a_staircase_is_heard_at_the_tempo_it_starts_from(cli: Callable[..., Any], tmp_path: Path) -> None:
    plan, out = tmp_path / "stairs.toml", tmp_path / "out"
    block = '[[block]]\nkind = "climb"\npattern = "531"\nrule = "staircase"\ntempo = 180\nminutes = 0.1\n'
    plan.write_text(f'name = "Stairs"\nfor = "Me."\n{block}', encoding="utf-8")
    assert cli("pack", str(plan), "--out", str(out)).status == 0
    page = Links()
    page.feed((out / "index.html").read_text(encoding="utf-8"))
    assert "180 beats/min" in page.text
    assert "a staircase" in page.text
    sound, rate_hz = soundfile.read(out / "01-531.wav")
    assert abs(len(sound) / rate_hz - (4 * 60 / 180 + 6)) < 0.6  # 4 beats of count-in, a tenth of a minute


def test_what_is_there_is_left_alone_unless_forced(
    cli: Callable[..., Any], refused: Callable[..., str], tmp_path: Path
) -> None:
    plan, out = written(tmp_path), tmp_path / "out"
    out.mkdir()
    (out / "03-531.wav").write_bytes(b"mine")
    assert "was there already" in refused("pack", plan, "--out", str(out))
    assert [path.name for path in out.iterdir()] == ["03-531.wav"]
    assert cli("pack", plan, "--out", str(out), "--force").status == 0
    assert (out / "03-531.wav").read_bytes()[:4] == b"RIFF"


def test_a_bad_plan_and_a_bad_place_are_one_message(refused: Callable[..., str], tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "x"\nfor = "y"\n[[block]]\nkind = "nap"\n', encoding="utf-8")
    assert "bad.toml:4: block[1].kind" in refused("pack", str(bad), "--out", str(tmp_path / "out"))
    assert not (tmp_path / "out").exists()
    file = tmp_path / "file"
    file.write_text("", encoding="utf-8")
    assert refused("pack", written(tmp_path), "--out", str(file / "under"))


def test_a_climb_goes_by_its_step_and_ends_at_its_target() -> None:
    def climb(tempo: int, target: int, step: int) -> list[int]:
        block = Block(BlockKind.CLIMB, Choice(parse("3")), tempo, step, target)  # type: ignore[arg-type]
        return [int(rung) for rung in rungs(block)]

    assert climb(150, 180, 10) == [150, 160, 170, 180]
    assert climb(180, 200, 15) == [180, 195, 200]
    assert climb(200, 180, 10) == [200, 190, 180]
    assert climb(150, 150, 5) == [150]
