"""One test over many values: what a table of thousands of tests would say, at the price of one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import wraps


def each(values: Iterable[object]) -> Callable[[Callable[..., None]], Callable[[], None]]:
    """Have a test run with each of the values; of a tuple each part is an argument. A failure says which it was."""

    values = tuple(values)
    assert values, "there is nothing to try"

    def of_all(test: Callable[..., None]) -> Callable[[], None]:
        @wraps(test)
        def swept() -> None:
            for value in values:
                try:
                    test(*value) if type(value) is tuple else test(value)
                except BaseException as error:
                    error.add_note(f"with {value!r:.300}")
                    raise

        del swept.__wrapped__  # its arguments are no fixtures
        return swept

    return of_all
