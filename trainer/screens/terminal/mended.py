"""The library where it holds on to what is gone: mended, so that an evening takes no more memory than an hour.

Looking at the help took half a megabyte for good, at the terms seven tenths; tests/bench/soak.py tells.
"""

from __future__ import annotations


def mend() -> None:
    """Have a cache of the library belong to its class, as it is meant by its own signature.

    Kept for each widget, it keeps a thousand of them, with the rows they drew.
    """
    try:
        from textual._styles_cache import StylesCache
    except ImportError:  # a newer library, which may be mended: tests/screens/terminal/test_mended.py tells
        return
    kept = vars(StylesCache).get("get_inner_outer")
    if hasattr(kept, "cache_info"):  # a newer library may have mended that itself; else it is done once
        StylesCache.get_inner_outer = classmethod(kept)  # type: ignore[method-assign, assignment, arg-type]
