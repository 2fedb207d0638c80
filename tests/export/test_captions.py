"""Captions, read back by other readers: WebVTT (W3C) by webvtt-py, SRT by srt."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from math import floor
from pathlib import Path
from random import Random

import pytest
import srt
import webvtt

from tests.export.passages import passage
from tests.export.reckoned import KINDS, Reckoned, random_pattern
from trainer.export.captions import ms_to_text, write_srt, write_vtt
from trainer.export.passage import Passage
from trainer.files.whole import Existing

AFTERWARDS = {"throw": "", "hold": " held", "gap": " empty"}


@dataclass(frozen=True, slots=True)
class Read:
    """A caption as another reader gives it."""

    start_ms: int
    stop_ms: int
    lines: tuple[str, ...]


def text_to_ms(text: str) -> int:
    """01:02:03.004 by hand."""
    hours, minutes, seconds = text.split(":")
    return (int(hours) * 60 + int(minutes)) * 60_000 + int(seconds.replace(".", ""))


def read_vtt(what: Passage, folder: Path) -> list[Read]:
    write_vtt(folder / "x.vtt", what, Existing.REPLACE)
    return [
        Read(text_to_ms(each.start), text_to_ms(each.end), tuple(each.lines))
        for each in webvtt.read(str(folder / "x.vtt")).captions
    ]


def read_srt(what: Passage, folder: Path) -> list[Read]:
    write_srt(folder / "x.srt", what, Existing.REPLACE)
    found = list(srt.parse((folder / "x.srt").read_text(encoding="utf-8")))
    assert [each.index for each in found] == list(range(1, len(found) + 1))
    ms = timedelta(milliseconds=1)
    return [Read(each.start // ms, each.end // ms, tuple(each.content.splitlines())) for each in found]


def due(pattern: Reckoned, tempo: Fraction, dwell: Fraction, count_in: int, beats: int) -> dict[int, list[str]]:
    """Millisecond → what the caption that begins then has to say, the count of catches last."""
    happenings = pattern.happenings(dwell, Fraction(beats))

    def ms_at(beat: Fraction | int) -> int:
        return floor((beat + count_in) * 60_000 / tempo + Fraction(1, 2))

    found: dict[int, list[str]] = {ms_at(n - count_in): [f"count-in {n + 1} of {count_in}"] for n in range(count_in)}
    catches = sorted(ms_at(each.beat) for each in happenings if each.kind == "catch")
    hands = defaultdict(list)
    for each in happenings:
        if each.kind != "catch":
            hands[ms_at(each.beat), each.juggler, each.hand].append(each)
    for (at_ms, juggler, hand), at_once in hands.items():
        texts = [each.text for each in at_once]
        said = texts[0] + AFTERWARDS[at_once[0].kind] if len(texts) == 1 else f"[{''.join(texts)}]"
        who = f"juggler {juggler + 1}: " if pattern.kind == "passing" else ""
        found.setdefault(at_ms, []).append(f"{who}{'right' if hand == 'R' else 'left'} {said}")
    for at_ms in {*catches, *(at_ms for at_ms, _, _ in hands)}:
        number = sum(each <= at_ms for each in catches)
        found.setdefault(at_ms, []).append(f"{number} catch" if number == 1 else f"{number} catches")
    return found


@pytest.mark.parametrize("read", [read_vtt, read_srt])
@pytest.mark.parametrize("kind", KINDS)
def test_each_throw_and_each_count_is_read_at_its_time(kind: str, read, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    random = Random(f"captions of {kind}")
    for _ in range(6):
        pattern = random_pattern(random, kind)
        tempo, dwell = Fraction(random.randint(400, 5000), 11), random.choice((Fraction(2, 3), Fraction(1, 2)))
        count_in = random.randint(0, 4)
        found = read(passage(pattern.text, tempo, dwell, count_in, 24), tmp_path)
        wanted = due(pattern, tempo, dwell, count_in, 24)
        assert [each.start_ms for each in found] == sorted(wanted), pattern.text
        for caption in found:
            *thrown, count = wanted[caption.start_ms]
            assert set(thrown) <= {part for line in caption.lines for part in split(line)}, (pattern.text, caption)
            assert caption.lines[-1].split(",")[0] == count, (pattern.text, caption)


def split(line: str) -> list[str]:
    """Both hands of a line, each with its juggler."""
    who, _, hands = line.rpartition(": ")
    return [f"{who}: {hand}" if who else hand for hand in hands.split(" · ")]


@pytest.mark.parametrize("read", [read_vtt, read_srt])
def test_captions_follow_each_other_without_gap_or_overlap(read, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """At 2000 a minute and a dwell of 0.501 a throw and a catch lie 0.06 ms apart: one caption then."""
    for tempo, dwell in ((Fraction(172), Fraction(2, 3)), (Fraction(2000), Fraction("0.501"))):
        found = read(passage("531", tempo, dwell, 2, 100), tmp_path)
        assert found[0].start_ms == 0
        assert all(one.stop_ms == other.start_ms for one, other in pairwise(found))
        assert all(each.start_ms < each.stop_ms for each in found)
        assert found[-1].stop_ms == max(floor(102 * 60_000 / tempo + Fraction(1, 2)), found[-1].start_ms + 1)


def test_flash_and_qualify_are_told_from_their_catch_on(tmp_path: Path) -> None:
    """3-cascade: flash 3, qualify 6 catches (common practice)."""
    found = read_vtt(passage("3", Fraction(150), Fraction(2, 3), 0, 12), tmp_path)
    told = {caption.lines[-1] for caption in found}
    assert {"2 catches", "3 catches, flash", "5 catches, flash", "6 catches, qualify", "7 catches, qualify"} <= told
    assert not {"3 catches", "6 catches, flash"} & told


def test_the_same_captions_in_both_kinds(tmp_path: Path) -> None:
    what = passage("<4p 3|3 4p>", Fraction(180), Fraction(2, 3), 4, 40)
    assert read_vtt(what, tmp_path) == read_srt(what, tmp_path)


def test_you_should_see(tmp_path: Path) -> None:
    """You should see a count of two, both hands at once, then the first catch two thirds of a beat later."""
    write_vtt(tmp_path / "x.vtt", passage("(4,2x)(2x,4)", Fraction(120), Fraction(2, 3), 2, 1), Existing.REFUSE)
    assert (tmp_path / "x.vtt").read_bytes().decode() == (
        "WEBVTT\n\nNOTE (4,2x)(2x,4)\n"
        "\nbeat -2\n00:00:00.000 --> 00:00:00.500\ncount-in 1 of 2\n"
        "\nbeat -1\n00:00:00.500 --> 00:00:01.000\ncount-in 2 of 2\n"
        "\nbeat 0\n00:00:01.000 --> 00:00:01.333\nright 4 · left 2x\n0 catches\n"
        "\nbeat 2/3\n00:00:01.333 --> 00:00:01.500\nright 4 · left 2x\n1 catch\n"
    )


@pytest.mark.parametrize(
    ("ms", "text"),
    [(0, "00:00:00.000"), (61_001, "00:01:01.001"), (3_600_000, "01:00:00.000"), (86_399_999, "23:59:59.999")],
)
def test_times_are_written_as_clocks_show_them(ms: int, text: str) -> None:
    assert ms_to_text(ms, ".") == text
