"""The command explain: a pattern's figures, as a page for a learner or as JSON."""

from __future__ import annotations

import argparse

from trainer.commands.choosing import settings_of_command, to_chosen, words_to_choice
from trainer.explanation import Explanation, to_json, to_lines
from trainer.library.carried import choice_to_carriage
from trainer.library.catalogue import difficulty_of


def run(asked: argparse.Namespace) -> int:
    settings = settings_of_command()
    chosen = to_chosen(words_to_choice(asked.pattern), asked, settings)
    entry = chosen.choice.entry
    explained = Explanation(
        chosen.score,
        chosen.tempo_bpm,
        entry.names if entry else (),
        entry.how if entry else "",
        choice_to_carriage(chosen.choice, settings.hand_height_m, settings.restitution),
        settings.stride_m,
        difficulty_of(chosen.choice),
        tuple(map(str, entry.cues)) if entry else (),
    )
    if asked.json:
        import json

        print(json.dumps(to_json(explained), indent=2))
    else:
        print("\n".join(to_lines(explained)))
    return 0
