"""The words of the command line: which commands there are, how a wrong word is refused, and options several take."""

from __future__ import annotations

import argparse
from typing import NoReturn

from trainer.commands.terminal import tell
from trainer.errors import TrainerError

COMMANDS = ("plan", "sheet", "explain", "find", "link", "render", "pack", "sounds", "log", "terms", "check", "demo")
"""Each has a module of its name."""

LOG_COMMANDS = ("best", "progress", "calendar", "chart", "export", "import", "backup", "restore")
"""Each has a module of its name after log_."""


class Parser(argparse.ArgumentParser):
    """Refuses with one line, as every other error here."""

    def error(self, message: str) -> NoReturn:
        raise TrainerError(f"{message[:1].upper()}{message[1:]}. See “{self.prog} --help”.")

    def print_help(self, file: object = None) -> None:
        """Through the gate, so that help that can't be written is a refusal."""
        tell(*self.format_help().splitlines())


def parser_of(command: str, description: str, laid_out: str = "") -> argparse.ArgumentParser:
    """The parser of one command. laid_out: a text to print below its options, with the line ends it has."""
    parser = Parser(prog=f"throwbeat {command}", description=description, allow_abbrev=False)
    if laid_out:
        parser.formatter_class, parser.epilog = argparse.RawDescriptionHelpFormatter, laid_out
    return parser


def add_pattern(parser: argparse.ArgumentParser, nargs: str) -> None:
    parser.add_argument("pattern", nargs=nargs, metavar="PATTERN", help="a name or a siteswap, such as 531")


def add_tempo(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--tempo", metavar="N", help="beats per minute; without it, a usual height decides")
    parser.add_argument("--dwell", metavar="R", help="share of the time a hand holds, between 0 and 1 (2/3)")


def add_counting(parser: argparse.ArgumentParser) -> None:
    """Together with --dwell, what `start.with_options` reads."""
    parser.add_argument("--count-in", metavar="N", help="beats counted in before the first throw (4)")
    parser.add_argument("--count", metavar="WAY", help="how catches are counted: beat, taps or hand")
    parser.add_argument("--reaction", metavar="S", help="seconds you take to press after a drop (0.3)")


def add_force(parser: argparse.ArgumentParser, files: str = "a file that is") -> None:
    """--force, which becomes `existing`: what to do with a file that is there."""
    from trainer.files.whole import Existing  # only here: most commands write no file

    parser.add_argument(
        "--force",
        dest="existing",
        action="store_const",
        const=Existing.REPLACE,
        default=Existing.REFUSE,
        help=f"write over {files} there",
    )


def add_json(parser: argparse.ArgumentParser, what: str = "print them as JSON") -> None:
    parser.add_argument("--json", action="store_true", help=what)
