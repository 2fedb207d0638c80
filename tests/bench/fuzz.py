"""Throws generated texts at the grammar: each parses and prints back to an equal pattern, or is refused in place.

    python tests/bench/fuzz.py [texts]            made by hypothesis, 100,000 unless told otherwise
    python tests/bench/fuzz.py --atheris [runs]   guided by coverage; needs `pip install atheris`

Nothing but a NotationError with a column inside the text may come out. The slowest text is
printed, in processor time: a busy machine makes no slow grammar.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from trainer.siteswap.families import parse_any
from trainer.siteswap.grammar import NotationError
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.refusal import point_out

slowest = (0.0, "")
counts = {"read": 0, "refused": 0}


def without_columns(pattern: Pattern) -> Pattern:
    return replace(pattern, throws=tuple(replace(throw, column=0) for throw in pattern.throws))


def try_text(text: str) -> None:
    """One text; AssertionError if it breaks the promise."""
    global slowest
    begun_s = time.thread_time()
    try:
        pattern = parse_any(text)
    except NotationError as error:
        taken_s = time.thread_time() - begun_s
        counts["refused"] += 1
        if not 1 <= error.column <= max(1, len(text)) or "\n" in error.reason:
            raise AssertionError((text, error.column, error.reason)) from error
        point_out(error)
        if error.suggestion:
            parse_any(error.suggestion)
    else:
        taken_s = time.thread_time() - begun_s
        counts["read"] += 1
        assert without_columns(parse_any(pattern.text)) == without_columns(pattern), text
    slowest = max(slowest, (taken_s, text))


def report() -> None:
    print(
        f"{sum(counts.values())} texts: {counts['read']} read, {counts['refused']} refused; "
        f"slowest {1000 * slowest[0]:.1f} ms ({len(slowest[1])} characters: {slowest[1][:40]!r})"
    )


def by_hypothesis(texts: int) -> None:
    from hypothesis import HealthCheck, given, settings
    from hypothesis import strategies as st

    signs = st.sampled_from([*"0123456789abx()[]<>|,*p ", "mess", "reverse", "cascade", "ball", "５", "（"])
    likely = st.lists(signs, max_size=40).map("".join)
    long = st.lists(signs, min_size=200, max_size=4200).map("".join)
    repeated = st.builds(lambda part, times: (part * times)[:4200], likely, st.integers(1, 4200))

    @settings(max_examples=texts, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(st.one_of(likely, likely, st.text(max_size=60), repeated, long))
    def run(text: str) -> None:
        try_text(text)

    gc.disable()  # what hypothesis keeps would be gone through in the middle of a text, and be counted as its time
    run()


def by_atheris(runs: int) -> None:
    import atheris

    for module in ("grammar", "families", "validity", "pattern", "states", "pointer"):
        atheris.instrument_imports(include=[f"trainer.siteswap.{module}"])
    atheris.instrument_all()

    def one(data: bytes) -> None:
        try_text(atheris.FuzzedDataProvider(data).ConsumeUnicode(4200))
        if sum(counts.values()) == runs:  # the library leaves without the interpreter's own way out
            report()

    atheris.Setup([sys.argv[0], f"-runs={runs}", "-max_len=4200", "-verbosity=0"], one)
    atheris.Fuzz()


def main() -> None:
    words = sys.argv[1:]
    if words and words[0] == "--atheris":
        by_atheris(int(words[1]) if len(words) > 1 else 100_000)
    else:
        by_hypothesis(int(words[0]) if words else 100_000)
        report()


if __name__ == "__main__":
    main()
