"""The command explain: a pattern's figures, as a page for a learner or as JSON."""

from __future__ import annotations

import argparse

from trainer.commands.choosing import to_chosen, words_to_choice
from trainer.config import load
from trainer.explanation import Explanation, to_json, to_lines
from trainer.places import places


def run(asked: argparse.Namespace) -> int:
    settings, _ = load(places().settings)
    chosen = to_chosen(words_to_choice(asked.pattern), asked, settings)
    entry = chosen.choice.entry
    explained = Explanation(chosen.score, chosen.tempo_bpm, entry.names if entry else (), entry.how if entry else "")
    if asked.json:
        import json

        print(json.dumps(to_json(explained), ensure_ascii=False, indent=2))
    else:
        print("\n".join(to_lines(explained)))
    return 0
