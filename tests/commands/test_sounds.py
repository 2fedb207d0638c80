"""The command sounds: the list, the list as JSON, and what is played of a kit."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from trainer.audio.kit import ROLES
from trainer.audio.kitfiles import list_kits
from trainer.audio.synth import Voice
from trainer.commands.sounds import voices_of
from trainer.files.places import Places, bundled


def test_the_list_names_every_kit_and_marks_the_one_in_use(cli: Callable[..., Any]) -> None:
    said = cli("sounds")
    kits, _ = list_kits([bundled("sounds")])
    assert said.status == 0
    for kit in kits:
        assert kit.audience in said.out
    assert next(line for line in said.out.splitlines() if line.startswith("* ")).split()[1] == "kitchen"


def test_the_list_as_json(cli: Callable[..., Any]) -> None:
    rows = json.loads(cli("sounds", "--json").out)
    assert len(rows) >= 6  # quiet room, loud hall, headphones, outdoors, low fatigue, hard of hearing
    assert all(set(row) == {"name", "for", "roles", "file"} for row in rows)


def test_a_bad_kit_of_ones_own_is_named_and_hides_no_other(cli: Callable[..., Any], kept: Places) -> None:
    kept.sounds.mkdir(parents=True)
    (kept.sounds / "mine.toml").write_text('name = "mine"\n', encoding="utf-8")
    said = cli("sounds")
    assert said.status == 0
    assert "mine.toml" in said.err
    assert "kitchen" in said.out


def test_an_unknown_kit_is_one_message(refused: Callable[..., str]) -> None:
    assert "kitchen" in refused("sounds", "cathedral")


def test_all_that_sounds_is_played_and_higher_throws_too() -> None:
    for kit in list_kits([bundled("sounds")])[0]:
        played = [voice for voice, _ in voices_of(kit)]
        assert {voice.role for voice in played} == {role for role in ROLES if not kit.is_silent(role)}
        assert Voice("right", 9, "R") in played
