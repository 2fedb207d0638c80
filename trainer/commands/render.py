"""The command render: a pattern's beat as a file of sound, notes, captions or events, and its events as JSON."""

from __future__ import annotations

import argparse
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from trainer.audio.hearing import Hear, Hearing
from trainer.audio.kitfiles import find_kit
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.audio.wav import Depth
from trainer.commands.asked import require_one_of, settings_of_command, text_to_whole, to_chosen
from trainer.commands.bar import shown, stoppable
from trainer.commands.terminal import tell
from trainer.commands.words import add_force, add_json, add_pattern, add_tempo, parser_of
from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.export.files import NOTES, RATES_HZ, SOUND, path_to_ending, write_handout
from trainer.export.passage import Passage
from trainer.export.tables import event_to_json
from trainer.files.places import bundled, places
from trainer.library.chosen import Chosen
from trainer.timing.tempo import TempoError, format_number, text_to_fraction

USUAL_S = 60
LONGEST_S = 6 * 3600
MOST_COUNT_IN = 64


RENDERED = """\
What the ending of FILE asks for:
  .wav   sound, stereo
  .mid   notes: the tempo map, a track for each hand's throws and one for its catches, one for the count-in
  .vtt   captions for a video (WebVTT): each throw's hand and value, and the catches so far, at their times
  .srt   the same captions (SRT)
  .csv   every event: at_s (seconds), at_frame (seconds × --rate, rounded half up), beat (from the first throw,
         whole or p/q), kind, voice (what sounds), juggler, hand, value (beats), object, catch (its number), goal
  .json  the same as a list, one event a line
A file that is there is kept unless --force is given; a render that is stopped leaves no half file."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("render", "Write the beat of a pattern to a file: sound, notes, captions or a table.", RENDERED)
    add_pattern(parser, "+")
    add_tempo(parser)
    parser.add_argument("--out", required=True, metavar="FILE", help="the file to write, by one of the endings below")
    add_force(parser)
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--beats", metavar="N", help="how long, in beats after the count-in")
    length.add_argument("--rounds", metavar="N", help="how long, in rounds of the pattern")
    length.add_argument("--seconds", metavar="S", help="how long, in seconds after the count-in (60)")
    parser.add_argument("--count-in", metavar="N", help="beats counted in before the first throw (4)")
    parser.add_argument("--kit", metavar="NAME", help="the kit of sounds")
    parser.add_argument("--hear", metavar="WHAT", help="throws, catches or both (throws; in a .mid file both)")
    parser.add_argument("--bits", metavar="N", help="of a .wav file: 16 or 24 (16)")
    parser.add_argument("--rate", metavar="HZ", help="frames a second: 44100 or 48000 (44100)")
    add_json(parser, "print every event with its frame as JSON")
    return parser


def run(asked: argparse.Namespace) -> int:
    path = Path(asked.out)
    ending, depth = path_to_ending(path), to_depth(asked)
    settings = settings_of_command()
    chosen = to_chosen(asked, settings)
    performance, beats = to_performance(chosen, asked, settings)
    title = f"{chosen.score.pattern.text}, {format_number(chosen.tempo_bpm)} beats/min"
    passage = Passage(performance, beats, title)
    with stoppable(), shown(path.name) as bar:
        write_handout(path, _to_written(passage, ending, asked), depth, asked.existing, bar)
    if asked.json:
        print_events(passage)
    else:
        seconds = float(beats * 60 / chosen.tempo_bpm)
        counted_in = f"after {performance.count_in_beats} beats of count-in"
        tell(f"{asked.out}: {chosen.score.pattern.text}, {seconds:.1f} s {counted_in}.")
    return 0


def to_depth(asked: argparse.Namespace) -> Depth:
    """The bits of a sample asked for; TrainerError if there is no such depth, or the file has no samples."""
    if asked.bits is None:
        return Depth.BITS_16
    depth = require_one_of(asked.bits, "--bits", tuple(str(depth.value) for depth in Depth))
    if path_to_ending(Path(asked.out)) != SOUND:
        raise TrainerError(f"--bits was given for {asked.out}; only a {SOUND} file has bits to choose. Leave it out.")
    return Depth(int(depth))


def _to_written(passage: Passage, ending: str, asked: argparse.Namespace) -> Passage:
    """The passage as the file has it: in a MIDI file catches can be muted, so they are in it unless refused."""
    if ending == NOTES and asked.hear is None:
        performance = passage.performance
        hearing = replace(performance.hearing, hear=Hear.BOTH)
        return replace(passage, performance=replace(performance, hearing=hearing))
    return passage


def print_events(passage: Passage) -> None:
    """Print the placed events as one JSON list, made and printed one by one."""
    import json

    before = "["
    for placed in passage.placed_events():
        tell(before + json.dumps(event_to_json(placed), ensure_ascii=False), end="")
        before = ", "
    tell("[]" if before == "[" else "]")


def to_performance(chosen: Chosen, asked: argparse.Namespace, settings: Settings) -> tuple[Performance, Fraction]:
    """The performance asked for, and how many beats of it after the count-in.

    The file starts with the count-in's first beat, so the first throw's second is count-in × 60 / tempo.
    """
    count_in = settings.count_in_beats
    if asked.count_in is not None:
        count_in = text_to_whole(asked.count_in, "a count-in", 0, MOST_COUNT_IN)
    beats = _length_beats(asked, chosen)
    rate_hz = int(require_one_of(asked.rate or str(RATES_HZ[0]), "--rate", tuple(map(str, RATES_HZ))))
    hear = require_one_of(asked.hear or settings.heard, "--hear", tuple(Hear))
    bank = Bank(find_kit(asked.kit or settings.kit, (places().sounds, bundled("sounds"))), rate_hz)
    hearing = Hearing(Hear(hear))
    return Performance.steady(chosen.score, chosen.tempo_bpm, bank, count_in, chosen.goals.named, hearing), beats


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
