"""The command sounds: the kits there are, and one of them played, sound by sound, each named as it is heard."""

from __future__ import annotations

import argparse
import time

from trainer.audio.kit import ROLES, Kit
from trainer.audio.kitfiles import find_kit, list_kits
from trainer.audio.outputs.choice import open_output
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.render import PlacedSound
from trainer.audio.sample import Sample
from trainer.audio.synth import Bank, Voice
from trainer.audio.transport import Scene, Transport
from trainer.commands.asked import settings_of_command
from trainer.commands.terminal import complain, tell, tell_json
from trainer.commands.words import add_json, parser_of
from trainer.config import Settings
from trainer.files.places import bundled, places

GAP_S = 0.9
LEAD_S = 0.4
SIDES = {"right": "R", "left": "L"}
EXTRA = (Voice("right", 1, "R"), Voice("right", 5, "R"), Voice("left", 7, "L"), Voice("right", 9, "R"))
"""Throws of other values: the higher the throw, the higher the pitch."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("sounds", "The kits of sounds there are; one of them played, sound by sound.")
    parser.add_argument("kit", nargs="*", metavar="NAME", help="the kit to play")
    add_json(parser, "print the list as JSON")
    return parser


def run(asked: argparse.Namespace) -> int:
    settings = settings_of_command()
    folders = (places().sounds, bundled("sounds"))
    if asked.kit:
        kit = find_kit(" ".join(asked.kit), folders)
        return _play(kit, settings)
    kits, errors = list_kits(folders)
    complain(*errors)
    if asked.json:
        tell_json([kit_to_json(kit) for kit in kits])
        return 0
    width = max(len(kit.name) for kit in kits)
    for kit in kits:
        mark = "*" if kit.name == settings.kit else " "
        tell(f"{mark} {kit.name:<{width}}  {kit.audience}")
    tell("", "* is in use; Setup (F2) changes it. “throwbeat sounds NAME” plays one.")
    return 0


def kit_to_json(kit: Kit) -> dict[str, object]:
    """A kit's name, whom it is for, its roles that sound, its file."""
    return {"name": kit.name, "for": kit.audience, "roles": [*kit.sounds], "file": str(kit.path)}


def voices_of(kit: Kit) -> list[tuple[Voice, str]]:
    """What is played of a kit, in order, and what each is."""
    named = [
        (Voice(role, 3 if role in SIDES else 0, SIDES.get(role)), meaning)
        for role, meaning in ROLES.items()
        if not kit.is_silent(role)
    ]
    return [*named, *((voice, f"a throw of value {voice.value}") for voice in EXTRA)]


def _play(kit: Kit, settings: Settings) -> int:
    bank = Bank(kit, RATE_HZ)
    voices = voices_of(kit)
    bank.prepare(voice for voice, _ in voices)
    transport = Transport(RATE_HZ)
    transport.gain = settings.volume
    output, notice = open_output(settings.output, transport.pull, device=settings.device)
    try:
        if notice:
            complain(notice)

        def start(_: Scene, at_frame: int) -> Scene:
            frames = (at_frame + round((LEAD_S + index * GAP_S) * RATE_HZ) for index in range(len(voices)))
            return Sample(
                bank, tuple(PlacedSound(frame, voice) for frame, (voice, _) in zip(frames, voices, strict=True))
            )

        transport.post(start)
        tell(f"{kit.name}: {kit.audience}")
        for voice, meaning in voices:
            time.sleep(GAP_S)
            tell(f"  {voice.role:<9} {meaning}")
        time.sleep(GAP_S)
    finally:
        output.close()
    return 0
