"""The command log chart: a picture of one figure's progress, to share; SVG, or PNG made from it."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from trainer.commands.bar import stoppable
from trainer.commands.log_progress import add_figure, now, read_progress, refuse_none
from trainer.commands.terminal import tell
from trainer.commands.words import add_force, parser_of
from trainer.errors import TrainerError
from trainer.files.whole import open_whole
from trainer.progress import wording
from trainer.progress.figure import FigureProgress
from trainer.progress.picture import FONT, WIDTH, picture

ENDINGS = (".svg", ".png")
PNG_WIDTH = 2 * WIDTH
FONT_FILE = Path(__file__).parents[1] / "fonts" / "DejaVuSans.ttf"
"""Brought along, so that a machine without any font draws letters too; for other scripts the machine's own serve."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("log chart", "A picture of progress to share; of the figure practised last unless one is named.")
    parser.add_argument("--out", required=True, metavar="FILE", help="the file to write: .svg or .png")
    parser.add_argument("--pattern", nargs="+", metavar="PATTERN", help="a name or a siteswap, such as 531")
    add_figure(parser)
    add_force(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    path = Path(asked.out)
    if path.suffix.lower() not in ENDINGS:
        raise TrainerError(f"“{asked.out}” had no ending known here. Name a file that ends in .svg or .png.")
    found, count = read_progress(asked, limit=1)
    refuse_none(count, asked)
    with stoppable(), open_whole(path, asked.existing) as file:
        file.write(to_bytes(found[0], now().date(), path.suffix.lower()))
    tell(f"{path}: {wording.heading(found[0].figure)}")
    if count > 1:
        others = wording.number(count - 1, "other figure")
        tell(f"There were {others}; --pattern, --prop, --count and --juggler choose.")
    return 0


def to_bytes(found: FigureProgress, today: date, ending: str) -> bytes:
    """The picture as a file of that ending."""
    svg = picture(found, today)
    if ending == ".svg":
        return svg.encode()
    import resvg_py  # only here: an SVG needs no library

    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg, width=PNG_WIDTH, font_files=[str(FONT_FILE)], font_family=FONT, sans_serif_family=FONT
        )
    )
