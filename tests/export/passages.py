"""A passage to hand out, made from a pattern's text."""

from __future__ import annotations

from fractions import Fraction

from trainer.audio.hearing import Hear, Hearing
from trainer.audio.kitfiles import load_kit
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.export.passage import Passage
from trainer.files.places import bundled
from trainer.siteswap.grammar import parse
from trainer.timing.counting import Goals
from trainer.timing.score import Score
from trainer.timing.tempo import TempoMap

KITCHEN = load_kit(bundled("sounds") / "kitchen.toml")


def passage(text: str, tempo: Fraction, dwell: Fraction, count_in: int, beats: int, hear: Hear = Hear.BOTH) -> Passage:
    score = Score(parse(text), dwell)
    goals = Goals.of(score)
    performance = Performance(
        score,
        TempoMap.steady(tempo, -count_in),
        Bank(KITCHEN, 44_100),
        count_in * 60 / tempo,
        count_in,
        ((goals.flash, "flash"), (goals.qualify, "qualify")),
        hearing=Hearing(hear),
    )
    return Passage(performance, Fraction(beats), text)
