"""Staircases climbed by simulated jugglers: how far the threshold is off, and how often its interval holds the truth.

    python tests/bench/climbs.py [RUNS]

Each juggler succeeds by a logistic curve in tempo that passes 70.7 % near 200 beats a minute: anew for each run from
195 to 205, so that no rung falls on it by chance. The start, the steps and the steepness vary. Beside the threshold
stands what Levitt's plain mean of the reversals and a t-interval of its pairs would have told.
"""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random
from statistics import mean, stdev

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from scipy.stats import t as student

from tests.practice.climbs.jugglers import Juggler, climbed, tempo_ladder
from trainer.practice.climbs.climb import STAIRCASE, Climb
from trainer.records.attempt import CountedBy

CASES: list[tuple[str, float, float, str | float, float]] = [
    # what it is, scale of the curve, start, step, stumbles
    ("very steep", 1, 170, 5, 0.0),
    ("very steep, large steps", 1, 170, 10, 0.0),
    ("steep", 4, 170, 5, 0.0),
    ("middling", 8, 170, 5, 0.0),
    ("middling, steps of 3 %", 8, 170, "3%", 0.0),
    ("middling, from far below", 8, 130, 5, 0.0),
    ("middling, from far above", 8, 260, 5, 0.0),
    ("middling, small steps", 8, 170, 2.5, 0.0),
    ("shallow", 15, 170, 5, 0.0),
    ("shallow, large steps", 15, 170, 10, 0.0),
    ("shallow, from far below", 15, 130, 5, 0.0),
    ("shallow, from above", 15, 230, 5, 0.0),
    ("very shallow", 25, 170, 5, 0.0),
    ("very shallow, large steps", 25, 170, 10, 0.0),
    ("steep, 3 % stumbles", 4, 170, 5, 0.03),
    ("shallow, 3 % stumbles", 15, 170, 5, 0.03),
]


def measure(scale: float, start: float, step: str | float, lapse: float, runs: int) -> tuple[float, ...]:
    """Bias and its error in percent, coverage, half width in percent, tries; bias and coverage of the plain mean."""
    chance = Random(1971)
    off, held, half, tries, plain, plain_held = [], [], [], [], [], []
    for _ in range(runs):
        juggler = Juggler(chance.uniform(195, 205), scale, lapse)
        climb = climbed(Climb(tempo_ladder(start, step), STAIRCASE, CountedBy.BEAT), juggler, chance)
        found, truth = climb.threshold, juggler.held_707
        assert found is not None
        assert found.reversals is not None
        off.append(100 * (found.tempo_bpm / truth - 1))
        held.append(found.low <= truth <= found.high)
        half.append(100 * found.spread / truth)
        tries.append(len(climb.tries))
        plain.append(100 * (found.reversals / truth - 1))
        turns = [float(climb.ladder.rung(each).tempo_bpm) for each in climb.reversals[2:]]
        pairs = [(one + other) / 2 for one, other in zip(turns[::2], turns[1::2], strict=True)]
        width = float(student.ppf(0.975, len(pairs) - 1)) * stdev(pairs) / len(pairs) ** 0.5
        plain_held.append(abs(found.reversals - truth) <= width)
    error = stdev(off) / runs**0.5
    return mean(off), error, mean(held), mean(half), mean(tries), mean(plain), mean(plain_held)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    print(f"{runs} runs each; threshold near 200 beats/min, bias and half width in percent of it\n")
    print(f"{'juggler':<28}{'tries':>6}{'bias':>15}{'interval':>10}{'holds':>8}{'  | mean of reversals':}")
    for name, scale, start, step, lapse in CASES:
        bias, error, held, half, tries, plain, plain_held = measure(scale, start, step, lapse, runs)
        print(
            f"{name:<28}{tries:6.0f}{bias:+7.2f} ± {2 * error:4.2f}{half:9.1f}{100 * held:8.1f} %"
            f"  | {plain:+6.2f} {100 * plain_held:6.1f} %"
        )


if __name__ == "__main__":
    main()
