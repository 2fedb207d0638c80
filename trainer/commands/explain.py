"""The command explain: a pattern's figures, as a page for a learner or as JSON."""

from __future__ import annotations

import argparse

from trainer.commands.asked import settings_of_command, to_chosen
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, add_pattern, add_tempo, parser_of
from trainer.library.explanation import Explanation, to_json
from trainer.library.page import to_lines


def words() -> argparse.ArgumentParser:
    parser = parser_of("explain", "What a pattern asks of you: each throw, how high, how long, how to begin.")
    add_pattern(parser, "+")
    add_tempo(parser)
    add_json(parser, "print the figures as JSON")
    return parser


def run(asked: argparse.Namespace) -> int:
    settings = settings_of_command()
    explained = Explanation(to_chosen(asked, settings), settings.stride_m)
    if asked.json:
        tell_json(to_json(explained))
    else:
        tell(*to_lines(explained))
    return 0
