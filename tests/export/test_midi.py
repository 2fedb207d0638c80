"""MIDI hand-outs (Standard MIDI Files 1.0), read back by mido: every note on its exact second, hand by hand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from random import Random

import mido
import pytest

from tests.bundled import KITS
from tests.export.passages import passage
from tests.export.reckoned import KINDS, Reckoned, random_pattern
from trainer.audio.hearing import Hear
from trainer.export.midi import MOST_TICKS, Grid, quarter_ticks, role_to_notes, tempo_steps, to_grid, write_midi
from trainer.export.passage import Passage
from trainer.files.whole import Existing
from trainer.timing.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class Note:
    """A note as mido reads it: the track's name, its tick and exact second, the note, its channel."""

    track: str
    tick: int
    second: Fraction
    note: int
    channel: int


def written(what: Passage, folder: Path) -> mido.MidiFile:
    write_midi(folder / "x.mid", what, Existing.REPLACE)
    return mido.MidiFile(folder / "x.mid")


def notes(file: mido.MidiFile) -> list[Note]:
    """Every note that begins, its second added up through the tempo map in whole microseconds."""
    tick, tempos = 0, []
    for message in file.tracks[0]:
        tick += message.time
        if message.type == "set_tempo":
            tempos.append((tick, message.tempo))
    found = []
    for track in file.tracks[1:]:
        tick, second, coming, tempo = 0, Fraction(0), list(tempos), 500_000
        for message in track:
            to = tick + message.time
            while coming and coming[0][0] <= to:
                second += Fraction((coming[0][0] - tick) * tempo, file.ticks_per_beat * 1_000_000)
                tick, tempo = coming.pop(0)
            second += Fraction((to - tick) * tempo, file.ticks_per_beat * 1_000_000)
            tick = to
            if message.type == "note_on" and message.velocity:
                found.append(Note(track.name, tick, second, message.note, message.channel))
    return found


def track_of(pattern: Reckoned, juggler: int, hand: str, kind: str) -> str:
    who = f"juggler {juggler + 1}, " if pattern.kind == "passing" else ""
    return who + {"R": "right hand", "L": "left hand"}[hand] + (", catches" if kind == "catch" else "")


@pytest.mark.parametrize("kind", KINDS)
def test_every_throw_and_catch_is_in_its_hands_track_at_its_second(kind: str, tmp_path: Path) -> None:
    random = Random(f"notes of {kind}")
    for _ in range(5):
        pattern = random_pattern(random, kind)
        tempo, dwell = Fraction(random.randint(400, 4800), 11), random.choice((Fraction(2, 3), Fraction(13, 20)))
        count_in = random.randint(0, 4)
        file = written(passage(pattern.text, tempo, dwell, count_in, 30), tmp_path)
        due = sorted(
            (track_of(pattern, each.juggler, each.hand, each.kind), (each.beat + count_in) * 60 / tempo)
            for each in pattern.happenings(dwell, Fraction(30))
            if each.kind != "gap"
        )
        found = sorted((note.track, note.second) for note in notes(file) if "hand" in note.track)
        assert [track for track, _ in found] == [track for track, _ in due], pattern.text
        tick_s = 60 / tempo / file.ticks_per_beat
        worst = max(abs(second - exact) for (_, second), (_, exact) in zip(found, due, strict=True))
        assert worst <= tick_s / 2
        counted = [note.second for note in notes(file) if note.track == "count-in"]
        assert [round(second / (60 / tempo)) for second in counted] == list(range(count_in))


def test_the_ticks_of_thirds_are_whole(tmp_path: Path) -> None:
    """Pattern 3, dwell 2/3: thrown on each beat, caught 3 - 4/3 beats later; 480 ticks a beat, by hand."""
    found = notes(written(passage("3", Fraction(120), Fraction(2, 3), 1, 5), tmp_path))
    ticks = {track: [note.tick for note in found if note.track == track] for track in {each.track for each in found}}
    assert ticks == {
        "count-in": [0],
        "right hand": [480, 1440, 2400],
        "left hand": [960, 1920],
        "left hand, catches": [480 + 800, 480 + 1760],
        "right hand, catches": [480 + 1280, 480 + 2240],
        "cues": [480 + 1760],  # the flash, with the third catch
    }


def is_exact(passage: Passage) -> bool:
    """Whether every event falls on a whole tick."""
    score = passage.performance.score
    ticks = to_grid(passage).beat_ticks
    return all((offset * ticks).denominator == 1 for offset, _ in score.catch_cells)


@pytest.mark.parametrize(
    ("dwell", "ticks"),
    [
        ("2/3", 480),  # thirds of a beat
        ("1/2", 480),
        ("0.65", 480),  # twentieths
        ("5/7", 3360),  # sevenths: 480 × 7
        ("0.655", 2400),  # two hundredths
        ("36/73", 73 * 7),  # 73 × 480 is more than a file can say: the least of its multiples from 480 up
        ("3001/5003", 5003),
    ],
)
def test_ticks_of_a_beat_fit_the_dwell_ratio(dwell: str, ticks: int) -> None:
    what = passage("531", Fraction(172), Fraction(dwell), 0, 4)
    assert quarter_ticks(what.performance.score) == ticks
    assert is_exact(what)


def test_a_dwell_ratio_finer_than_ticks_is_rounded_by_half_a_tick_at_most(tmp_path: Path) -> None:
    dwell, tempo = Fraction("0.66666701"), Fraction(172)
    what = passage("5", tempo, dwell, 0, 40)
    assert not is_exact(what)
    file = written(what, tmp_path)
    assert 480 <= file.ticks_per_beat <= MOST_TICKS
    found = sorted(note.second for note in notes(file) if note.track.endswith("catches"))
    due = [(beat + 5 - 2 * dwell) * 60 / tempo for beat in range(len(found))]
    tick_s = 60 / tempo / file.ticks_per_beat
    assert max(abs(one - other) for one, other in zip(found, due, strict=True)) <= tick_s
    assert len(found) == 37  # 5 - 4/3 beats later: the throws of beats 0 to 36 come down before beat 40


@pytest.mark.parametrize(
    ("tempo", "beats"),
    [("172", 10_320), ("171.3", 10_278), ("400/3", 8000), ("1", 60), ("3.5", 210), ("2000", 120_000), ("1999/7", 9000)],
)
def test_no_error_of_the_tempo_map_adds_up(tempo: str, beats: int) -> None:
    """An hour or so: whole microseconds a quarter note would be 2 ms off by then at 172 beats/min."""
    exact = TempoMap.steady(Fraction(tempo), -4)
    what = passage("3", Fraction(tempo), Fraction(2, 3), 4, beats)
    grid = to_grid(what)
    steps = [*tempo_steps(exact, -4, Fraction(beats), grid)]
    assert all(0 < tempo_us < 2**24 for _, tempo_us in steps)
    beat_s = 60 / Fraction(tempo)
    second, worst = Fraction(0), Fraction(0)
    for (beat, tempo_us), (following, _) in pairwise([*steps, (Fraction(beats), 0)]):
        for at in (beat, following):  # in between it is straight
            now = second + (at - beat) * grid.quarters * Fraction(tempo_us, 1_000_000)
            worst = max(worst, abs(now - (at + 4) * beat_s))
        second += (following - beat) * grid.quarters * Fraction(tempo_us, 1_000_000)
    assert worst <= max(beat_s / grid.beat_ticks / 4, Fraction(2 * grid.quarters, 1_000_000))
    assert len(steps) < beats / 50 + 2  # it changes seldom


def test_a_change_of_tempo_is_in_the_tempo_map() -> None:
    exact = TempoMap.steady(Fraction(120)).with_tempo(Fraction(8), Fraction(150))
    assert [*tempo_steps(exact, 0, Fraction(16), Grid(480, 1, 0))] == [(0, 500_000), (8, 400_000)]


def test_mido_says_how_long_it_is(tmp_path: Path) -> None:
    file = written(passage("531", Fraction("171.3"), Fraction(2, 3), 4, 200), tmp_path)
    assert file.type == 1
    assert file.length == pytest.approx(204 * 60 / 171.3, abs=0.001)


@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
@pytest.mark.parametrize("juggler", [0, 1, 5])
def test_notes_rise_as_the_kits_pitches_do(kit, juggler: int) -> None:  # type: ignore[no-untyped-def]
    for role, sound in kit.sounds.items():
        found = role_to_notes(kit, role, juggler)
        assert len(found) == 36
        assert 0 <= min(found) <= max(found) <= 127
        steps = [after - before for before, after in pairwise(found)]
        assert all(step > 0 for step in steps) if sound.rise else not any(steps)


def test_a_higher_throw_is_the_higher_note_of_its_hand(tmp_path: Path) -> None:
    found = notes(written(passage("97531", Fraction(200), Fraction(2, 3), 0, 20), tmp_path))
    right = sorted((note.tick, note.note) for note in found if note.track == "right hand")
    by_value = dict(zip([9, 5, 1, 7, 3], [note for _, note in right[:5]], strict=True))
    assert [by_value[value] for value in (3, 5, 7, 9)] == sorted({by_value[value] for value in (3, 5, 7, 9)})


@pytest.mark.parametrize("jugglers", [1, 2, 3, 6])
def test_each_juggler_has_a_pair_of_tracks_and_percussion_is_never_used(jugglers: int, tmp_path: Path) -> None:
    text = "3" if jugglers == 1 else "<" + "|".join(["3"] * jugglers) + ">"
    file = written(passage(text, Fraction(150), Fraction(2, 3), 2, 6), tmp_path)
    names = [track.name for track in file.tracks[1:]]
    assert len(names) == len(set(names)) == 2 + 4 * jugglers
    channels = [{message.channel for message in track if not message.is_meta} for track in file.tracks[1:]]
    assert all(len(each) == 1 and 9 not in each for each in channels)
    assert jugglers > 3 or len(set.union(*channels)) == len(names)


def test_notes_end_before_their_hand_plays_the_same_again(tmp_path: Path) -> None:
    for text in ("[33]", "5", "(4,4)", "<3p|3p>", "1", "[43]23"):
        for track in written(passage(text, Fraction(480), Fraction(2, 3), 2, 12), tmp_path).tracks:
            sounding: dict[int, int] = {}
            for message in track:
                if message.type == "note_on":
                    assert message.time == 0 or not sounding.get(message.note), text
                    sounding[message.note] = sounding.get(message.note, 0) + 1
                elif message.type == "note_off":
                    sounding[message.note] -= 1
            assert not any(sounding.values())


def test_what_is_not_to_be_heard_has_no_notes(tmp_path: Path) -> None:
    found = notes(written(passage("531", Fraction(150), Fraction(2, 3), 0, 12, Hear.CATCHES), tmp_path))
    assert {note.track for note in found} == {"cues", "right hand, catches", "left hand, catches"}
