"""Random patterns with every throw and catch reckoned afresh, from the notation's rules alone.

Nothing here comes from the trainer: a pattern is made as a permutation of the moments at which hands throw (Buhler,
Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519), its text is spelled from it, and each catch
falls n - r × min(n, 2) beats after its throw (Shannon's uniform juggle).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from random import Random

KINDS = ("async", "sync", "multiplex", "passing")
DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Toss:
    """One throw of the period; hand None where the beat decides it (right on even beats)."""

    beat: int
    juggler: int
    hand: str | None
    value: int
    to_juggler: int
    crosses: bool

    @property
    def held(self) -> bool:
        return self.value == 2 and not self.crosses and self.juggler == self.to_juggler

    @property
    def text(self) -> str:
        """As the notation spells it: x where one of two hands at once throws across, p for a pass."""
        across = "x" if self.hand and self.crosses else ""
        return DIGITS[self.value] + across + ("p" if self.juggler != self.to_juggler else "")


@dataclass(frozen=True, slots=True)
class Happening:
    """What has to be found in a hand-out: at an exact beat from the first throw; text as the notation spells it."""

    beat: Fraction
    kind: str
    juggler: int
    hand: str
    value: int
    text: str


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A pattern as text and as the throws of one period."""

    kind: str
    text: str
    period: int
    tosses: tuple[Toss, ...]

    @property
    def objects(self) -> int:
        return sum(toss.value for toss in self.tosses) // self.period

    def happenings(self, dwell: Fraction, stop_beat: Fraction) -> list[Happening]:
        """Throws, holds and gaps before stop_beat, and the catches of those throws that come before it too."""
        return sorted(self._happenings(dwell, stop_beat), key=lambda each: each.beat)

    def _happenings(self, dwell: Fraction, stop_beat: Fraction) -> Iterator[Happening]:
        for turn in range(-int(-stop_beat // self.period)):
            for toss in self.tosses:
                beat = turn * self.period + toss.beat
                if beat >= stop_beat:
                    continue
                hand = toss.hand or "RL"[beat % 2]
                kind = "gap" if toss.value == 0 else "hold" if toss.held else "throw"
                yield Happening(Fraction(beat), kind, toss.juggler, hand, toss.value, toss.text)
                caught = beat + toss.value - dwell * min(toss.value, 2)
                if kind == "throw" and caught < stop_beat:
                    lands = (
                        "RL"[(beat + toss.value) % 2]
                        if toss.hand is None
                        else ("RL"[toss.hand == "R"] if toss.crosses else toss.hand)
                    )
                    yield Happening(Fraction(caught), "catch", toss.to_juggler, lands, toss.value, toss.text)

    def goals(self) -> tuple[int, int]:
        """Catches of a flash and of a qualify: as many as objects, or as a round has (common practice), and twice."""
        in_round = sum(1 for toss in self.tosses if toss.value and not toss.held)
        flash = max(self.objects, in_round)
        return flash, 2 * flash


def random_pattern(random: Random, kind: str) -> Reckoned:
    """A pattern of a kind that has at least one throw that is caught."""
    while True:
        found = {"async": _async, "multiplex": _multiplex, "sync": _sync, "passing": _passing}[kind](random)
        if any(toss.value > 2 for toss in found.tosses):
            return found


def _async(random: Random) -> Reckoned:
    return _alternating(random, [1] * random.randint(1, 7), "async")


def _multiplex(random: Random) -> Reckoned:
    shares = [random.choice((1, 2)) for _ in range(random.randint(1, 5))]
    shares[random.randrange(len(shares))] = 2
    return _alternating(random, shares, "multiplex")


def _alternating(random: Random, shares: list[int], kind: str) -> Reckoned:
    """shares: how many throws leave at each beat."""
    period = len(shares)
    sources = [beat for beat, share in enumerate(shares) for _ in range(share)]
    tosses = []
    for source, target in zip(sources, random.sample(sources, len(sources)), strict=True):
        value = (target - source) % period + period * random.randint(0, 1)
        if value == 0 and shares[source] > 1:
            value = period
        tosses.append(Toss(source, 0, None, value, 0, value % 2 == 1))
    slots = ["".join(DIGITS[toss.value] for toss in tosses if toss.beat == beat) for beat in range(period)]
    text = "".join(slot if len(slot) == 1 else f"[{slot}]" for slot in slots)
    return Reckoned(kind, text, period, tuple(tosses))


def _sync(random: Random) -> Reckoned:
    pairs = random.randint(1, 4)
    sources = [(pair, hand) for pair in range(pairs) for hand in "RL"]
    tosses = {}
    for (pair, hand), (to_pair, to_hand) in zip(sources, random.sample(sources, len(sources)), strict=True):
        steps = (to_pair - pair) % pairs + pairs * random.randint(0, 1)
        if steps == 0 and hand != to_hand:
            steps = pairs
        tosses[pair, hand] = Toss(2 * pair, 0, hand, 2 * steps, 0, hand != to_hand)

    # the right hand's cell is written first, as the right hand begins elsewhere
    text = "".join(f"({tosses[pair, 'R'].text},{tosses[pair, 'L'].text})" for pair in range(pairs))
    return Reckoned("sync", text, 2 * pairs, tuple(tosses.values()))


def _passing(random: Random) -> Reckoned:
    period = random.randint(1, 5)
    sources = [(beat, juggler) for juggler in range(2) for beat in range(period)]
    tosses = []
    for (beat, juggler), (to_beat, to_juggler) in zip(sources, random.sample(sources, len(sources)), strict=True):
        value = (to_beat - beat) % period + period * random.randint(0, 1)
        if value == 0 and juggler != to_juggler:
            value = period
        tosses.append(Toss(beat, juggler, None, value, to_juggler, value % 2 == 1))
    lines = [" ".join(toss.text for toss in tosses if toss.juggler == juggler) for juggler in range(2)]
    return Reckoned("passing", f"<{lines[0]}|{lines[1]}>", period, tuple(tosses))
