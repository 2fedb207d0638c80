"""A fault of the library, mended, so that an evening takes no more memory than an hour (tests/bench/soak.py)."""

from __future__ import annotations


def mend() -> None:
    """Have one cache of the library belong to its class and not to each widget; once is enough.

    As it is, it keeps a thousand widgets that are gone, with the rows they drew: half a megabyte for each look at the
    help. Its first parameter, which it does not use, tells that a class method was meant.
    """
    try:
        from textual._styles_cache import StylesCache
    except ImportError:  # a newer library, which may be mended: tests/screens/terminal/test_mended.py tells
        return
    kept = vars(StylesCache).get("get_inner_outer")
    if hasattr(kept, "cache_info"):  # else it is mended, here or by a newer library
        StylesCache.get_inner_outer = classmethod(kept)  # type: ignore[method-assign, assignment, arg-type]
