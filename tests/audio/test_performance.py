"""The performance: exact frames at any tempo and after an hour, the right sound for each event, any cutting alike."""

from __future__ import annotations

import gc
from dataclasses import replace
from fractions import Fraction
from math import floor
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.io import wavfile
from scipy.signal import correlate

from tests.audio.banks import BANKS, RATE_HZ
from tests.bundled import KITS
from trainer.audio import synth
from trainer.audio.hearing import Hear, Hearing
from trainer.audio.kit import DEFAULT_KIT, ROLES, Kit
from trainer.audio.performance import Performance, event_to_role
from trainer.audio.render import KNEE, PlacedSound
from trainer.audio.synth import Bank, Voice
from trainer.audio.wav import open_wav
from trainer.siteswap.families import parse_any
from trainer.siteswap.throws import Hand
from trainer.timing.counting import Goals
from trainer.timing.score import Event, EventKind, Score, Twos
from trainer.timing.tempo import TempoMap

FULL_SCALE = 32767
BANK = BANKS[DEFAULT_KIT]
PATTERNS = ("3", "531", "(4,4)", "(4x,2x)", "[43]23", "<3p 3|3p 3>", "97531", "501", "42")
TEMPI = st.fractions(20, 600, max_denominator=1000)


def performance(
    pattern: str, tempo_bpm: Fraction | int, count_in: int = 4, hear: Hear = Hear.THROWS, bank: Bank = BANK
) -> Performance:
    score = Score(parse_any(pattern))
    goals = Goals.of(score)
    return Performance(
        score,
        TempoMap.steady(Fraction(tempo_bpm), -count_in),
        bank,
        count_in * 60 / Fraction(tempo_bpm),
        count_in,
        ((goals.flash, "flash"), (goals.qualify, "qualify")),
        hearing=Hearing(hear),
    )


def half_up(beats: Fraction | int, tempo_bpm: Fraction) -> int:
    """A beat's frame in whole numbers alone: (2·60·rate·beats + tempo) // (2·tempo), written out as a fraction."""
    exact = Fraction(60 * RATE_HZ) * beats / tempo_bpm
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)


# -- frames ---------------------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(TEMPI, st.integers(0, 8), st.fractions(0, 36_000, max_denominator=60))
def test_a_beats_frame_is_its_exact_second_rounded_half_up(tempo_bpm: Fraction, count_in: int, beat: Fraction) -> None:
    assert performance("3", tempo_bpm, count_in).frame_at(beat) == half_up(beat + count_in, tempo_bpm)


@pytest.mark.parametrize(
    "tempo_bpm", [Fraction(60), Fraction(172), Fraction(480), Fraction("172.5"), Fraction(1000, 7)]
)
def test_an_hour_on_every_placed_event_is_as_exact_as_at_the_start(tempo_bpm: Fraction) -> None:
    played = performance("531", tempo_bpm)
    hour = floor(60 * tempo_bpm)
    for start in (-4, hour // 2, hour):
        placed = list(played.placed_events(start, start + 50))
        assert len(placed) > 50
        assert [each.at_frame for each in placed] == [half_up(each.event.beat + 4, tempo_bpm) for each in placed]


def test_half_a_frame_rounds_up() -> None:
    # 60·44100/T frames a beat: at 240,000/… choose the tempo at which a beat lasts n + 1/2 frames
    tempo_bpm = Fraction(60 * RATE_HZ) / (Fraction(22_050) + Fraction(1, 2))
    assert performance("3", tempo_bpm, 0).frame_at(1) == 22_051


@pytest.mark.parametrize("tempo_bpm", [Fraction(172), Fraction(1000, 7)])
def test_each_hand_has_a_stream_of_its_own_in_antiphase_with_the_others(tempo_bpm: Fraction) -> None:
    """Left and right clicks, each even, each midway between the other hand's, and on its own side.

    Such a beat made juggling less variable than one undivided stream. Source: Zelic, Mottet, Lagarde, PLoS ONE 7(3)
    e32308, 2012.
    """
    played = performance("3", tempo_bpm)
    frames: dict[Hand | None, list[int]] = {Hand.RIGHT: [], Hand.LEFT: []}
    for placed in played.placed_events(0, 400):
        if placed.event.kind is EventKind.THROW:
            frames[placed.event.hand].append(placed.at_frame)
    cycle = float(2 * 60 * RATE_HZ / tempo_bpm)
    for own, other in ((Hand.RIGHT, Hand.LEFT), (Hand.LEFT, Hand.RIGHT)):
        assert len(frames[own]) == 200
        assert np.diff(frames[own]) == pytest.approx(cycle, abs=1)
        midway = [min(abs(frame + cycle / 2 - each) for each in frames[other]) for frame in frames[own][:-1]]
        assert max(midway) <= 1, "half a hand cycle later the other hand clicks"
    right, left = (np.abs(BANK[Voice(side, 3, hand)]).sum(axis=0) for side, hand in (("right", "R"), ("left", "L")))
    assert right[1] > right[0], "the right hand to the right"
    assert left[0] > left[1], "the left hand to the left"


@example(Fraction(270890, 903), [(1.7646713130806257, Fraction(262153, 625)), (1.751953125, Fraction(20))])
@settings(max_examples=50)
@given(TEMPI, st.lists(st.tuples(st.floats(0.01, 3), TEMPI), min_size=1, max_size=6))
def test_a_tempo_change_never_moves_a_beat_already_rendered(
    tempo_bpm: Fraction, changes: list[tuple[float, Fraction]]
) -> None:
    played, at_frame = performance("3", tempo_bpm), 0
    for wait_s, other_bpm in changes:
        at_frame += round(wait_s * RATE_HZ)
        changed = played.with_tempo(other_bpm, at_frame)
        last = max(-4, floor(played.beat_at(at_frame)))
        for beat in range(-4, last + 1):
            if played.frame_at(beat) < at_frame:
                assert changed.frame_at(beat) == played.frame_at(beat)
        next_beat = next(beat for beat in range(-4, last + 3) if played.frame_at(beat) >= at_frame)
        assert changed.frame_at(next_beat) == played.frame_at(next_beat)
        span = changed.frame_at(next_beat + 10) - changed.frame_at(next_beat)
        assert span == pytest.approx(float(600 * RATE_HZ / other_bpm), abs=1)
        played = changed


@settings(max_examples=50)
@given(TEMPI, st.integers(-4, 2000))
def test_the_beat_at_a_beats_frame_is_that_beat_to_half_a_frame(tempo_bpm: Fraction, beat: int) -> None:
    played = performance("3", tempo_bpm)
    assert abs(played.beat_at(played.frame_at(beat)) - beat) <= tempo_bpm / 60 / RATE_HZ / 2


# -- blocks ---------------------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(
    st.sampled_from(PATTERNS),
    st.integers(40, 600),
    st.lists(st.integers(1, 9000), min_size=1, max_size=12),
    st.integers(0, 60_000),
    st.sampled_from(Hear),
    st.sampled_from(["plain", "stopped", "cue", "tempo", "dwell"]),
)
def test_any_cutting_gives_the_same_frames(
    pattern: str, tempo_bpm: int, cuts: list[int], start: int, hear: Hear, what: str
) -> None:
    played = performance(pattern, tempo_bpm, 2, hear)
    played = {
        "plain": lambda: played,
        "stopped": lambda: played.stopped(start + 5000),
        "cue": lambda: played.with_cues((PlacedSound(start + 3000, Voice("drop")),), start + 3000),
        "tempo": lambda: played.with_tempo(Fraction(333), start),
        "dwell": lambda: played.with_score(Score(played.score.pattern, Fraction(1, 3))),
    }[what]()
    total = sum(cuts)
    whole = played.render(start, total)
    parts, at = [], start
    for cut in cuts:
        parts.append(played.render(at, cut))
        at += cut
    assert np.array_equal(whole, np.concatenate(parts))


def test_frames_do_not_depend_on_what_was_asked_for_before() -> None:
    played = performance("531", 300)
    first = played.render(50_000, 4000)
    played.render(40 * RATE_HZ, 4000)
    assert np.array_equal(played.render(50_000, 4000), first)


def test_memory_stays_as_it_is_over_a_long_run() -> None:
    played = performance("531", 480)

    def kept_after(seconds: range) -> int:
        for second in seconds:
            played.render(second * RATE_HZ, 2048)
        return sum(isinstance(each, PlacedSound) for each in gc.get_objects())

    early = kept_after(range(0, 300, 5))
    assert early > 0
    assert kept_after(range(300, 600, 5)) < early + 20


def test_what_has_begun_rings_out_after_a_stop_and_nothing_begins() -> None:
    played = performance("3", 240, 0)
    beat_frames = 60 * RATE_HZ // 240
    stop = 2 * beat_frames + 500
    stopped = played.stopped(stop)
    assert np.array_equal(stopped.render(0, 3 * beat_frames), played.render(0, 3 * beat_frames))
    assert stopped.render(stop, 500).any(), "the sound of beat 2 is still heard"
    assert not stopped.render(stop + BANK.longest_frames, RATE_HZ).any()
    later = 6 * beat_frames + BANK.longest_frames
    assert np.array_equal(stopped.resumed().render(later, 5000), played.render(later, 5000))


def test_an_earlier_stop_stands() -> None:
    assert performance("3", 240).stopped(1000).stopped(5000).stop_frame == 1000


# -- what sounds ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    # the k-th catch, by hand, at dwell 2/3: catch at t + n − 2/3 · min(n, 2)
    ("pattern", "flash_beat", "qualify_beat"),
    [
        ("3", Fraction(2) + Fraction(5, 3), Fraction(5) + Fraction(5, 3)),  # throws on 0 1 2 …; flash 3, qualify 6
        ("4", Fraction(3) + Fraction(8, 3), Fraction(7) + Fraction(8, 3)),  # flash 4, qualify 8
        ("(4,4)", Fraction(2) + Fraction(8, 3), Fraction(6) + Fraction(8, 3)),  # two catches every other beat
    ],
)
def test_goals_sound_at_their_catch(pattern: str, flash_beat: Fraction, qualify_beat: Fraction) -> None:
    goals = [event for event in performance(pattern, 200).events(0, 30) if event.kind is EventKind.GOAL]
    assert [(goal.name, goal.beat) for goal in goals] == [("flash", flash_beat), ("qualify", qualify_beat)]


@pytest.mark.parametrize("pattern", PATTERNS)
def test_goals_sound_with_the_catch_of_their_number(pattern: str) -> None:
    played = performance(pattern, 200)
    catches = [event.beat for event in played.events(0, 100) if event.kind is EventKind.CATCH]
    for event in played.events(0, 100):
        if event.kind is EventKind.GOAL:
            number = {name: catch for catch, name in played.goals}[event.name]
            assert event.beat == catches[number - 1]


@pytest.mark.parametrize(
    ("pattern", "twos", "roles"),
    [
        ("3", Twos.HELD, ["right", "left", "right", "left", "right", "left"]),
        ("531", Twos.HELD, ["right", "left", "zip", "left", "right", "zip"]),
        ("501", Twos.HELD, ["right", "gap", "zip", "left", "gap", "zip"]),
        ("42", Twos.HELD, ["right", "hold", "right", "hold", "right", "hold"]),
        ("42", Twos.ACTIVE, ["right", "left", "right", "left", "right", "left"]),
        ("(4x,2x)", Twos.HELD, ["right", "zip", "right", "zip", "right", "zip"]),
        ("(2,4)", Twos.HELD, ["left", "hold", "left", "hold", "left", "hold"]),
        ("[43]23", Twos.HELD, ["right", "right", "hold", "right", "left", "left", "hold", "left"]),
    ],
)
def test_which_role_a_throw_sounds_as(pattern: str, twos: Twos, roles: list[str]) -> None:
    score = Score(parse_any(pattern), twos=twos)
    kinds = (EventKind.THROW, EventKind.HOLD, EventKind.GAP)
    found = [event_to_role(event, score) for event in score.events(0, 6) if event.kind in kinds]
    assert found == roles


@pytest.mark.parametrize(
    ("kind", "role"),
    [
        (EventKind.COUNT_IN, "count-in"),
        (EventKind.ROUND, "round"),
        (EventKind.CATCH, "catch"),
        (EventKind.HOLD, "hold"),
    ],
)
def test_other_events_sound_as_what_they_are(kind: EventKind, role: str) -> None:
    assert event_to_role(Event(Fraction(0), kind, hand=Hand.RIGHT), Score(parse_any("3"))) == role


def test_the_goal_sounds_as_its_name() -> None:
    assert event_to_role(Event(Fraction(0), EventKind.GOAL, name="qualify"), Score(parse_any("3"))) == "qualify"


@pytest.mark.parametrize(
    ("hear", "thrown", "caught"), [(Hear.THROWS, True, False), (Hear.CATCHES, False, True), (Hear.BOTH, True, True)]
)
@pytest.mark.parametrize("bank", BANKS.values(), ids=BANKS)
def test_throws_catches_or_both_are_heard(bank: Bank, hear: Hear, thrown: bool, caught: bool) -> None:
    played = performance("531", 200, hear=hear, bank=bank)
    heard = {placed.event.kind: placed.voice is not None for placed in played.placed_events(0, 12)}
    assert heard[EventKind.THROW] is thrown
    assert heard[EventKind.CATCH] is (caught and not bank.kit.is_silent("catch"))
    assert heard[EventKind.GOAL]


def test_the_voice_has_value_hand_and_juggler_and_a_round_has_none() -> None:
    played = performance("<3p 3|3p 3>", 200)
    voices = {played.voice_of(event) for event in played.events(0, 2) if event.kind is EventKind.THROW}
    assert voices == {Voice(role, 3, role[0].upper(), juggler) for role in ("right", "left") for juggler in (0, 1)}
    rounds = [played.voice_of(event) for event in performance("531", 200).events(0, 7) if event.kind is EventKind.ROUND]
    assert [voice.hand if voice else "silent" for voice in rounds] in ([None] * 3, ["silent"] * 3)


@pytest.mark.parametrize(("pattern", "heard"), [("3", False), ("(4,4)", False), ("531", True)])
def test_a_round_of_one_or_two_beats_is_not_told(pattern: str, heard: bool) -> None:
    played = performance(pattern, 200)
    rounds = [played.voice_of(event) for event in played.events(0, 12) if event.kind is EventKind.ROUND]
    assert rounds
    assert all((voice is not None) is heard for voice in rounds)


# -- the file, found again by ear -----------------------------------------------------------------------------


def random_siteswap(dice: Random) -> str:
    """A valid async siteswap: a permutation of the landing beats, made higher by whole periods (Buhler et al.)."""
    while True:
        period = dice.randint(1, 6)
        landing = dice.sample(range(period), period)
        throws = [(to - at) % period + period * dice.randint(0, 2) for at, to in enumerate(landing)]
        if sum(throws) // period >= 2 and max(throws) <= 11:
            return "".join("0123456789ab"[value] for value in throws)


def onset_deviations(played: Performance, heard: np.ndarray, beats: int) -> list[int]:
    """Frames by which each count-in beat and throw lies off its exact place, where it is found by its own sound.

    All that sounds on one frame is looked for together: one throw alone may drown in the other hand's. A held 2
    or a 1 alone is left out: their sounds begin too softly to be located to the frame beside one that rings on.
    So is what another sound follows or precedes too closely.
    """
    together: dict[int, list[Voice]] = {}
    sharp = set()
    for placed in played.placed_events(-4, beats):
        if placed.voice is not None:
            exact = half_up(placed.event.beat + 4, played.tempo.segments[0].tempo_bpm)
            together.setdefault(exact, []).append(placed.voice)
            if placed.voice.role in ("count-in", "right", "left"):
                sharp.add(exact)
    found = []
    alone = {at for at in sharp if not any(0 < abs(other - at) < 600 for other in together)}
    assert len(alone) > len(sharp) // 3
    for at_frame in sorted(alone):
        voices = together[at_frame]
        template = np.zeros((600, 2), np.float32)
        for voice in voices:
            part = played.bank[voice][:600]
            template[: len(part)] += part
        around = heard[max(at_frame - 30, 0) : at_frame + 630].astype(np.float32)
        before = heard[max(at_frame - 31, 0) : at_frame + 629].astype(np.float32)
        # The difference from frame to frame: what rings on from before is smooth, an onset is not.
        change = around - before[: len(around)] if len(before) == len(around) else np.diff(around, axis=0, prepend=0)
        edge = np.diff(template, axis=0, prepend=np.float32(0))
        match = sum(correlate(change[:, side], edge[:, side], "valid") for side in (0, 1))
        energy = sum(correlate(change[:, side] ** 2, np.ones(600, np.float32), "valid") for side in (0, 1))
        best = int(np.argmin(energy - 2 * FULL_SCALE * match))  # where least is left when the sound is taken away
        found.append(best - min(at_frame, 30))
    return found


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("tempo_bpm", [Fraction(60), Fraction(172), Fraction(2411, 7)])
def test_the_stream_is_each_sound_added_at_its_exact_frame(pattern: str, tempo_bpm: Fraction) -> None:
    played = performance(pattern, tempo_bpm, hear=Hear.BOTH)
    stop_frame = half_up(12, tempo_bpm)
    total = np.zeros((stop_frame + BANK.longest_frames, 2))
    for event in played.events(-4, 8):
        voice = played.voice_of(event)
        if voice is not None:
            at_frame = half_up(event.beat + 4, tempo_bpm)
            total[at_frame : at_frame + len(BANK[voice])] += BANK[voice]
    bent = np.abs(total[:stop_frame]) > KNEE  # from there on the ceiling has a say
    assert bent.mean() < 0.2
    assert np.allclose(
        np.where(bent, 0, played.render(0, stop_frame)), np.where(bent, 0, total[:stop_frame]), atol=1e-6
    )


def written_and_read(played: Performance, beats: int, path: Path) -> np.ndarray:
    with open_wav(path, RATE_HZ) as file:
        for start in range(0, played.frame_at(beats), 8192):
            file.write(played.render(start, 8192))
    rate_hz, heard = wavfile.read(path)
    assert (rate_hz, heard.dtype, heard.shape[1]) == (RATE_HZ, np.int16, 2)
    return heard


@pytest.mark.parametrize("seed", [*range(30), *(pytest.param(seed, marks=pytest.mark.live) for seed in range(30, 230))])
def test_each_onset_in_the_file_is_where_the_exact_second_says(tmp_path: Path, seed: int) -> None:
    dice = Random(seed)
    pattern = random_siteswap(dice) if seed >= len(PATTERNS) else PATTERNS[seed]
    tempo_bpm = Fraction(dice.randint(40 * 7, 480 * 7), 7)
    played = replace(performance(pattern, tempo_bpm), goals=())  # their tunes have notes that begin anywhere
    heard = written_and_read(played, 12, tmp_path / "heard.wav")
    deviations = onset_deviations(played, heard, 11)
    assert max(map(abs, deviations)) <= 1, (pattern, tempo_bpm, deviations)


@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
def test_whatever_may_sound_in_a_run_is_made_before_it(kit: Kit, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sound that is made while a block is rendered keeps that block waiting."""
    bank = Bank(kit, RATE_HZ)
    Performance.steady(Score(parse_any("531")), Fraction(240), bank, 4).prepare()
    thrown = {"right", "left", "zip", "hold", "gap", "catch", "round", "floor", "step", "entry", "up", "down"}
    waiting = [role for role in ROLES if role not in thrown and not kit.is_silent(role)]
    assert {"goal", "target", "rung-up", "rung-down"} <= {*waiting} | {role for role in ROLES if kit.is_silent(role)}
    monkeypatch.setattr(synth, "voice_to_samples", lambda voice, *_: pytest.fail(f"{voice} was not made"))
    for role in waiting:
        assert len(bank[Voice(role)])
