"""What the parsers of the command line have in common: how they refuse, and options that several commands take."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import NoReturn

from trainer.errors import TrainerError


class Parser(argparse.ArgumentParser):
    """Refuses with one line, as every other error here."""

    def error(self, message: str) -> NoReturn:
        raise TrainerError(f"{message[:1].upper()}{message[1:]}. See “{self.prog} --help”.")


Words = tuple[argparse.ArgumentParser, Callable[[argparse.Namespace], int]]


def parser_of(command: str, description: str) -> argparse.ArgumentParser:
    return Parser(prog=f"throwbeat {command}".strip(), description=description, allow_abbrev=False)


def add_pattern(parser: argparse.ArgumentParser, nargs: str) -> None:
    parser.add_argument("pattern", nargs=nargs, metavar="PATTERN", help="a name or a siteswap, such as 531")


def add_tempo(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--tempo", metavar="N", help="beats per minute; without it, a usual height decides")
    parser.add_argument("--dwell", metavar="R", help="share of the time a hand holds, between 0 and 1 (2/3)")


def add_counting(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--count-in", metavar="N", help="beats counted in before the first throw (4)")
    parser.add_argument("--count", metavar="WAY", help="how catches are counted: beat, taps or hand")
    parser.add_argument("--reaction", metavar="S", help="seconds you take to press after a drop (0.3)")
