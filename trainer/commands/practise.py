"""The command without a name: practise, on the full screen or in lines of text, or pick a pattern there first."""

from __future__ import annotations

import argparse

from trainer import __version__
from trainer.commands.terminal import tell
from trainer.commands.words import COMMANDS, Parser, add_counting, add_pattern, add_tempo
from trainer.errors import TrainerError

INTRODUCTION = """\
A practice trainer for toss jugglers and their teachers.

  throwbeat                 open the full-screen trainer
  throwbeat PATTERN         practise a pattern at once: 531, "(4,4)", "mills mess"
  throwbeat PATTERN --plain the same in lines of text and sound only, without a screen
  throwbeat plan [PLAN]     practise by a plan: first-week, a TOML file of yours
  throwbeat explain PATTERN what a pattern asks of you: throws, heights, how to begin
  throwbeat find --objects N --period P
                            all patterns of so many objects and beats
  throwbeat link FROM TO    the shortest throws from one pattern to another, and back
  throwbeat render PATTERN --out FILE.wav
                            write the beat to a sound file
  throwbeat pack PLAN --out DIR
                            a practice sheet as sound files with a page
  throwbeat sounds [NAME]   the kits of sounds, and one of them played
  throwbeat sheet           the last judged attempts as a sheet to print
  throwbeat log             the attempts you have made
  throwbeat log best | calendar | export FILE | import FILE | backup | restore FILE
                            bests, days; the logbook out to a file and in again
  throwbeat log progress    how catches and tempo have grown, and what follows from it
  throwbeat log chart --out FILE.png
                            that as a picture to share
  throwbeat terms [WORD]    what a word of the trade means
  throwbeat check           whether sound, pedal, logbook and library work here
  throwbeat demo            the trainer with the logbook of a made-up group

Each command has its own --help."""


def words() -> argparse.ArgumentParser:
    parser = Parser(
        prog="throwbeat",
        usage=f"throwbeat [PATTERN] [options] | {' | '.join(COMMANDS)}",
        description=INTRODUCTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    add_pattern(parser, "*")
    add_tempo(parser)
    add_counting(parser)
    parser.add_argument("--plain", action="store_true", help="lines of text and sound only; keys as on the screen")
    return parser


def run(asked: argparse.Namespace) -> int:
    if asked.version:
        tell(f"throwbeat {__version__}")
        return 0
    from trainer.commands.asked import words_to_choice  # not at the top: the help needs none of this
    from trainer.commands.start import open_plain, open_trainer, settings_and_notices
    from trainer.files.places import places
    from trainer.timing.tempo import text_to_tempo

    kept = places()
    settings, notices = settings_and_notices(kept, asked)
    choice = words_to_choice(asked.pattern) if asked.pattern else None
    tempo_bpm = text_to_tempo(asked.tempo) if asked.tempo is not None else None
    if not asked.plain:
        return open_trainer(kept, settings, notices, choice, tempo_bpm)
    if choice is None:
        raise TrainerError("No pattern was given. Name the one to practise in plain mode: “throwbeat 531 --plain”.")
    return open_plain(kept, settings, notices, choice, tempo_bpm)
