"""The command pack: a practice sheet rendered to a folder, sound by sound, with a page that plays and prints."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer.audio.kitfiles import find_kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.synth import Bank
from trainer.audio.wav import Depth
from trainer.commands.asked import settings_of_command
from trainer.commands.bar import shown, stoppable
from trainer.commands.terminal import tell
from trainer.commands.words import add_force, parser_of
from trainer.errors import AlreadyThere
from trainer.export.files import write_handout
from trainer.export.pack import INDEX, plan_to_sheets, sheets_to_page
from trainer.files.places import bundled, make_folder, places
from trainer.files.whole import Existing, open_whole
from trainer.library.lookup import look_up
from trainer.library.reading import library_folders
from trainer.practice.plans.folder import open_plan_folder


def words() -> argparse.ArgumentParser:
    parser = parser_of("pack", "Write a practice sheet to a folder: numbered sounds and a page to play, read or print.")
    parser.add_argument("plan", nargs="+", metavar="PLAN", help="a TOML file, or the name of a plan")
    parser.add_argument("--out", required=True, metavar="DIR", help="the folder to write to")
    parser.add_argument("--kit", metavar="NAME", help="the kit of sounds")
    add_force(parser, "files that are")
    return parser


def run(asked: argparse.Namespace) -> int:
    settings = settings_of_command()
    kept = places()
    patterns = library_folders(kept)
    plan_folder = open_plan_folder(kept, lambda text: look_up(text, patterns))
    plan = plan_folder.find(" ".join(asked.plan))
    kit = find_kit(asked.kit or settings.kit, (kept.sounds, bundled("sounds")))
    sheets = plan_to_sheets(plan, Bank(kit, RATE_HZ), settings.dwell, settings.count_in_beats)
    folder = Path(asked.out)
    page = folder / INDEX
    _refuse_what_is_there([page, *(folder / sheet.name for sheet in sheets if sheet.name)], asked.existing)
    make_folder(folder)
    with stoppable():
        for sheet in sheets:
            if sheet.passage is not None:
                with shown(sheet.name) as bar:
                    write_handout(folder / sheet.name, sheet.passage, Depth.BITS_16, asked.existing, bar)
        with open_whole(page, asked.existing) as file:  # last, so that a page never names a sound that is not there
            file.write(sheets_to_page(plan, sheets).encode("utf-8"))
    tell(f"{page}: {plan.name}, {sum(bool(sheet.name) for sheet in sheets)} sounds.")
    return 0


def _refuse_what_is_there(paths: list[Path], existing: Existing) -> None:
    """Raise AlreadyThere before anything is written, rather than half-way through."""
    there = next((path for path in paths if path.exists()), None)
    if there is not None and existing is Existing.REFUSE:
        raise AlreadyThere(f"{there} was there already and was left as it was.")
