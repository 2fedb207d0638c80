"""The command explain: a pattern's figures, as a page for a learner or as JSON."""

from __future__ import annotations

import argparse

from trainer.commands.asked import settings_of_command, to_chosen, words_to_choice
from trainer.library.chosen import explain
from trainer.library.explanation import to_json, to_lines


def run(asked: argparse.Namespace) -> int:
    settings = settings_of_command()
    chosen = to_chosen(words_to_choice(asked.pattern), asked, settings)
    explained = explain(chosen, settings)
    if asked.json:
        import json

        print(json.dumps(to_json(explained), indent=2))
    else:
        print("\n".join(to_lines(explained)))
    return 0
