"""The command render: a pattern's beat as a sound file, and its events with their frames as JSON."""

from __future__ import annotations

import argparse
from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.audio.kit import find_kit
from trainer.audio.performance import Hear, Performance, PlacedEvent
from trainer.audio.render import Placed, blocks
from trainer.audio.synth import Bank
from trainer.audio.wav import Existing, open_wav
from trainer.commands.choosing import Chosen, require_one_of, text_to_whole, to_chosen, words_to_choice
from trainer.config import Settings, load
from trainer.places import bundled, places
from trainer.timing.counting import Goals
from trainer.timing.tempo import TempoError, TempoMap, text_to_fraction

RATE_HZ = 44100
USUAL_S = 60
LONGEST_S = 6 * 3600
MOST_COUNT_IN = 64


def run(asked: argparse.Namespace) -> int:
    settings, _ = load(places().settings)
    chosen = to_chosen(words_to_choice(asked.pattern), asked, settings)
    performance, beats = to_performance(chosen, asked, settings)
    placed = list(performance.placed_events(-performance.count_in_beats, beats))
    _write(Path(asked.out), performance, placed, beats, asked)
    if asked.json:
        import json

        print(json.dumps([event_to_json(each) for each in placed], ensure_ascii=False))
    else:
        seconds = float(beats * 60 / chosen.tempo_bpm)
        counted_in = f"after {performance.count_in_beats} beats of count-in"
        print(f"{asked.out}: {chosen.score.pattern.text}, {seconds:.1f} s {counted_in}.")
    return 0


def to_performance(chosen: Chosen, asked: argparse.Namespace, settings: Settings) -> tuple[Performance, Fraction]:
    """The performance asked for, and how many beats of it after the count-in.

    The file starts with the count-in's first beat, so the first throw's second is count-in × 60 / tempo.
    """
    count_in = settings.count_in_beats
    if asked.count_in is not None:
        count_in = text_to_whole(asked.count_in, "a count-in", 0, MOST_COUNT_IN)
    beats = _length_beats(asked, chosen)
    hear = require_one_of(asked.hear or settings.heard, "--hear", tuple(Hear))
    kit = find_kit(asked.kit or settings.kit, (places().sounds, bundled("sounds")))
    goals = Goals.of(chosen.score)
    return (
        Performance(
            chosen.score,
            TempoMap.steady(chosen.tempo_bpm, -count_in),
            Bank(kit, RATE_HZ),
            count_in * 60 / chosen.tempo_bpm,
            count_in,
            ((goals.flash, "flash"), (goals.qualify, "qualify")),
            hear=Hear(hear),
        ),
        beats,
    )


def _length_beats(asked: argparse.Namespace, chosen: Chosen) -> Fraction:
    beats_a_second = chosen.tempo_bpm / 60
    if asked.beats is not None:
        beats = text_to_fraction(asked.beats, "a number of beats")
    elif asked.rounds is not None:
        beats = text_to_fraction(asked.rounds, "a number of rounds") * chosen.score.pattern.round
    elif asked.seconds is not None:
        beats = text_to_fraction(asked.seconds, "a length in seconds") * beats_a_second
    else:
        beats = USUAL_S * beats_a_second
    if not 0 < beats <= LONGEST_S * beats_a_second:
        raise TempoError(
            f"The length came to {float(beats / beats_a_second):.6g} s; choose one above 0, up to 6 hours."
        )
    return beats


def _write(
    path: Path, performance: Performance, events: list[PlacedEvent], beats: Fraction, asked: argparse.Namespace
) -> None:
    """The file: to the end of the last beat, and on until the last sound has rung out."""
    bank = performance.bank
    placed = [Placed(each.at_frame, each.voice) for each in events if each.voice is not None]
    rung_out = max((sound.at_frame + len(bank[sound.voice]) for sound in placed), default=0)
    stop_frame = max(performance.frame_at(beats), rung_out)
    with open_wav(path, RATE_HZ, existing=Existing.REPLACE if asked.force else Existing.REFUSE) as file:
        for block in blocks(placed, bank, 0, stop_frame):
            file.write(block)


def event_to_json(placed: PlacedEvent) -> dict[str, Any]:
    """One event as JSON: beats from the first throw (negative in the count-in), jugglers from 1."""
    event = placed.event
    return {
        "at_frame": placed.at_frame,
        "beat": int(event.beat) if event.beat.denominator == 1 else str(event.beat),
        "kind": event.kind.value,
        "voice": placed.voice.role if placed.voice else None,
        "juggler": event.juggler + 1,
        "hand": event.hand.value if event.hand else None,
        "value": event.value,
    }
